"""What a correction changes."""

from dataclasses import replace
from fractions import Fraction

import pytest

from scoring.core.differences import Differences, ListDifference, Moved, Place, ScoreDifference, differences
from scoring.core.record import Card, DecidedTie, Mark, NoMark, NoReasons, ReasonsScore
from scoring.core.tally import tally
from tests.factories import ClassFactory, DivisionFactory, PartFactory, RecordFactory, people


@pytest.fixture
def record():
    everybody = people(2)
    return RecordFactory(
        divisions=(DivisionFactory(team_counting=1),),
        contestants=(everybody[0], everybody[1]._replace(team="Larks")),
        cards=(Card(1, 101, "3124"), Card(1, 102, "1324")),
    )


def between(old, new):
    return differences(old, tally(old), new, tally(new))


def test_nothing_is_different_of_the_same(record):
    assert between(record, record) == Differences()
    assert not Differences()


def test_a_card_moves_rows_of_contestants_and_teams_and_is_told_as_a_score(record):
    found = between(record, replace(record, cards=(Card(1, 101, "3124"), Card(1, 102, "3124"))))
    assert found.scores == (ScoreDifference(102, "class:1", Fraction(47), Fraction(50)),)
    assert [(one.division, one.code, one.kind) for one in found.lists] == [
        ("SR", code, kind) for code in ("overall", "placing") for kind in ("individuals", "teams")
    ]
    assert found.lists[0].rows == (Moved(102, Place(2, Fraction(47)), Place(1, Fraction(50))),)
    assert found.lists[1].rows == (Moved("Larks", Place(2, Fraction(47), (102,)), Place(1, Fraction(50), (102,))),)
    assert (found.keys, found.people, found.standardised, found.outline) == ((), (), False, False)


def test_the_mark_of_a_team_is_told_as_its_own(record):
    part = replace(record, parts=(PartFactory(code="TASK", scope="team"),))
    found = between(part, replace(part, marks=(Mark("TASK", 1000, division="SR", team="Larks"),)))
    assert found.scores == (ScoreDifference(("SR", "Larks"), "part:TASK", Fraction(0), Fraction(10)),)


def test_a_list_that_is_gone_tells_what_it_had(record):
    found = between(record, replace(record, classes=(ClassFactory(void=True),)))
    assert found.keys == (1,)
    assert (
        ListDifference(
            "SR",
            "placing",
            "individuals",
            (Moved(101, Place(1, Fraction(50)), None), Moved(102, Place(2, Fraction(47)), None)),
        )
        in found.lists
    )
    assert ScoreDifference(101, "class:1", Fraction(50), None) in found.scores


@pytest.mark.parametrize("field", ["first_name", "last_name"])
def test_a_name_that_was_changed_since_is_told_by_its_number(record, field):
    changed = record.contestants[1]._replace(**{field: "Marlow"})
    found = between(record, replace(record, contestants=(record.contestants[0], changed)))
    assert found == Differences(people=(102,))
    assert bool(found)


@pytest.mark.parametrize("field", ["division", "team"])
def test_so_is_another_division_or_team(record, field):
    other = replace(record, divisions=(*record.divisions, DivisionFactory(code="JR")))
    changed = other.contestants[1]._replace(**{field: "JR"})
    assert between(other, replace(other, contestants=(other.contestants[0], changed))).people == (102,)


def test_whoever_became_ineligible_or_came_is_told_and_whoever_never_was_there_is_not(record):
    here, other = record.contestants
    absent = other._replace(present=False)
    without = replace(record, contestants=(here, absent))
    assert between(record, without).people == between(without, record).people == (102,)
    renamed = replace(without, contestants=(here, absent._replace(first_name="Marlow")))
    assert between(without, renamed) == Differences()


def test_whether_a_name_may_be_shown_is_no_difference_since_it_holds_at_once(record):
    here, other = record.contestants
    assert between(record, replace(record, contestants=(here, other._replace(show_name=False)))) == Differences()


@pytest.mark.parametrize(
    "change", [{"official": "1324"}, {"cuts": (3, 5, 1)}, {"void": True}, {"void_divisions": ("SR",)}]
)
def test_another_key_is_told_by_its_class(record, change):
    two = replace(record, classes=(*record.classes, ClassFactory(number=2)))
    found = between(two, replace(two, classes=(two.classes[0], replace(two.classes[1], **change))))
    assert (found.keys, found.outline) == ((2,), False)


def test_the_rest_that_is_printed_is_told_as_one(record):
    renamed = between(record, replace(record, rules=replace(record.rules, place="Oak Hall")))
    assert renamed == Differences(outline=True)
    standardised = replace(record, rules=replace(record.rules, reasons_standardised=True))
    assert between(record, standardised) == Differences(standardised=True)
    assert all(map(bool, (renamed, Differences(standardised=True), Differences(keys=(1,)))))


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({"cards": (Card(1, 101, ""),)}, {"cards": (Card(1, 101, "unreadable"),)}),
        ({"cards": ()}, {"cards": (Card(1, 101, ""),)}),
        ({"reasons": (ReasonsScore(1, 101, "A", 4000),)}, {"reasons": (ReasonsScore(1, 101, "B", 4000),)}),
        ({}, {"no_reasons": (NoReasons(1, 101, "A"),)}),
        ({"marks": (Mark("Q", 0, 101),)}, {"no_marks": (NoMark("Q", 101),)}),
    ],
)
def test_what_a_slip_says_is_told_where_it_scores_the_same(record, before, after):
    wide = replace(record, classes=(replace(record.classes[0], reasons=("SR",)),), parts=(PartFactory(code="Q"),))
    old, new = (replace(wide, **({"cards": wide.cards[1:]} | change)) for change in (before, after))
    assert between(old, new) == between(new, old) == Differences(slips=(101,))
    nobody = [replace(one, contestants=(one.contestants[0]._replace(present=False),)) for one in (old, new)]
    assert between(*nobody) == Differences()


def test_the_marks_of_teams_come_last(record):
    wide = replace(record, parts=(PartFactory(code="T", scope="team"), PartFactory(code="Q")))
    told = replace(wide, no_marks=(NoMark("T", None, "SR", "Larks"), NoMark("Q", 102), NoMark("Q", 101)))
    assert between(wide, told).slips == (101, 102, ("SR", "Larks"))


def test_a_card_that_became_doubtful_or_certain_is_told_by_its_number(record):
    once, twice = record.cards[0], record.cards[0]._replace(second="3124")
    doubtful = record.cards[0]._replace(second="1234")
    of = [replace(record, cards=(card, record.cards[1])) for card in (once, twice, doubtful)]
    assert between(of[0], of[1]) == Differences()
    assert between(of[1], of[2]) == between(of[2], of[0]) == Differences(doubts=(101,))
    other = replace(record, cards=(doubtful._replace(second="4321"), record.cards[1]))
    assert between(of[2], other) == Differences()


@pytest.mark.parametrize("rule", [{"readings_per_card": 1}, {"show_people_as": "name"}, {"minutes_per_class": 15}])
def test_what_nobody_is_shown_or_holds_at_once_is_no_difference(record, rule):
    assert between(record, replace(record, rules=replace(record.rules, **rule))) == Differences()


def test_a_tie_that_was_decided_or_for_another_reason_is_told_as_that(record):
    level = replace(record, cards=(Card(1, 101, "3124"), Card(1, 102, "3124")))
    drawn = DecidedTie("SR", "overall", "individuals", ("102", "101"), "draw", "a coin")
    found = between(level, replace(level, decided=(drawn,)))
    assert (found.ties, found.outline, bool(found.lists)) == (True, False, True)
    told = [replace(level, decided=(one,)) for one in (drawn, replace(drawn, reason="straws"))]
    assert between(*told) == Differences(ties=True)


def test_another_rule_is_a_difference_though_nothing_moves(record):
    other = replace(record, individual_ties=("class:1",), rules=replace(record.rules, negative_scores="zero"))
    assert between(record, other).outline


def test_its_fingerprint_stands_for_these_differences_alone():
    one, other = Differences(keys=(1,)), Differences(keys=(2,))
    assert one.fingerprint == Differences(keys=(1,)).fingerprint != other.fingerprint
    assert len(one.fingerprint) == 16
