"""What looks wrong though nothing forbids it, and where exactly it begins to."""

from dataclasses import replace
from fractions import Fraction

import pytest

from scoring.core.record import NO_CARD, UNREADABLE, Card, ReasonsScore
from scoring.core.suspicious import Alike, Hard, OddCards, Rare, alike, cuts_of_nothing, odd_reasons, without_any_card
from tests.factories import ClassFactory, ContestantFactory, RecordFactory, people

BACKWARDS, HALF, NEARLY = "4213", "2134", "4123"
"""Of 3124 with 3-5-2: what loses all 20; 3 of it the wrong way round in part; and what loses most."""


def contest(*placings, **parts):
    """One class, and a contestant for each placing that was given in it."""
    everybody = people(len(placings), team="")
    cards = tuple(Card(1, who.number, placing) for who, placing in zip(everybody, placings, strict=True))
    return RecordFactory(**{"contestants": everybody, "cards": cards, **parts})


class TestNoBetterThanBlind:
    def test_a_key_by_which_everybody_loses_half_is_told_with_both_figures(self):
        assert OddCards(contest(*[BACKWARDS] * 5)).no_better_than_blind() == [Hard(1, 5, Fraction(35), Fraction(35, 2))]

    def test_exactly_what_placing_blindly_loses_is_enough_and_less_is_not(self):
        # With cuts of 1-1-1 the full reversal loses 10, so placing blindly 5; these five lose 25 together, then 24.
        alike_cuts = {"classes": (ClassFactory(cuts=(1, 1, 1)),)}
        half = contest(BACKWARDS, BACKWARDS, "1324", "3214", "2314", **alike_cuts)
        assert [hard.lost for hard in OddCards(half).no_better_than_blind()] == [Fraction(5)]
        less = contest(BACKWARDS, BACKWARDS, "1324", "3214", "3214", **alike_cuts)
        assert OddCards(less).no_better_than_blind() == []

    def test_few_cards_say_nothing(self):
        assert OddCards(contest(*[BACKWARDS] * 4)).no_better_than_blind() == []
        assert OddCards(contest(*[BACKWARDS] * 4, NO_CARD, UNREADABLE)).no_better_than_blind() == []

    def test_nor_do_the_cards_of_those_who_are_absent_or_of_a_class_that_does_not_count(self):
        here = contest(*[BACKWARDS] * 5)
        absent = replace(here, contestants=(*here.contestants[:4], here.contestants[4]._replace(present=False)))
        assert OddCards(absent).no_better_than_blind() == []
        assert OddCards(replace(here, classes=(ClassFactory(void=True),))).no_better_than_blind() == []

    def test_cuts_of_nothing_lose_nothing(self):
        assert OddCards(contest(*[BACKWARDS] * 5, classes=(ClassFactory(cuts=(0, 0, 0)),))).no_better_than_blind() == []


class TestRarelyGiven:
    @pytest.mark.parametrize(
        ("right", "others", "told"),
        [(0, 24, True), (0, 23, False), (1, 23, False), (1, 24, True), (2, 46, False), (2, 47, True)],
    )
    def test_it_is_told_where_fewer_gave_it_than_would_blindly(self, right, others, told):
        rare = OddCards(contest(*["3124"] * right, *["1324"] * others)).rarely_given()
        assert rare == ([Rare(1, right, right + others)] if told else [])


def test_a_card_that_lay_upside_down_is_told_by_class():
    assert OddCards(contest("3124", BACKWARDS, "4123", BACKWARDS)).reversed_cards() == {1: [102, 104]}
    assert OddCards(contest("3124")).reversed_cards() == {}


class TestFarOut:
    """Official 1234 and cuts of 1-1-1: the full reversal loses 10 of 10."""

    def found(self, *placings):
        classes = tuple(
            ClassFactory(number=number, official="1234", cuts=(1, 1, 1)) for number in range(1, len(placings) + 1)
        )
        cards = tuple(Card(number, 101, placing) for number, placing in enumerate(placings, start=1))
        return OddCards(RecordFactory(classes=classes, contestants=people(1), cards=cards)).far_out()

    def test_one_card_of_somebody_who_places_well_is_told(self):
        assert self.found("1234", "1234", "4321", "1234", "1234") == {3: [101]}

    @pytest.mark.parametrize(("placing", "told"), [("3412", False), ("4312", True), ("4321", True)])
    def test_it_has_to_lose_nearly_everything(self, placing, told):
        assert bool(self.found("1234", "1234", "1234", "1234", placing)) == told

    @pytest.mark.parametrize(("other", "told"), [("2143", True), ("3142", True), ("2413", True), ("4123", False)])
    def test_of_somebody_who_loses_no_more_than_half_elsewhere(self, other, told):
        # 2, 4 and 4 of 10; 4123 loses 6
        assert bool(self.found(other, "1234", "1234", "1234", "4321")) == told

    def test_and_who_placed_four_other_classes(self):
        assert self.found("1234", "1234", "1234", "4321") == {}


class TestAlike:
    def contest(self, first, second, **parts):
        classes = tuple(ClassFactory(number=number) for number in range(1, len(first) + 1))
        cards = tuple(
            Card(number, who, placing)
            for who, placings in ((101, first), (102, second))
            for number, placing in enumerate(placings, start=1)
        )
        return RecordFactory(**{"classes": classes, "contestants": people(2), "cards": cards, **parts})

    def test_team_mates_with_the_same_wrong_cards_in_three_classes_are_told(self):
        cards = ["1324", "3142", "3214", "3124"]
        assert alike(self.contest(cards, cards)) == [Alike("SR", "Barley Hill", (101, 102), True, 4)]
        third = (*people(2), ContestantFactory(number=103))
        assert alike(self.contest(cards, cards, contestants=third)) == [
            Alike("SR", "Barley Hill", (101, 102), False, 4)
        ]

    def test_two_wrong_cards_may_be_chance_and_right_ones_are_not_odd(self):
        cards = ["1324", "3142", "3124", "3124"]
        assert alike(self.contest(cards, cards)) == []
        assert alike(self.contest([*cards, UNREADABLE], [*cards, UNREADABLE])) == []

    def test_one_other_card_is_enough_to_differ(self):
        assert alike(self.contest(["1324", "3142", "3214", "3124"], ["1324", "3142", "3214", "1324"])) == []

    def test_they_must_be_of_one_team_and_here(self):
        cards = ["1324", "3142", "3214"]
        for other in ({"team": "Oak"}, {"team": "", "role": "individual"}, {"present": False}, {"division": "JR"}):
            everybody = (people(1)[0], ContestantFactory(number=102, **other))
            assert alike(self.contest(cards, cards, contestants=everybody)) == []
        alone = people(2, team="")
        assert alike(self.contest(cards, cards, contestants=alone)) == []

    def test_a_class_without_placings_is_left_out(self):
        cards = ["1324", "3142", "3214", "1324"]
        record = self.contest(cards, ["1324", "3142", "3214", "3142"])
        reasons_only = ClassFactory(number=4, places=False, official=None, cuts=None)
        assert alike(replace(record, classes=(*record.classes[:3], reasons_only)))[0].classes == 3
        other_division = ClassFactory(number=4, divisions=("JR",))
        assert alike(replace(record, classes=(*record.classes[:3], other_division)))[0].classes == 3


def test_cuts_of_nothing_are_named_in_classes_that_count():
    zeroes = ClassFactory(cuts=(0, 5, 0))
    record = RecordFactory(classes=(zeroes, ClassFactory(number=2), replace(zeroes, number=3, void=True)))
    assert cuts_of_nothing(record) == {1: ["top", "bottom"]}


class TestOddReasons:
    def found(self, *points, classes=None, **changes):
        everybody = people(len(points))
        scores = [ReasonsScore(1, who.number, "Vale", given) for who, given in zip(everybody, points, strict=True)]
        last = everybody[-1]._replace(**changes)
        record = RecordFactory(
            contestants=(*everybody[:-1], last), reasons=tuple(scores), classes=classes or (ClassFactory(),)
        )
        return odd_reasons(record)

    def test_more_than_twenty_points_from_the_median_is_odd_and_twenty_is_not(self):
        assert self.found(4400, 4400, 4400, 4400, 2399) == {1: [105]}
        assert self.found(4400, 4400, 4400, 4400, 2400) == {}
        assert self.found(2000, 2000, 2000, 2000, 4001) == {1: [105]}
        assert self.found(2000, 2000, 2000, 2000, 4000) == {}

    def test_of_few_scores_nothing_can_be_told_nor_of_those_who_are_absent(self):
        assert self.found(4400, 4400, 4400, 440) == {}
        assert self.found(4400, 4400, 4400, 4400, 4400, 440, present=False) == {}
        assert self.found(4400, 4400, 4400, 4400, 440, classes=(ClassFactory(void=True),)) == {}


def test_whoever_is_here_and_handed_in_no_card_at_all_is_told():
    everybody = (*people(3), ContestantFactory(number=104, present=False), ContestantFactory(number=201, division="JR"))
    record = RecordFactory(contestants=everybody, cards=(Card(1, 101, "3124"), Card(1, 102, NO_CARD)))
    assert without_any_card(record) == [102, 103]
    assert without_any_card(replace(record, classes=(ClassFactory(void=True),))) == []
    assert without_any_card(replace(record, classes=(ClassFactory(places=False, official=None, cuts=None),))) == []
