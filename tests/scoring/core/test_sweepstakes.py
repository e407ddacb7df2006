"""The sweepstakes of a day of several contests, held against a slow and simple way to work them out."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from scoring.core.people import fold
from scoring.core.record import Contestant
from scoring.core.sweepstakes import Placed, Rule, divisions_of, placed, sweepstakes
from scoring.core.tally import tally
from tests.factories import DivisionFactory, RecordFactory


def row(key, rank, total, division="SR"):
    return Placed(division, key, key.title(), rank, Fraction(total))


HORSE = [row("ash", 1, 500), row("birch", 2, 480), row("elm", 3, 470)]
DAIRY = [row("birch", 1, 300), row("ash", 2, 280), row("oak", 3, 100)]


def said(rows):
    return [(row.rank, row.key, str(row.total), row.tie) for row in rows]


def test_totals_are_added_and_equal_ones_share_where_nothing_parts_them():
    assert said(sweepstakes([HORSE, DAIRY], "SR", Rule())) == [
        (1, "ash", "780", "shared"),
        (1, "birch", "780", "shared"),
        (3, "elm", "470", ""),
        (4, "oak", "100", ""),
    ]


def test_a_named_contest_parts_equal_sums_and_then_the_firsts():
    assert said(sweepstakes([HORSE, DAIRY], "SR", Rule(tie_contest=1)))[:2] == [
        (1, "birch", "780", "contest:2"),
        (2, "ash", "780", "contest:2"),
    ]
    level = [row("ash", 1, 10), row("birch", 1, 10)], [row("ash", 2, 9), row("birch", 1, 9)]
    assert said(sweepstakes(level, "SR", Rule(tie_contest=0))) == [
        (1, "birch", "19", "firsts"),
        (2, "ash", "19", "firsts"),
    ]


def test_ranks_give_points_and_those_past_the_last_nothing():
    table = sweepstakes([HORSE, DAIRY], "SR", Rule(by="ranks", points=(5, 3)))
    assert [(row.key, row.total, row.parts) for row in table] == [
        ("ash", 8, (5, 3)),
        ("birch", 8, (3, 5)),
        ("elm", 0, (0, None)),
        ("oak", 0, (None, 0)),
    ]


def test_with_every_contest_needed_whoever_lacks_one_is_in_no_table():
    assert [row.key for row in sweepstakes([HORSE, DAIRY], "SR", Rule(needs_all=True))] == ["ash", "birch"]


def test_a_name_that_one_contest_does_not_show_is_shown_nowhere():
    named, unnamed = row("ann|", 1, 5), row("ann|", 2, 4)._replace(name="", number=7)
    assert [(one.name, one.numbers) for one in sweepstakes([[named], [unnamed]], "SR", Rule())] == [("", (None, 7))]


def test_teams_and_people_are_known_by_their_names_however_they_are_typed():
    people = (
        Contestant(7, "SR", "Barley  Hill", "Ann", "Lee"),
        Contestant(8, "SR", "", "ann", "LEE", "individual"),
        Contestant(9, "SR", "", "", "", "individual"),
    )
    record = RecordFactory(contestants=people, cards=(), divisions=(DivisionFactory(team_counting=0),))
    result = tally(record)
    assert [one.key for one in placed(record, result, "teams")] == ["barley hill"]
    keys = {one.number: one.key for one in placed(record, result, "individuals")}
    assert keys == {7: "ann lee|barley hill", 8: "ann lee|", 9: f"{record.rules.name}#9"}
    nameless = replace(record, contestants=tuple(one._replace(first_name="", last_name="") for one in people))
    unseen = placed(record, result, "individuals", nameless)
    assert {one.key for one in unseen} == set(keys.values())
    assert {one.name for one in unseen} == {""}
    assert fold(" A  b") == "a b"


ROWS = st.lists(
    st.lists(
        st.tuples(st.sampled_from("abcd"), st.integers(1, 4), st.integers(0, 3)),
        unique_by=lambda one: one[0],
        max_size=4,
    ).map(lambda rows: [row(key, rank, Fraction(total, 3)) for key, rank, total in rows]),
    min_size=1,
    max_size=4,
)


@given(ROWS, st.sampled_from(["total", "ranks"]), st.booleans(), st.sampled_from([None, 0]))
def test_a_slow_scorer_comes_to_the_same(contests, by, needs_all, tie_contest):
    rule = Rule(by, (4, 2), tie_contest, needs_all)
    slow = {}
    for key in "abcd":
        mine = [[one for one in contest if one.key == key] for contest in contests]
        if not any(mine) or (needs_all and not all(mine)):
            continue
        got = [one.total if by == "total" else {1: 4, 2: 2}.get(one.rank, 0) for rows in mine for one in rows]
        named = [one.total for one in mine[0]] or [-1]
        firsts = len([one for rows in mine for one in rows if one.rank == 1])
        slow[key] = (sum(got), *(named if tie_contest == 0 else []), firsts)
    table = sweepstakes(contests, "SR", rule)
    assert {one.key: one.rank for one in table} == {
        key: 1 + sum(other > value for other in slow.values()) for key, value in slow.items()
    }
    assert all(one.total == slow[one.key][0] for one in table)
    assert {one.key for one in table if one.tie == "shared"} <= {
        key for key, value in slow.items() if list(slow.values()).count(value) > 1
    }
    assert divisions_of(contests) in (["SR"], [])
