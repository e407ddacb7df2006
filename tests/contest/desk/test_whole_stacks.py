"""A stack as a whole: whether it looks mixed up, taken back and brought back at once."""

import re
from dataclasses import replace
from uuid import uuid4

import numpy as np
import pytest

from contest.desk.whole_stacks import looks_mixed_up
from contest.models import Duty, Reading
from contest.records import save_record
from contest.slips.whole_stacks import Run
from tests.bench.mixups import simulate
from tests.factories import ClassFactory, ContestantFactory, a_contest
from tests.slips import read_card

pytestmark = pytest.mark.django_db

BEST = "3124"


@pytest.fixture
def contest():
    people = [ContestantFactory(number=number, group="A" if number < 200 else "B") for number in (*range(101, 107),)]
    people += [ContestantFactory(number=number, group="B") for number in range(201, 213)]
    contest = a_contest(classes=(ClassFactory(),), contestants=tuple(people), cards=())
    contest.classes.get().keys.update(confirmed_by="Ben", confirmed_at="2026-10-17T12:00Z")
    return contest


def judged(contest):
    return contest.classes.select_related("contest").get()


def read(contest, numbers, placing, by="Ann"):
    for number in numbers:
        read_card(judged(contest), number, placing, by, uuid4())


class TestWhatItLooksLike:
    """The stack of class 1, group A, as Ann reads it, in a contest of which everything else is in."""

    @pytest.fixture
    def others(self):
        record = simulate.contest(
            np.random.default_rng(7), simulate.Crowd(people=30, classes=6, mean=45, agrees=True, in_group=10)
        )
        self.right = {
            card.number: card.placing for card in record.cards if card.class_number == 1 and card.number < 111
        }
        cards = tuple(card for card in record.cards if card.class_number != 1 or card.number not in self.right)
        return save_record(replace(record, cards=cards), by="test")

    def looks(self, contest, placings):
        contest.refresh_from_db()
        judged = contest.classes.select_related("contest").get(number=1)
        for number, placing in placings.items():
            read_card(judged, number, placing, "Ann", uuid4())
        contest.refresh_from_db()
        told = looks_mixed_up(Run(contest.classes.select_related("contest").get(number=1), "A", "Ann"))
        return str(told) if told else ""

    def test_a_stack_that_is_right_is_let_be(self, others):
        assert self.looks(others, self.right) == ""

    def test_one_upside_down_is_told_in_points(self, others):
        told = self.looks(others, {number: placing[::-1] for number, placing in self.right.items()})
        assert re.fullmatch(
            r"Class 1, group A: the 10 cards fit better from last to first, \d+ against \d+ points\. "
            r"Did the stack lie upside down\?",
            told,
        )

    def test_few_cards_are_let_be(self, others):
        assert self.looks(others, {number: placing[::-1] for number, placing in [*self.right.items()][:4]}) == ""

    def test_nobody_knows_before_the_key_is_confirmed(self, others):
        others.classes.get(number=1).keys.update(confirmed_by="", confirmed_at=None)
        assert self.looks(others, {number: placing[::-1] for number, placing in self.right.items()}) == ""


class TestTakingBack:
    @pytest.fixture
    def ann(self, as_helper, contest):
        return as_helper(contest, Duty.TABULATOR, "Ann")

    def send(self, ann, contest, what, **fields):
        address = f"/contests/{contest.pk}/desk/classes/1/{what}/"
        body = {"submission": str(uuid4()), "by": "Ann", **fields}
        return ann.post(address, body, content_type="application/json").json()

    def test_all_of_ones_own_in_the_group_goes_but_what_is_settled(self, ann, contest):
        read(contest, (101, 102, 201), BEST)
        read(contest, (101,), BEST, "Ben")
        told = self.send(ann, contest, "take-back", group="A")
        assert told["text"] == "1 reading taken back; 1 stays, since somebody else read the same"
        assert told["stay"] == [101]
        live = Reading.objects.filter(withdrawn_at=None).values_list("by", "number")
        assert sorted(live) == [("Ann", 101), ("Ann", 201), ("Ben", 101)]

    def test_the_same_submission_again_is_told_the_same(self, ann, contest):
        read(contest, (101, 102), BEST)
        submission = str(uuid4())
        told = [self.send(ann, contest, "take-back", group="A", submission=submission) for _ in range(2)]
        assert told[0] == told[1]
        assert len(told[0]["readings"]) == 2

    def test_only_what_the_reader_took_back_comes_back(self, ann, contest):
        from contest.slips.reading import set_aside

        read(contest, (101, 102), BEST)
        first, second = Reading.objects.order_by("pk")
        set_aside(first, "Sue", "read by mistake")
        self.send(ann, contest, "take-back", group="A")
        told = self.send(ann, contest, "bring-back", readings=[first.pk, second.pk, "x", None, 10**30, -1])
        assert told["text"] == "1 reading is back"
        assert Reading.objects.get(withdrawn_at=None) == second
