"""Stacks: what is due in each, what is left to whom, and who has which at their desk."""

from uuid import uuid4

import pytest

from contest.changes.exceptions import NotPossible
from contest.desk.stacks import (
    find_stack,
    give_back,
    has_claim,
    next_stack,
    stacks_of,
    take_stack,
)
from contest.helpers.joining import let_in, show_out
from contest.models import Contestant, Duty, StackClaim, TrailEntry
from contest.slips.cards import CardStack
from contest.slips.reading import take_back
from scoring.core.record import Division
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, RulesFactory, a_contest
from tests.slips import decide_card, read_card
from tests.trails import last_of

pytestmark = pytest.mark.django_db

A, B = (101, 102, 103), (104, 105)


def a_room(**parts):
    """Two classes and two groups: 101 to 103 are in A, 104 and 105 in B."""
    defaults = {
        "classes": (ClassFactory(), ClassFactory(number=2, name="Yearlings")),
        "contestants": tuple(
            ContestantFactory(number=number, group=group)
            for group, numbers in (("A", A), ("B", B))
            for number in numbers
        ),
        "cards": (),
    }
    return a_contest(**{**defaults, **parts})


@pytest.fixture
def contest():
    return a_room()


@pytest.fixture
def ann(contest):
    return let_in(contest, Duty.TABULATOR, "Ann")


@pytest.fixture
def bob(contest):
    return let_in(contest, Duty.TABULATOR, "Bob")


def judged(contest, number=1):
    return contest.classes.get(number=number)


def read(contest, by, *numbers, placing="3124", number=1):
    return [read_card(judged(contest, number), one, placing, by, uuid4()) for one in numbers]


def left(judging_class, group, who):
    here = CardStack(judging_class, group=group)
    return [card.number for card in here.left(here.slips(who))]


def labels(contest, who="Ann"):
    return [stack.label for stack in stacks_of(contest, who)]


def stack(contest, text="1A", who="Ann"):
    return find_stack(stacks_of(contest, who), text)


class TestWhatIsDue:
    def test_there_is_one_stack_for_each_class_and_group(self, contest):
        assert labels(contest) == ["class 1, group A", "class 1, group B", "class 2, group A", "class 2, group B"]

    def test_without_groups_a_class_is_one_stack(self):
        contest = a_contest(cards=())
        assert labels(contest) == ["class 1"]
        assert find_stack(stacks_of(contest, "Ann"), " 1 ").due == 3

    def test_group_10_comes_after_group_9(self):
        people = tuple(ContestantFactory(number=number, group=str(number)) for number in (9, 10, 2))
        assert [one.group for one in stacks_of(a_contest(contestants=people, cards=()), "Ann")] == ["2", "9", "10"]

    def test_a_class_without_placings_has_no_stack(self):
        assert labels(a_room(classes=(ClassFactory(places=False),))) == []

    def test_a_division_that_does_not_judge_a_class_is_not_due_in_it(self):
        contest = a_room(
            divisions=(DivisionFactory(), Division("JR", "Junior", 3)),
            contestants=(ContestantFactory(number=1, group="A"), ContestantFactory(number=2, group="A", division="JR")),
        )
        assert left(judged(contest), "A", "Ann") == [1]

    def test_an_absent_contestant_is_due_only_with_a_card_in_hand(self, contest):
        Contestant.objects.filter(number=102).update(present=False)
        assert stack(contest).due == 2
        read(contest, "Bob", 102)
        assert (stack(contest).due, stack(contest).doubtful) == (3, 1)
        assert left(judged(contest), "A", "Ann") == [101, 103]

    def test_the_card_of_an_absent_contestant_is_doubtful_until_somebody_decides_about_it(self, contest):
        read(contest, "Bob", 102)
        Contestant.objects.filter(number=102).update(present=False)
        assert (stack(contest).doubtful, stack(contest).settled) == (1, 0)
        decide_card(judged(contest), Contestant.objects.get(number=102), "3124", "Sue", "left early")
        assert (stack(contest).doubtful, stack(contest).settled) == (0, 1)
        read(contest, "Cy", 102, placing="4321")
        assert (stack(contest).doubtful, stack(contest).settled) == (1, 0)

    def test_that_an_absent_contestant_gave_no_card_is_nothing_to_wait_for(self, contest):
        Contestant.objects.filter(number=102).update(present=False)
        read(contest, "Bob", 102, placing="")
        assert stack(contest).due == 2

    def test_it_counts_in_words_how_far_a_stack_is(self, contest):
        assert stack(contest).words == "3 unread"
        read(contest, "Ann", *A)
        read(contest, "Bob", 101)
        read(contest, "Bob", 102, placing="4321")
        assert stack(contest).words == "1 read once, 1 settled, 1 doubtful"
        read(contest, "Bob", 103)
        assert stack(contest).done
        assert not stack(contest, "1B").done

    def test_its_queries_do_not_grow_with_the_cards(self, contest, django_assert_num_queries):
        with django_assert_num_queries(7):
            stacks_of(contest, "Ann")
        read(contest, "Ann", *A, *B)
        with django_assert_num_queries(7):
            stacks_of(contest, "Ann")


class TestWhatIsLeftToAReader:
    def test_first_all_of_a_stack_in_ascending_order(self, contest):
        assert left(judged(contest), "A", "Ann") == [101, 102, 103]

    def test_then_not_what_they_have_read_themselves_whatever_the_case_of_their_name(self, contest):
        read(contest, "Ann", 101)
        assert left(judged(contest), "A", "ANN") == [102, 103]
        assert left(judged(contest), "A", "Bob") == [101, 102, 103]

    def test_nor_what_is_settled_or_with_the_superintendent(self, contest):
        read(contest, "Ann", 101, 102)
        read(contest, "Bob", 101)
        read(contest, "Bob", 102, placing="4321")
        assert left(judged(contest), "A", "Cyd") == [103]

    def test_nor_what_was_decided(self, contest):
        decide_card(judged(contest), Contestant.objects.get(number=101), "1234", "Sue", "looked at the card")
        assert left(judged(contest), "A", "Ann") == [102, 103]

    def test_a_reading_taken_back_is_expected_again(self, contest):
        fate = read(contest, "Ann", 101)[0]
        take_back(judged(contest).readings.get(pk=fate.reading_id), "Ann")
        assert left(judged(contest), "A", "Ann") == [101, 102, 103]

    def test_where_one_reading_is_enough_nothing_is_read_twice(self):
        contest = a_room(rules=RulesFactory(readings_per_card=1))
        read(contest, "Ann", 101)
        assert left(judged(contest), "A", "Bob") == [102, 103]

    def test_where_one_may_read_twice_every_card_is_read_once_before(self, contest):
        contest.same_reader_twice = True
        contest.save()
        read(contest, "Ann", 101, 102)
        assert left(judged(contest), "A", "Ann") == [103]
        read(contest, "Ann", 103)
        assert left(judged(contest), "A", "Ann") == [101, 102, 103]


class TestTheNextStack:
    def test_is_the_first_that_nobody_has_read_or_taken(self, contest, ann, bob):
        assert next_stack(stacks_of(contest, "Ann")).label == "class 1, group A"
        take_stack(bob, judged(contest), "A")
        assert next_stack(stacks_of(contest, "Ann")).label == "class 1, group B"

    def test_is_a_first_reading_before_a_second(self, contest):
        read(contest, "Bob", *A)
        assert next_stack(stacks_of(contest, "Ann")).label == "class 1, group B"
        read(contest, "Bob", *B)
        read(contest, "Bob", *A, *B, number=2)
        chosen = next_stack(stacks_of(contest, "Ann"))
        assert (chosen.label, chosen.again) == ("class 1, group A", True)

    def test_is_never_one_that_only_others_may_read(self, contest):
        for number in (1, 2):
            read(contest, "Ann", *A, *B, number=number)
        assert next_stack(stacks_of(contest, "Ann")) is None
        assert next_stack(stacks_of(contest, "Bob")) is not None

    def test_leaves_stragglers_to_the_end(self, contest):
        read(contest, "Ann", 101, 102)
        assert next_stack(stacks_of(contest, "Ann")).label == "class 1, group B"
        read(contest, "Ann", *B)
        read(contest, "Ann", *A, *B, number=2)
        assert next_stack(stacks_of(contest, "Ann")).label == "class 1, group A"

    def test_is_another_than_the_one_in_hand(self, contest):
        assert next_stack(stacks_of(contest, "Ann"), besides=stack(contest)).label == "class 1, group B"

    def test_is_shared_only_when_nothing_else_is_left(self, contest, bob):
        for group, number in (("B", 1), ("A", 2), ("B", 2)):
            read(contest, "Ann", *(A if group == "A" else B), number=number)
        take_stack(bob, judged(contest), "A")
        chosen = next_stack(stacks_of(contest, "Ann"))
        assert (chosen.label, [taker.name for taker in chosen.others]) == ("class 1, group A", ["Bob"])


class TestFindingAStack:
    @pytest.mark.parametrize("text", ["1B", "1 b", " 1b ", "1 B"])
    def test_as_people_type_it(self, contest, text):
        assert stack(contest, text).label == "class 1, group B"

    def test_a_group_of_digits_needs_a_space(self):
        contest = a_contest(contestants=(ContestantFactory(group="10"),), cards=())
        assert stack(contest, "1 10").group == "10"

    @pytest.mark.parametrize(
        ("text", "why"),
        [
            ("", "type the class's number, then the group"),
            ("A1", "type the class's number, then the group"),
            ("9A", "no cards are due in a class 9"),
            ("1", "class 1 has the groups A, B: type 1 and one of them"),
            ("1C", "class 1 has the groups A, B: type 1 and one of them"),
        ],
    )
    def test_it_says_what_is_amiss(self, contest, text, why):
        with pytest.raises(NotPossible, match=why):
            stack(contest, text)

    def test_it_says_that_there_are_no_groups(self):
        with pytest.raises(NotPossible, match="not divided into groups: type 1 alone"):
            stack(a_contest(cards=()), "1A")


class TestTaking:
    def test_a_stack_is_taken_by_name_and_written_down(self, contest, ann):
        take_stack(ann, judged(contest), "A")
        (taken,) = stack(contest).taken
        assert (taken.name, taken.mine) == ("Ann", True)
        assert not stack(contest, who="Bob").is_mine
        assert has_claim(ann, judged(contest), "A")
        entry = last_of(contest)
        assert (entry.by, entry.what) == ("Ann", "class 1, group A: stack taken")
        assert contest.trail.last().touches == "nothing"

    def test_the_one_before_goes_back(self, contest, ann):
        take_stack(ann, judged(contest), "A")
        take_stack(ann, judged(contest), "B")
        assert stack(contest).taken == ()
        assert stack(contest, "1B").is_mine

    def test_the_same_again_changes_nothing(self, contest, ann):
        first = take_stack(ann, judged(contest), "A")
        revision = TrailEntry.objects.last().revision
        assert take_stack(ann, judged(contest), "A") == first
        assert TrailEntry.objects.last().revision == revision

    def test_two_may_have_the_same_stack_and_see_each_other(self, contest, ann, bob):
        take_stack(ann, judged(contest), "A")
        take_stack(bob, judged(contest), "A")
        assert [taker.name for taker in stack(contest, who="Ann").others] == ["Bob"]
        assert [taker.name for taker in stack(contest, who="Bob").others] == ["Ann"]

    def test_a_stack_without_cards_cannot_be_taken(self, contest, ann):
        with pytest.raises(NotPossible, match="no cards are due in class 1, group Z"):
            take_stack(ann, judged(contest), "Z")
        assert not StackClaim.objects.exists()

    def test_it_is_given_back(self, contest, ann):
        take_stack(ann, judged(contest), "A")
        give_back(ann)
        assert stack(contest).taken == ()
        assert last_of(contest).what == "class 1, group A: stack given back"

    def test_giving_back_nothing_changes_nothing(self, contest, ann):
        revision = TrailEntry.objects.last().revision
        give_back(ann)
        assert TrailEntry.objects.last().revision == revision

    def test_whoever_is_shown_out_has_no_stack_any_more(self, contest, ann):
        take_stack(ann, judged(contest), "A")
        show_out(ann, "superintendent")
        assert stack(contest, who="Bob").taken == ()
