"""How ties fell, in words and figures that agree with the tally."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from contest.book import read_book
from contest.demo import DEMO_BOOK
from scoring.core.explain import how_ties_fell, pairs_lost, told_to
from scoring.core.ranking import SHARED, ranked
from scoring.core.record import Card, Mark, ReasonsScore
from scoring.core.step_values import DivisionValues, individual_keys, team_keys
from scoring.core.tally import tally
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, RecordFactory, people
from tests.strategies import records

EXAMPLES = Path(__file__).parents[2] / "examples"
BOOKS = [EXAMPLES / "book-1", EXAMPLES / "book-3", EXAMPLES / "book-8", DEMO_BOOK]


def assert_agrees(record):
    """Ranking again by the values that the words are made of gives the tally's ranks and ties."""
    result = tally(record)
    for standing in result.standings:
        values = DivisionValues(record, result, standing.division)
        for rows, keys, steps in (
            (standing.individuals, individual_keys(record, values, standing), record.individual_ties),
            (standing.teams, team_keys(record, values, standing), record.team_ties),
        ):
            again = ranked(keys, steps)
            assert again.order == list(range(len(rows)))
            assert again.ranks == [row.rank for row in rows]
            assert again.ties == [row.tie for row in rows]
        for rows, said in zip(
            (standing.individuals, standing.teams), how_ties_fell(record, result, standing), strict=True
        ):
            for row, words in zip(rows, said, strict=True):
                assert bool(words) == bool(row.tie)
                assert ("shares its place" in words) == (row.tie == SHARED)


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.name)
def test_the_words_rest_on_the_tallys_own_values(book):
    assert_agrees(read_book(book))


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(record=records(named=False))
def test_the_words_rest_on_the_tallys_own_values_in_any_contest(record):
    assert_agrees(record)


def said(record, code="overall"):
    result = tally(record)
    standing = next(standing for standing in result.standings if standing.code == code)
    return how_ties_fell(record, result, standing)


def a_tie(**parts):
    """101 has 47 + 45, 102 has 50 + 42, 103 has 47 + 45 as well."""
    return RecordFactory(
        **{
            "classes": (ClassFactory(reasons=("SR",)),),
            "contestants": people(3),
            "cards": (Card(1, 101, "1324"), Card(1, 102, "3124"), Card(1, 103, "1324")),
            "reasons": (
                ReasonsScore(1, 101, "A", 4500),
                ReasonsScore(1, 102, "A", 4200),
                ReasonsScore(1, 103, "A", 4500),
            ),
            "individual_ties": ("best-class", "reasons"),
            **parts,
        }
    )


def test_a_tie_is_told_with_whom_by_what_and_by_how_much():
    record = a_tie(
        individual_ties=("reasons",), contestants=people(2), cards=a_tie().cards[:2], reasons=a_tie().reasons[:2]
    )
    individuals, _ = said(record)
    assert individuals == [
        "level at 92; ahead of 102 on reasons, 45 to 42",
        "level at 92; behind 101 on reasons, 42 to 45",
    ]


def test_those_who_are_equal_in_everything_share_their_place():
    individuals, _ = said(a_tie())
    behind = "equal in every tie step; behind 102 on the best single class, 47 to 50"
    assert individuals == [
        "level at 92; ahead of 101 and 103 on the best single class, 50 to 47",
        f"level at 92; shares its place with 103, {behind}",
        f"level at 92; shares its place with 101, {behind}",
    ]


def test_without_tie_steps_there_is_nothing_to_be_equal_in():
    individuals, _ = said(a_tie(individual_ties=()))
    assert individuals[0] == "level at 92; shares its place with 102 and 103"


def test_a_total_of_ones_own_needs_no_words():
    assert said(RecordFactory(contestants=people(1)))[0] == [""]


def test_teams_are_named_and_their_own_marks_told():
    teams = ("Barley Hill", "Ötztal")
    record = RecordFactory(
        contestants=tuple(ContestantFactory(number=n, team=team) for n, team in zip((101, 102), teams, strict=True)),
        cards=(Card(1, 101, "3124"), Card(1, 102, "1324")),
        parts=(PartFactory(code="ACT", name="Team activity", scope="team"),),
        marks=(Mark("ACT", 1000, division="SR", team=teams[0]), Mark("ACT", 1300, division="SR", team=teams[1])),
        team_ties=("part:ACT",),
    )
    assert said(record)[1] == [
        "level at 60; ahead of Barley Hill on Team activity, 13 to 10",
        "level at 60; behind \u2068Ötztal\u2069 on Team activity, 10 to 13",
    ]


def test_each_pair_lost_is_told_as_it_should_be_and_as_it_was():
    assert pairs_lost("3124", (3, 5, 2), "1324") == ["3 over 1 was 1 over 3: −3"]
    assert pairs_lost("3124", (3, 5, 2), "3124") == []
    assert pairs_lost("3124", (0, 5, 2), "1324") == ["3 over 1 was 1 over 3: 0"]


def test_a_team_is_ahead_on_what_a_team_is_compared_by():
    """Both teams have 97: one by 50 and 47, the other with its best member left out of the count."""
    members = (
        *(ContestantFactory(number=n, team="Barley Hill") for n in (101, 102)),
        *(ContestantFactory(number=n, team="Larks") for n in (103, 104, 105)),
    )
    record = RecordFactory(
        divisions=(DivisionFactory(team_counting=2),),
        classes=(ClassFactory(), ClassFactory(number=2)),
        contestants=members,
        cards=(
            *(Card(judged, n, "3124") for n in (101, 103) for judged in (1, 2)),
            *(Card(judged, n, placing) for n in (102, 104) for judged, placing in ((1, "1324"), (2, "3142"))),
            Card(1, 105, "3124"),
        ),
    )

    def words(*steps):
        return said(replace(record, team_ties=steps))[1]

    assert words("left-out") == [
        "level at 195; ahead of Barley Hill on the best member who does not count, 50 to 0",
        "level at 195; behind Larks on the best member who does not count, 0 to 50",
    ]
    assert words("best-class", "class:2", "placing")[0] == (
        "level at 195; shares its place with Larks, equal in every tie step"
    )
    changed = replace(
        record,
        cards=tuple(
            card._replace(placing={1: "3124", 2: "1342"}[card.class_number]) if card.number == 104 else card
            for card in record.cards
        ),
        team_ties=("best-class",),
    )
    assert said(changed)[1][0] == ("level at 195; ahead of Barley Hill on its members’ best single classes, 100 to 98")


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("total", "ahead of 101 on the overall total, 149.5 to 149"),
        ("reasons", "ahead of 101 on reasons, 41 to 40"),
        ("class:2", "ahead of 101 on class 2, 50 to 47"),
        ("category:HAL", "ahead of 102 on Halter, 90 to 88"),
        ("part:QUEST", "ahead of 102 on Questions, 12 to 11.5"),
        ("best-class", "shares its place with 102, equal in every tie step"),
    ],
)
def test_every_step_is_told_with_both_figures(step, words):
    record = RecordFactory(
        classes=(ClassFactory(category="HAL", reasons=("SR",)), ClassFactory(number=2)),
        contestants=people(2),
        parts=(PartFactory(),),
        cards=(Card(1, 101, "3124"), Card(2, 101, "1324"), Card(1, 102, "1324"), Card(2, 102, "3124")),
        reasons=(ReasonsScore(1, 101, "A", 4000), ReasonsScore(1, 102, "A", 4100)),
        marks=(Mark("QUEST", 1200, number=101), Mark("QUEST", 1150, number=102)),
        individual_ties=(step,),
    )
    assert said(record, "placing")[0][0] == f"level at 97; {words}"


def test_a_crowd_that_is_level_is_not_named_one_by_one():
    individuals, _ = said(RecordFactory(contestants=people(1500, team=""), cards=()))
    assert individuals[0] == (
        "level at 0; shares its place with 102, 103, 104, 105, 106, 107, 108, 109, 110, 111, 112, 113 and 1,487 more"
    )
    assert sum(map(len, individuals)) < 250_000


def test_whoever_shares_a_place_is_told_all_the_others():
    level = RecordFactory(contestants=people(3), cards=tuple(Card(1, 101 + n, "3124") for n in range(3)))
    individuals, _ = said(level)
    for words, others in zip(individuals, ("102 and 103", "101 and 103", "101 and 102"), strict=True):
        assert f"shares its place with {others}" in words


def test_whoever_placed_the_class_is_told_what_both_had_and_which_cuts_add_up():
    assert told_to("3124", (3, 5, 2), "1324") == ["you had 1 over 3, official 3 over 1: −3"]
    # 2 stands over 3 and 1: past one cut, and past both.
    assert told_to("3124", (3, 5, 2), "2314") == [
        "you had 2 over 3, official 3 over 2: −8 (3+5)",
        "you had 2 over 1, official 1 over 2: −5",
    ]
    assert told_to("3124", (3, 5, 2), "3124") == []
