"""Classes: what can be changed, what is in use, and what becomes of cards that were strays."""

import pytest

from contest.changes.exceptions import ChangedMeanwhile, InUse, NotPossible, WrongValue
from contest.keys import hand_in_key
from contest.models import Card, Contest, Duty, JudgingClass, Reading, StackClaim
from contest.records.tallying import tallied
from contest.setup import classes, outline
from contest.setup.forms import next_number
from contest.setup.kinds import CLASSES
from contest.setup.values import fingerprint
from contest.slips.reading import take_back
from reasons.scores.officials import add_official
from tests.contest.setup.cast import in_use, one_submission, values_of
from tests.slips import read_card, read_reasons
from tests.trails import last_of

pytestmark = pytest.mark.django_db
NEW = {
    "number": 3,
    "name": "Foals",
    "category": "HAL",
    "divisions": ["JR", "SR"],
    "reasons": ["SR"],
    "places": True,
    "perfect": 50,
    "animals": "1234",
    "minutes": 15,
    "handling": "forbidden",
}


@pytest.fixture
def contest():
    return in_use()


@pytest.fixture
def unused(contest):
    return outline.add(CLASSES, contest, "Sue", **NEW)


def of(contest, number):
    return contest.classes.get(number=number)


class TestAdding:
    def test_it_stands_last_with_everything_said(self, contest, unused):
        assert contest.classes.last() == unused
        assert values_of(unused) == NEW | {"divisions": ["SR", "JR"]}
        assert last_of(contest).what == "class 3 added"

    def test_the_next_number_is_suggested(self, contest, unused):
        assert next_number(contest) == 4

    def test_a_number_twice_is_refused(self, contest):
        with pytest.raises(WrongValue, match="class 2 is there already") as caught:
            outline.add(CLASSES, contest, "Sue", **NEW | {"number": 2})
        assert caught.value.field == "number"

    def test_reasons_of_a_division_that_does_not_judge_are_refused(self, contest):
        with pytest.raises(WrongValue, match="division JR gives reasons on this class but does not judge it"):
            outline.add(CLASSES, contest, "Sue", **NEW | {"divisions": ["SR"], "reasons": ["JR"]})


class TestChanging:
    def test_only_what_changed_is_written(self, contest, unused):
        outline.change(unused, "Sue", perfect=60, divisions=["SR"])
        entry = contest.trail.last()
        assert entry.before == {"perfect": 50, "divisions": ["SR", "JR"]}
        assert entry.after == {"perfect": 60, "divisions": ["SR"]}

    def test_a_page_from_before_a_change_overwrites_nothing(self, unused):
        mark = fingerprint(values_of(unused))
        outline.change(unused, "Bob", name="Weanlings")
        with pytest.raises(ChangedMeanwhile):
            outline.change(unused, "Sue", mark, name="Sucklings")
        assert JudgingClass.objects.get(pk=unused.pk).name == "Weanlings"

    def test_a_division_whose_cards_were_read_stays(self, contest):
        with pytest.raises(WrongValue, match="3 cards of Senior in class 1 were read") as caught:
            outline.change(of(contest, 1), "Sue", divisions=["JR"], reasons=[])
        assert caught.value.field == "divisions"

    def test_a_division_whose_reasons_were_scored_goes_on_giving_them(self, contest):
        judged = of(contest, 1)
        read_reasons(judged, add_official(contest, "A", "Sue"), contest.contestants.get(number=101), 4400, "Ann")
        with pytest.raises(WrongValue, match="1 set of reasons of Senior on class 1 was scored") as caught:
            outline.change(judged, "Sue", reasons=[])
        assert caught.value.field == "reasons"

    def test_a_class_with_cards_or_in_a_tie_order_goes_on_placing(self, contest):
        with pytest.raises(WrongValue, match="3 cards of it were read"):
            outline.change(of(contest, 1), "Sue", places=False)
        with pytest.raises(WrongValue, match="the tie order of individuals looks at it"):
            outline.change(of(contest, 2), "Sue", places=False)

    def test_readings_that_were_strays_become_cards_when_the_division_judges_the_class(self, contest):
        judged = outline.add(CLASSES, contest, "Sue", **NEW | {"divisions": ["JR"], "reasons": []})
        read_card(judged, 101, "3124", "Ann", one_submission())
        assert not Card.objects.filter(judging_class=judged).exists()
        outline.change(judged, "Sue", divisions=["JR", "SR"])
        assert Card.objects.get(judging_class=judged).placing == "3124"


class TestRemoving:
    def test_what_is_unused_goes(self, contest, unused):
        outline.remove(unused, "Sue")
        assert not contest.classes.filter(number=3).exists()
        assert contest.trail.last().before == NEW | {"divisions": ["SR", "JR"]}

    def test_cards_reasons_and_a_key_keep_it(self, contest):
        with pytest.raises(InUse) as caught:
            outline.remove(of(contest, 1), "Sue")
        assert caught.value.uses == ["3 cards of it were read", "its official placing is in", "make it void instead"]

    def test_a_reading_that_was_taken_back_keeps_it(self, contest, unused):
        read_card(unused, 101, "3124", "Ann", one_submission())
        take_back(Reading.objects.get(judging_class=unused), "Ann")
        with pytest.raises(InUse, match="1 reading of it was taken, and withdrawn since"):
            outline.remove(unused, "Sue")
        assert Reading.objects.filter(judging_class=unused).exists()

    def test_a_stray_reading_keeps_it(self, contest):
        judged = outline.add(CLASSES, contest, "Sue", **NEW | {"divisions": [], "reasons": []})
        read_card(judged, 999, "3124", "Ann", one_submission())
        with pytest.raises(InUse):
            outline.remove(judged, "Sue")

    def test_reasons_scores_keep_it(self, contest, unused):
        read_reasons(unused, add_official(contest, "A", "Sue"), contest.contestants.get(number=101), 4400, "Ann")
        with pytest.raises(InUse, match="1 set of reasons on it was scored"):
            outline.remove(unused, "Sue")

    def test_a_key_keeps_it(self, unused):
        hand_in_key(unused, "1234", (1, 2, 3), "Sue")
        with pytest.raises(InUse, match="its official placing is in"):
            outline.remove(unused, "Sue")

    def test_a_tie_order_keeps_it(self, contest):
        with pytest.raises(InUse, match="the tie order of individuals looks at it"):
            outline.remove(of(contest, 2), "Sue")

    def test_a_stack_at_a_desk_keeps_it_until_it_is_given_back(self, contest, unused, as_helper):
        helper = as_helper(contest, Duty.TABULATOR).helper
        claim = StackClaim.objects.create(helper=helper, judging_class=unused, group="A")
        with pytest.raises(InUse, match="Ann has a stack of it at the desk"):
            outline.remove(unused, "Sue")
        StackClaim.objects.filter(pk=claim.pk).update(given_back_at=claim.taken_at)
        outline.remove(unused, "Sue")


class TestVoid:
    def test_it_is_thrown_out_for_one_division_alone_and_counts_again(self, contest):
        judged = of(contest, 1)
        classes.void_class(judged, "Sue", "the foal was led off", ["JR"])
        assert last_of(contest).what == "class 1 made void for JR, the foal was led off"
        now = tallied(Contest.objects.get(pk=contest.pk))
        items = {(scores.division, scores.item) for scores in now.result.scores}
        assert ("SR", "class:1") in items
        assert ("JR", "class:1") not in items
        assert now.record.classes[0].void_divisions == ("JR",)
        with pytest.raises(NotPossible, match="void already"):
            classes.void_class(of(contest, 1), "Sue", "again", ["JR"])
        outline.change(of(contest, 1), "Sue", name="Old geldings")
        assert classes.void_for(of(contest, 1)) == ["JR"]
        classes.unvoid_class(of(contest, 1), "Sue", "it was not")
        assert classes.void_for(of(contest, 1)) == []
        with pytest.raises(NotPossible, match="counts already"):
            classes.unvoid_class(of(contest, 1), "Sue", "again")

    def test_for_all_of_its_divisions_it_is_simply_void(self, contest):
        classes.void_class(of(contest, 1), "Sue", "a lame animal", ["JR", "SR"])
        assert of(contest, 1).void
        assert classes.void_for(of(contest, 1)) == []

    def test_a_division_that_does_not_judge_it_is_refused(self, contest):
        with pytest.raises(WrongValue, match="no division XX"):
            classes.void_class(of(contest, 1), "Sue", "a lame animal", ["XX"])

    def test_it_is_thrown_out_and_counts_again_each_for_a_reason(self, contest):
        judged = of(contest, 1)
        classes.void_class(judged, "Sue", "an animal went lame")
        assert of(contest, 1).void
        assert last_of(contest).what == "class 1 made void, an animal went lame"
        classes.unvoid_class(judged, "Sue", "the vet cleared it")
        assert not of(contest, 1).void
        assert Card.objects.filter(judging_class=judged).count() == 3

    @pytest.mark.parametrize("act", [classes.void_class, classes.unvoid_class])
    def test_without_a_reason_nothing_happens(self, contest, act):
        with pytest.raises(WrongValue) as caught:
            act(of(contest, 1), "Sue", "  ")
        assert caught.value.field == "reason"
        assert not of(contest, 1).void

    def test_twice_is_refused(self, contest):
        classes.void_class(of(contest, 1), "Sue", "lame")
        with pytest.raises(NotPossible, match="class 1 is void already"):
            classes.void_class(of(contest, 1), "Bob", "lame")
