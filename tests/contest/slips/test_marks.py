from uuid import uuid4

import pytest

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, Mark, MarkReading, Part
from contest.records.loading import load_record
from contest.slips.reading import ABSENT, DIFFERS, REPEATED, SAVED, SETTLED, outcome_of, take_back
from scoring.core.due import missing_marks
from tests.reasons.cast import contest_with_reasons, person, team
from tests.slips import decide_mark, read_mark
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return contest_with_reasons()


@pytest.fixture
def questions(contest):
    return Part.objects.get(contest=contest, code="QUEST")


@pytest.fixture
def activity(contest):
    return Part.objects.get(contest=contest, code="TEAM")


def mark(**of):
    return Mark.objects.filter(**of).values_list("hundredths", "second", "state").first()


def test_two_readers_settle_a_contestants_mark(contest, questions):
    assert read_mark(questions, person(contest), 4725, "Ann").kind == SAVED
    assert read_mark(questions, person(contest), 4725, "Ben").kind == SETTLED
    assert mark(contestant__number=101) == (4725, 4725, "settled")


def test_two_readers_settle_a_teams_mark(contest, activity):
    assert read_mark(activity, team(contest), 8800, "Ann").kind == SAVED
    assert read_mark(activity, team(contest), 8800, "Ben").kind == SETTLED
    assert mark(team__name="Barley Hill") == (8800, 8800, "settled")
    assert mark(team__name="Copper Run") is None


def test_two_slips_that_say_no_mark_settle_that_there_is_none_and_nothing_is_missing(contest, questions, activity):
    for by in ("Ann", "Ben"):
        read_mark(questions, person(contest), None, by)
        read_mark(activity, team(contest), None, by)
    assert mark(contestant__number=101) == mark(team__name="Barley Hill") == (None, None, "settled")
    _, record = load_record(contest.pk)
    assert record.marks == ()
    missing = missing_marks(record)
    assert 101 not in missing["QUEST"] and 102 in missing["QUEST"]
    assert ("SR", "Barley Hill") not in missing["TEAM"] and ("SR", "Copper Run") in missing["TEAM"]


def test_marks_that_differ_are_a_doubt_until_decided(contest, activity):
    read_mark(activity, team(contest), 8800, "Ann")
    assert read_mark(activity, team(contest), 8300, "Ben").kind == DIFFERS
    assert mark(team__name="Barley Hill") == (8800, 8300, "doubt")
    decide_mark(activity, team(contest), 8300, "boss", "an 8 with a tail")
    assert mark(team__name="Barley Hill") == (8300, 8300, "settled")
    assert last_of(contest).what == "Team activity, Barley Hill: decided"


def test_a_decision_needs_a_reason(contest, questions):
    with pytest.raises(NotPossible, match="say why"):
        decide_mark(questions, person(contest), 100, "boss", "")


def test_the_same_reader_again_does_not_settle(contest, questions):
    read_mark(questions, person(contest), 4700, "Ann")
    assert read_mark(questions, person(contest), 4700, "Ann").kind == REPEATED
    assert mark(contestant__number=101) == (4700, None, "once")


def test_a_part_of_teams_takes_no_contestant_and_the_other_way_round(contest, questions, activity):
    with pytest.raises(NotPossible, match="each team"):
        read_mark(activity, person(contest), 100, "Ann")
    with pytest.raises(NotPossible, match="each contestant"):
        read_mark(questions, team(contest), 100, "Ann")
    assert not MarkReading.objects.exists()


def test_a_division_that_does_not_do_the_part_is_refused(contest, questions, activity):
    with pytest.raises(NotPossible, match="division of 201"):
        read_mark(questions, person(contest, 201), 100, "Ann")
    activity.divisions.remove(team(contest).division)
    with pytest.raises(NotPossible, match="division of Barley Hill"):
        read_mark(activity, team(contest), 100, "Ann")


@pytest.mark.parametrize("points", [-1, 5001])
def test_marks_outside_the_parts_range_are_refused(contest, questions, points):
    with pytest.raises(NotPossible, match="0 to 50 points"):
        read_mark(questions, person(contest), points, "Ann")


@pytest.mark.parametrize("points", [0, 10000])
def test_both_ends_of_the_range_are_taken(contest, activity, points):
    assert read_mark(activity, team(contest), points, "Ann").kind == SAVED


def test_a_submission_that_comes_twice_is_one_reading(contest, questions):
    submission = uuid4()
    fate = read_mark(questions, person(contest), 4700, "Ann", submission)
    assert read_mark(questions, person(contest), 4700, "Ann", submission) == fate
    with pytest.raises(SubmissionReused):
        read_mark(questions, person(contest, 102), 4700, "Ann", submission)
    assert MarkReading.objects.count() == 1


def test_a_mark_of_somebody_absent_is_kept_and_the_reader_is_told(contest, questions):
    Contestant.objects.filter(number=101).update(present=False)
    assert read_mark(questions, person(contest), 4700, "Ann").kind == ABSENT
    assert mark(contestant__number=101) == (4700, None, "once")


def test_a_reader_takes_their_own_mark_back_until_somebody_else_agreed(contest, activity):
    read_mark(activity, team(contest), 8800, "Ann")
    own = MarkReading.objects.get()
    with pytest.raises(NotPossible, match="only whoever read"):
        take_back(own, "Ben")
    take_back(own, "Ann")
    assert mark(team__name="Barley Hill") is None
    read_mark(activity, team(contest), 8800, "Ann")
    read_mark(activity, team(contest), 8800, "Ben")
    with pytest.raises(NotPossible, match="settled"):
        take_back(MarkReading.objects.latest("pk"), "Ben")


def test_the_fate_of_an_earlier_reading_is_as_things_stand(contest, questions):
    read_mark(questions, person(contest), 4700, "Ann")
    reading = MarkReading.objects.get()
    assert outcome_of(reading).kind == SAVED
    read_mark(questions, person(contest), 4600, "Ben")
    assert outcome_of(reading).kind == DIFFERS
