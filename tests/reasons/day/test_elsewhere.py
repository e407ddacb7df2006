"""Reasons of two contests of a day: planned so that nobody is in two places at once, officials neither."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.models import Contest, Event, EventContest
from reasons.day.changing import put_in_force, save_room
from reasons.day.elsewhere import elsewhere
from reasons.day.timetable import Wishes, as_planned, planning_of, slots_of
from reasons.models import Slot
from reasons.scores.officials import add_official
from tests.reasons.day.cast import make_draft, planned_contest, reasons_contest

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
REST = 4


@pytest.fixture
def two():
    """The same eight people in both; the reasons of the first are planned."""
    both = planned_contest(), reasons_contest(classes=(3,))
    for contest in both:
        for number in contest.contestants.values_list("number", flat=True):
            contest.contestants.filter(number=number).update(first_name="Ann", last_name=f"Number {number}")
    event = Event.objects.create(name="County Day")
    EventContest.objects.bulk_create(EventContest(event=event, contest=contest) for contest in both)
    return both


def sets_of(contest):
    return [as_planned(contest, slot) for slot in slots_of(contest)]


def apart(first, second):
    return second.start >= first.end + REST or first.start >= second.end + REST


def test_nobody_is_in_two_places_and_everybody_rests_between(two):
    livestock, dairy = two
    put_in_force(dairy, make_draft(dairy, Wishes()), "test")
    for theirs in sets_of(dairy):
        assert all(apart(theirs, one) for one in sets_of(livestock) if one.number == theirs.number)
    assert elsewhere(dairy).clashing(sets_of(dairy)) == []
    # Officials of both have one name: no room of the one hears while theirs hears in the other.
    hearing = [(one.start, one.end) for one in sets_of(livestock)]
    assert all(theirs.start >= max(end for _begin, end in hearing) for theirs in sets_of(dairy))


def test_officials_of_other_names_hear_at_the_same_time(two):
    livestock, dairy = two
    for room in dairy.rooms.all():
        own = add_official(dairy, f"Somebody {room.name}", "test")
        save_room(dairy, room, room.name, [own], False, "test")
    made = make_draft(dairy, Wishes())
    assert made.sets[0].start < max(one.end for one in sets_of(livestock))
    for theirs in made.sets:
        assert all(apart(theirs, one) for one in sets_of(livestock) if one.number == theirs.number)


def test_a_draft_is_overtaken_by_the_timetable_of_another_contest(two):
    livestock, dairy = two
    made = make_draft(dairy, Wishes())
    Slot.objects.filter(room__contest=livestock).first().delete()
    with pytest.raises(NotPossible):
        put_in_force(dairy, made, "test")


def test_classes_of_the_other_contest_are_kept_free_and_what_clashes_is_named(two):
    livestock, dairy = two
    put_in_force(dairy, make_draft(dairy, Wishes()), "test")
    first = sets_of(dairy)[0]
    Contest.objects.filter(pk=livestock.pk).update(starts_at="09:00", minutes_per_class=300, held_on=dairy.held_on)
    livestock.contestants.filter(number=first.number).update(group="A")
    taken = elsewhere(dairy)
    assert [one.number for one in taken.clashing(sets_of(dairy))] == [first.number]
    begins = make_draft(dairy, Wishes()).sets
    assert min(one.start for one in begins if one.number == first.number) >= 540 + 300


def test_a_contest_of_no_event_is_free():
    contest = reasons_contest(people=2)
    assert elsewhere(contest).people == {}
    assert all(not speaker.busy for speaker in planning_of(contest, Wishes()).task.speakers)
