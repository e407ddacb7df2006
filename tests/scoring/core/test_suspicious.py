"""What looks wrong though nothing forbids it, and where exactly it begins to."""

from dataclasses import replace

from scoring.core.record import NO_CARD, UNREADABLE, Card, ReasonsScore
from scoring.core.suspicious import Alike, alike, cuts_of_nothing, odd_reasons, without_any_card
from tests.factories import ClassFactory, ContestantFactory, RecordFactory, people


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
