"""A stack as a whole: whether it looks like another, taken back and brought back at once."""

from uuid import uuid4

import pytest

from contest.desk.whole_stacks import looks_like_another
from contest.models import Duty, Reading
from contest.slips.whole_stacks import Run
from tests.factories import ClassFactory, ContestantFactory, a_contest
from tests.slips import read_card

pytestmark = pytest.mark.django_db

BEST, WORST = "3124", "4213"


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


def of_ann(contest):
    return Run(judged(contest), "A", "Ann")


class TestWhetherItLooksLikeAnother:
    def test_it_does_where_three_in_a_row_score_far_below_the_class(self, contest):
        read(contest, range(201, 213), BEST, "Cyd")
        read(contest, (101, 102, 103), WORST)
        assert looks_like_another(of_ann(contest))

    @pytest.mark.parametrize(("others", "numbers"), [(213, (101, 102)), (205, (101, 102, 103))])
    def test_it_does_not_where_too_few_were_read(self, contest, others, numbers):
        read(contest, range(201, others), BEST, "Cyd")
        read(contest, numbers, WORST)
        assert not looks_like_another(of_ann(contest))

    def test_it_does_not_where_they_score_as_the_class_does(self, contest):
        read(contest, range(201, 213), BEST, "Cyd")
        read(contest, (101, 102, 103), BEST)
        assert not looks_like_another(of_ann(contest))

    def test_nobody_knows_before_the_key_is_confirmed(self, contest):
        judged(contest).keys.update(confirmed_by="", confirmed_at=None)
        read(contest, range(201, 213), BEST, "Cyd")
        read(contest, (101, 102, 103), WORST)
        assert not looks_like_another(of_ann(contest))


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
