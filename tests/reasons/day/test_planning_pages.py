"""The superintendent's timetable: hours, rooms, drafts, and putting one in force."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from contest.models import Contestant, Duty
from reasons.day.changing import Overtaken, put_in_force
from reasons.day.speaking import begin, call_in_vain, stop
from reasons.day.timetable import Wishes, make_draft, opened, who_moves
from reasons.models import ReasonsDay, Room, Slot
from tests.reasons.day.cast import day, first_room, planned_contest, reasons_contest

HOURS = {
    "starts_at": "9:30",
    "minutes_per_set": "3",
    "minutes_to_prepare": "15",
    "minutes_between_sets": "6",
    "breaks": "12:00-13:00, 15:30–15:45",
    "components": "accuracy 30, delivery 20",
}

pytestmark = pytest.mark.django_db


def at(name, contest, *args):
    return reverse(name, args=[contest.pk, *args])


def send(client, name, contest, *args, **fields):
    return client.post(at(name, contest, *args), {"submission": str(uuid4()), **fields})


def sealed(response):
    return response.context["sealed"]


def test_hours_are_kept(superintendent):
    contest = reasons_contest()
    assert send(superintendent, "reasons-hours", contest, **HOURS).status_code == 302
    kept = day(contest)
    assert f"{kept.starts_at:%H:%M}" == "09:30"
    assert kept.breaks == [[720, 780], [930, 945]]
    assert kept.components == [["accuracy", 30], ["delivery", 20]]
    page = superintendent.get(at("reasons", contest)).content.decode()
    assert "12:00-13:00, 15:30-15:45" in page
    assert "accuracy 30, delivery 20" in page


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("starts_at", "soon", "Enter a valid time"),
        ("minutes_per_set", "0", "greater than or equal to 1"),
        ("breaks", "12:00", "is no break"),
        ("breaks", "13:00-12:00", "ends before it begins"),
        ("components", "accuracy", "needs a name and the most points"),
        ("components", "accuracy 20, terms 10", "together they give 30 points"),
        ("components", "Terms 25, terms 25", "the same name"),
    ],
)
def test_wrong_hours_are_told_and_stay_typed(superintendent, field, value, words):
    contest = reasons_contest()
    before = day(contest)
    response = send(superintendent, "reasons-hours", contest, **{**HOURS, field: value})
    assert response.status_code == 422
    assert words in response.content.decode()
    assert f'value="{value}"' in response.content.decode()
    assert day(contest).starts_at == before.starts_at


def test_rooms_come_change_and_go(superintendent):
    contest = reasons_contest(rooms=1)
    official = contest.reasons_officials.get()
    fields = {"new-name": "Blue tent", "new-officials": [official.pk], "new-shows_key": "on"}
    assert send(superintendent, "reasons-new-room", contest, **fields).status_code == 302
    room = contest.rooms.get(name="Blue tent")
    assert (list(room.officials.all()), room.shows_key) == ([official], True)
    changed = {f"room-{room.pk}-name": "Red tent"}
    assert send(superintendent, "reasons-change-room", contest, room.pk, **changed).status_code == 302
    room.refresh_from_db()
    assert (room.name, list(room.officials.all()), room.shows_key) == ("Red tent", [], False)
    assert send(superintendent, "reasons-remove-room", contest, room.pk).status_code == 302
    assert not Room.objects.filter(pk=room.pk).exists()
    assert send(superintendent, "reasons-remove-room", contest, room.pk).status_code == 302  # pressed twice


def test_two_rooms_of_one_name_are_refused(superintendent):
    contest = reasons_contest(rooms=1)
    response = send(superintendent, "reasons-new-room", contest, **{"new-name": " 1 "})
    assert response.status_code == 422
    assert "there is a room 1 already" in response.content.decode()


def test_a_room_where_somebody_was_heard_stays(superintendent):
    contest = planned_contest()
    room, _ = first_room(contest)
    begin(room.slots.first(), room, timezone.now(), "test")
    response = send(superintendent, "reasons-remove-room", contest, room.pk)
    assert response.status_code == 409
    assert Room.objects.filter(pk=room.pk).exists()


def test_a_draft_changes_nothing_until_it_is_put_in_force(superintendent):
    contest = reasons_contest()
    response = superintendent.post(at("reasons-plan", contest))
    assert response.status_code == 200
    assert not Slot.objects.exists()
    assert send(superintendent, "reasons-publish", contest, draft=sealed(response)).status_code == 302
    assert Slot.objects.count() == 16
    revision = type(contest).objects.get(pk=contest.pk).revision
    assert contest.trail.get(revision=revision).what.startswith("timetable of the reasons: 16 sets")


def test_a_draft_that_was_overtaken_is_a_conflict(superintendent):
    contest = planned_contest()
    response = superintendent.post(at("reasons-plan", contest))
    room, _ = first_room(contest)
    begin(room.slots.first(), room, timezone.now(), "test")
    refused = send(superintendent, "reasons-publish", contest, draft=sealed(response))
    assert refused.status_code == 409
    assert "Something has happened since this was planned" in refused.content.decode()


@pytest.mark.parametrize("draft", ["", "made up", "made:up"])
def test_a_draft_that_is_not_ours_is_refused(superintendent, draft):
    assert send(superintendent, "reasons-publish", reasons_contest(), draft=draft).status_code == 409
    assert not Slot.objects.exists()


def test_a_draft_survives_being_sealed():
    contest = reasons_contest()
    draft = make_draft(contest, Wishes(keep=True, late={101: 570}, closing={contest.rooms.first().pk: 600}))
    assert opened(draft.sealed()) == draft


def test_looking_longer_keeps_the_better_draft(superintendent):
    contest = reasons_contest()
    response = superintendent.post(at("reasons-plan", contest))
    again = superintendent.post(at("reasons-better", contest), {"draft": sealed(response), "tries": "0"})
    assert again.status_code == 200
    assert again.context["draft"] == response.context["draft"]
    assert "this is still the best" in again.content.decode()


def test_wishes_are_heard(superintendent):
    contest = reasons_contest()
    first, second = contest.rooms.all()
    wishes = {"late": "101 9:40, 102 9:30", f"from_{first.pk}": "9:20", f"until_{second.pk}": "9:20"}
    draft = superintendent.post(at("reasons-plan", contest), wishes).context["draft"]
    assert min(one.start for one in draft.sets if one.number == 101) >= 580
    assert min(one.start for one in draft.sets if one.room == str(first.pk)) >= 560
    assert max(one.end for one in draft.sets if one.room == str(second.pk)) <= 560


def test_a_class_can_keep_to_its_room(superintendent):
    contest = reasons_contest()
    draft = superintendent.post(at("reasons-plan", contest), {"keep": "on"}).context["draft"]
    assert {
        frozenset(one.class_number for one in draft.sets if one.room == room) for room in {s.room for s in draft.sets}
    } == {
        frozenset({3}),
        frozenset({4}),
    }


@pytest.mark.parametrize(("late", "words"), [("101", "needs a number and a time"), ("x 9:30", "needs a number")])
def test_wishes_that_cannot_be_read(superintendent, late, words):
    response = superintendent.post(at("reasons-plan", reasons_contest()), {"late": late})
    assert response.status_code == 422
    assert words in response.content.decode()


def test_rooms_that_all_close_too_early_are_told(superintendent):
    contest = reasons_contest()
    until = {f"until_{room.pk}": "9:14" for room in contest.rooms.all()}
    response = superintendent.post(at("reasons-plan", contest), until)
    assert response.status_code == 422
    assert "the rooms close before everybody is heard" in response.content.decode()


def test_without_hours_there_is_no_plan(superintendent):
    contest = reasons_contest()
    ReasonsDay.objects.all().delete()
    assert superintendent.get(at("reasons", contest)).status_code == 200
    assert superintendent.post(at("reasons-plan", contest)).status_code == 409


def test_what_was_heard_stays_when_it_is_planned_again():
    contest = planned_contest()
    room, _ = first_room(contest)
    slot = room.slots.first()
    begin(slot, room, timezone.now(), "test")
    stop(slot, timezone.now(), "test")
    draft = make_draft(contest, Wishes())
    key = (slot.contestant.number, slot.judging_class.number)
    assert key not in {(one.number, one.class_number) for one in draft.sets}
    put_in_force(contest, draft, "test")
    assert Slot.objects.get(pk=slot.pk).state == Slot.State.HEARD
    assert Slot.objects.count() == 16


def test_whoever_was_called_in_vain_comes_back_only_when_asked_for():
    contest = planned_contest()
    slot = first_room(contest)[0].slots.first()
    key = (slot.contestant.number, slot.judging_class.number)
    call_in_vain(slot, "test")
    assert key not in {(one.number, one.class_number) for one in make_draft(contest, Wishes()).sets}
    draft = make_draft(contest, Wishes(late={key[0]: 590}))
    assert key in {(one.number, one.class_number) for one in draft.sets}
    put_in_force(contest, draft, "test")
    again = Slot.objects.get(contestant=slot.contestant, judging_class=slot.judging_class)
    assert again.state == Slot.State.PLANNED


def test_who_goes_home_is_not_planned_again():
    contest = planned_contest()
    Contestant.objects.filter(contest=contest, number=101).update(present=False)
    from contest.trail import record_change

    record_change(contest, "test", "101 goes home")
    draft = make_draft(contest, Wishes())
    assert {one.number for one in who_moves(contest, draft) if one.after is None} == {101}


def test_a_draft_of_another_entry_list_is_overtaken():
    contest = reasons_contest()
    draft = make_draft(contest, Wishes())
    Contestant.objects.filter(contest=contest, number=101).delete()
    with pytest.raises(Overtaken):
        put_in_force(contest, draft, "test")


@pytest.mark.parametrize("name", ["reasons", "reasons-fairness"])
@pytest.mark.parametrize("duty", list(Duty))
def test_the_timetable_and_fairness_are_the_superintendents(as_helper, name, duty):
    contest = planned_contest()
    assert as_helper(contest, duty).get(at(name, contest)).status_code == 404


@pytest.mark.parametrize(
    "name", ["reasons-hours", "reasons-new-room", "reasons-plan", "reasons-better", "reasons-publish"]
)
def test_changes_are_posts(superintendent, client, name):
    contest = reasons_contest()
    assert superintendent.get(at(name, contest)).status_code == 405
    assert client.post(at(name, contest)).status_code == 302  # a stranger is led to the join page


def test_the_timetable_takes_few_queries(superintendent, django_assert_max_num_queries):
    contest = planned_contest(people=40, rooms=8)
    with django_assert_max_num_queries(30):
        superintendent.get(at("reasons", contest))
