"""The superintendent's timetable: hours, rooms, drafts, and putting one in force."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from contest.models import Contestant, Duty
from contest.trail import record_change
from contest.trail.sentences import Sentence
from reasons.day import search, timetable
from reasons.day.changing import Overtaken, deal_classes, put_in_force, save_room, set_day
from reasons.day.room_events import begin, call_back, mark_no_show, stop
from reasons.day.timetable import Wishes, who_moves
from reasons.models import ReasonsDay, Room, Slot
from reasons.scores.officials import add_official
from tests.pages import html_in
from tests.reasons.day.cast import day, first_room, make_draft, planned_contest, reasons_contest
from tests.trails import last_of

HOURS = {
    "starts_at": "9:30",
    "minutes_per_set": "3",
    "minutes_to_prepare": "15",
    "minutes_between_sets": "6",
    "breaks": "12:00-13:00, 15:30–15:45",
    "components": "accuracy 30, delivery 20",
}

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def at(name, contest, *args):
    return reverse(name, args=[contest.pk, *args])


def send(client, name, contest, *args, **fields):
    return client.post(at(name, contest, *args), {"submission": str(uuid4()), **fields})


def plan(client, contest, **wishes):
    """Plan, and come to the page of the draft."""
    return client.post(at("reasons-plan", contest), {"submission": str(uuid4()), **wishes}, follow=True)


def publish(client, contest, drafted, draft=1):
    return send(client, "reasons-publish", contest, drafted.context["key"], draft=draft)


def revision(contest):
    return type(contest).objects.values_list("revision", flat=True).get(pk=contest.pk)


def test_hours_are_kept(superintendent):
    contest = reasons_contest()
    assert send(superintendent, "reasons-hours", contest, **HOURS).status_code == 302
    kept = day(contest)
    assert f"{kept.starts_at:%H:%M}" == "09:30"
    assert kept.breaks == [[720, 780], [930, 945]]
    assert kept.components == [["accuracy", 30], ["delivery", 20]]
    page = html_in(superintendent.get(at("reasons", contest)))
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
    assert words in html_in(response)
    assert f'value="{value}"' in html_in(response)
    assert day(contest).starts_at == before.starts_at


def test_rooms_come_change_and_go(superintendent):
    contest = reasons_contest(rooms=1)
    official = add_official(contest, "A. Marsh", "test")
    judged = contest.classes.get(number=4)
    fields = {
        "new-name": "Blue tent",
        "new-officials": [official.pk],
        "new-classes": [judged.pk],
        "new-shows_key": "on",
    }
    assert send(superintendent, "reasons-new-room", contest, **fields).status_code == 302
    room = contest.rooms.get(name="Blue tent")
    assert (list(room.officials.all()), list(room.classes.all()), room.shows_key) == ([official], [judged], True)
    page = html_in(superintendent.get(at("reasons", contest)))
    assert "Blue tent</bdi>: <bdi>A. Marsh</bdi> (class 4" in page
    changed = {f"room-{room.pk}-name": "Red tent"}
    assert send(superintendent, "reasons-change-room", contest, room.pk, **changed).status_code == 302
    room.refresh_from_db()
    assert (room.name, list(room.officials.all()), list(room.classes.all())) == ("Red tent", [], [])
    assert not room.shows_key
    assert send(superintendent, "reasons-remove-room", contest, room.pk).status_code == 302
    assert not Room.objects.filter(pk=room.pk).exists()
    assert send(superintendent, "reasons-remove-room", contest, room.pk).status_code == 302  # pressed twice


def test_an_official_is_not_in_two_places(superintendent):
    contest = reasons_contest(rooms=2)
    first, second = contest.rooms.all()
    fields = {f"room-{second.pk}-name": "2", f"room-{second.pk}-officials": [first.officials.get().pk]}
    response = send(superintendent, "reasons-change-room", contest, second.pk, **fields)
    assert response.status_code == 422
    assert "Official 1 hears in room 1 already" in html_in(response)


def test_two_officials_hear_one_room(superintendent):
    contest = reasons_contest(rooms=1)
    room, official = first_room(contest)
    other = add_official(contest, "A. Marsh", "test")
    fields = {f"room-{room.pk}-name": "1", f"room-{room.pk}-officials": [official.pk, other.pk]}
    assert send(superintendent, "reasons-change-room", contest, room.pk, **fields).status_code == 302
    assert len(plan(superintendent, contest).context["draft"].sets) == 16  # both hear the same set


def test_two_rooms_of_one_name_are_refused(superintendent):
    contest = reasons_contest(rooms=1)
    response = send(superintendent, "reasons-new-room", contest, **{"new-name": " 1 "})
    assert response.status_code == 422
    assert "there is a room 1 already" in html_in(response)


def test_a_room_where_somebody_was_heard_stays(superintendent):
    contest = planned_contest()
    room, _ = first_room(contest)
    begin(room.slots.first(), room, timezone.now(), "test")
    response = send(superintendent, "reasons-remove-room", contest, room.pk)
    assert response.status_code == 409
    assert Room.objects.filter(pk=room.pk).exists()


def test_a_draft_changes_nothing_until_it_is_put_in_force(superintendent):
    contest = reasons_contest()
    drafted = plan(superintendent, contest)
    assert drafted.status_code == 200
    assert not Slot.objects.exists()
    assert publish(superintendent, contest, drafted).status_code == 302
    assert Slot.objects.count() == 16
    assert last_of(contest).what.startswith("timetable of the reasons: 16 sets")
    page = html_in(superintendent.get(at("reasons-draft", contest, drafted.context["key"])))
    assert "The timetable is in force" in page
    assert "Use this timetable" not in page


def test_planning_pressed_twice_is_one_draft(superintendent):
    contest = reasons_contest()
    sent = {"submission": str(uuid4())}
    first, second = (superintendent.post(at("reasons-plan", contest), sent) for _ in range(2))
    assert first.url == second.url
    assert first.url.endswith(f"{sent['submission']}/")


def test_who_begins_meanwhile_where_the_draft_has_them_does_not_spoil_it(superintendent):
    contest = planned_contest()
    drafted = plan(superintendent, contest)
    room, _ = first_room(contest)
    begun, absent = room.slots.all()[:2]
    begin(begun, room, timezone.now(), "test")
    mark_no_show(absent, "test")
    assert publish(superintendent, contest, drafted).status_code == 302
    assert Slot.objects.get(pk=begun.pk).state == Slot.State.SPEAKING
    assert Slot.objects.get(pk=absent.pk).state == Slot.State.ABSENT
    assert Slot.objects.count() == 16


def test_who_begins_meanwhile_elsewhere_overtakes_a_draft(superintendent):
    contest = planned_contest()
    drafted = plan(superintendent, contest)
    first, second = contest.rooms.all()
    begin(first.slots.first(), second, timezone.now(), "test")
    refused = publish(superintendent, contest, drafted)
    assert refused.status_code == 409
    assert "has begun in another room since this was planned" in html_in(refused)


def test_who_is_to_be_heard_again_overtakes_a_draft():
    contest = planned_contest()
    room, _ = first_room(contest)
    slot = room.slots.first()
    begin(slot, room, timezone.now(), "test")
    draft = make_draft(contest, Wishes())
    call_back(slot, "test")
    with pytest.raises(Overtaken, match="is to be heard again"):
        put_in_force(contest, draft, "test")


@pytest.mark.parametrize(
    "change",
    [
        lambda contest: set_day(contest, "test", minutes_between_sets=20),
        lambda contest: deal_classes(contest, "test"),
        lambda contest: save_room(contest, None, "9", [], False, "test"),
        lambda contest: (
            Contestant.objects.filter(contest=contest, number=101).delete(),
            record_change(contest, "test", Sentence("101 is gone")),
        ),
    ],
    ids=["hours", "classes", "rooms", "entries"],
)
def test_a_draft_of_other_hours_rooms_or_entries_is_overtaken(change):
    contest = reasons_contest()
    draft = make_draft(contest, Wishes())
    change(contest)
    with pytest.raises(Overtaken, match="have changed since this was planned"):
        put_in_force(ReasonsDay.objects.get(contest=contest).contest, draft, "test")
    assert not Slot.objects.exists()


@pytest.mark.parametrize("draft", ["", "0", "2", "made up"])
def test_a_draft_that_never_was_is_refused(superintendent, draft):
    contest = reasons_contest()
    assert publish(superintendent, contest, plan(superintendent, contest), draft).status_code == 404
    assert not Slot.objects.exists()


def test_a_draft_that_is_forgotten_says_so(superintendent):
    contest = reasons_contest()
    get, post = superintendent.get, superintendent.post
    for name, call in [("draft", get), ("better", post), ("publish", post)]:
        response = call(at(f"reasons-{name}", contest, uuid4()), {"submission": str(uuid4())})
        assert response.status_code == 404
        assert "That draft is gone" in html_in(response)


def test_a_draft_of_another_contest_is_not_shown(superintendent):
    drafted = plan(superintendent, reasons_contest())
    other = ReasonsDay.objects.get().contest
    other.pk = None
    other.save()
    assert superintendent.get(at("reasons-draft", other, drafted.context["key"])).status_code == 404


def test_only_the_last_few_drafts_are_remembered(superintendent):
    contest = reasons_contest()
    keys = [plan(superintendent, contest).context["key"] for _ in range(search.KEPT + 1)]
    assert search.find(keys[0], contest) is None
    assert search.find(keys[1], contest)


def test_wishes_are_heard(superintendent):
    contest = reasons_contest()
    first, second = contest.rooms.all()
    wishes = {"late": "101 9:40, 102 9:30", f"from_{first.pk}": "9:20", f"until_{second.pk}": "9:20"}
    draft = plan(superintendent, contest, **wishes).context["draft"]
    assert min(one.start for one in draft.sets if one.number == 101) >= 580
    assert min(one.start for one in draft.sets if one.room == str(first.pk)) >= 560
    assert max(one.end for one in draft.sets if one.room == str(second.pk)) <= 560


def test_what_was_wished_holds_until_it_is_changed(superintendent):
    contest = reasons_contest()
    first, second = contest.rooms.all()
    wishes = {"late": "101 9:40", f"from_{first.pk}": "9:20", f"until_{second.pk}": "9:50"}
    publish(superintendent, contest, plan(superintendent, contest, **wishes))
    form = superintendent.get(at("reasons", contest)).context["plan"]
    shown = {name: form[name].value() for name in wishes}
    assert shown == {"late": "101 09:40", f"from_{first.pk}": "09:20", f"until_{second.pk}": "09:50"}
    assert superintendent.get(at("reasons", contest)).context["plan"][f"until_{first.pk}"].value() == ""


def test_who_was_late_until_a_minute_that_has_passed_is_not_asked_for_again(superintendent, monkeypatch):
    contest = reasons_contest()
    publish(superintendent, contest, plan(superintendent, contest, late="101 9:40, 102 9:50"))
    monkeypatch.setattr(timetable, "minute_now", lambda contest: 585)
    assert superintendent.get(at("reasons", contest)).context["plan"]["late"].value() == "102 09:50"


def test_classes_are_dealt_out_to_the_rooms_and_back(superintendent):
    contest = reasons_contest()
    assert send(superintendent, "reasons-deal", contest, how="keep").status_code == 302
    kept = {room.pk: {judged.number for judged in room.classes.all()} for room in contest.rooms.all()}
    assert sorted(map(sorted, kept.values())) == [[3], [4]]
    draft = plan(superintendent, contest).context["draft"]
    assert all(one.class_number in kept[int(one.room)] for one in draft.sets)
    assert send(superintendent, "reasons-deal", contest, how="all").status_code == 302
    assert not any(room.classes.exists() for room in contest.rooms.all())


def test_a_class_without_a_room_is_told(superintendent):
    contest = reasons_contest()
    for room in contest.rooms.all():
        room.classes.set(contest.classes.filter(number=3))
    response = plan(superintendent, contest)
    assert response.status_code == 422
    assert "no room hears class 4" in html_in(response)


def test_breaks_that_cover_the_day_are_told(superintendent):
    contest = reasons_contest(hours={"breaks": [[0, 1439]]})
    response = plan(superintendent, contest)
    assert response.status_code == 422
    assert "the breaks leave no time to speak between 09:10 and midnight" in html_in(response)


def test_who_waits_at_a_door_stays_there_in_turn(monkeypatch):
    contest = planned_contest(people=16)
    room, _ = first_room(contest)
    speaking, *waiting = room.slots.all()
    begin(speaking, room, timezone.now(), "test")
    Slot.objects.filter(pk=speaking.pk).update(began_at=speaking.starts_at)
    monkeypatch.setattr(timetable, "minute_now", lambda contest: 560)  # 9:20: the first still speaks
    draft = make_draft(contest, Wishes(anew=True))
    own = [(one.start, one.number) for one in draft.sets if one.room == str(room.pk)]
    assert own[:2] == [(560, waiting[0].contestant.number), (562, waiting[1].contestant.number)]


def test_who_moves_is_said_and_written_down(superintendent):
    contest = planned_contest()
    second = contest.rooms.last()
    drafted = plan(superintendent, contest, **{f"until_{second.pk}": "9:14"})
    moved = drafted.context["moves"]
    assert {move.before.split(", ")[1] for move in moved} == {"room 2"}
    assert f"{len(moved)} sets of" in drafted.context["in_short"]
    publish(superintendent, contest, drafted)
    assert len(contest.trail.get(revision=revision(contest)).after["moved"]) == len(moved)
    assert "Who moved" in html_in(superintendent.get(at("reasons-draft", contest, drafted.context["key"])))


@pytest.mark.parametrize(
    ("late", "words"),
    [("101", "needs a number and a time"), ("x 9:30", "needs a number"), ("7 9:30", "has the number 7")],
)
def test_wishes_that_cannot_be_read(superintendent, late, words):
    response = plan(superintendent, reasons_contest(), late=late)
    assert response.status_code == 422
    assert words in html_in(response)


def test_rooms_that_all_close_too_early_are_told(superintendent):
    contest = reasons_contest()
    until = {f"until_{room.pk}": "9:14" for room in contest.rooms.all()}
    response = plan(superintendent, contest, **until)
    assert response.status_code == 422
    assert "the rooms close before everybody is heard" in html_in(response)


def test_without_hours_there_is_no_plan(superintendent):
    contest = reasons_contest()
    ReasonsDay.objects.all().delete()
    assert superintendent.get(at("reasons", contest)).status_code == 200
    assert plan(superintendent, contest).status_code == 409


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
    mark_no_show(slot, "test")
    assert key not in {(one.number, one.class_number) for one in make_draft(contest, Wishes()).sets}
    draft = make_draft(contest, Wishes(late={key[0]: 590}))
    assert key in {(one.number, one.class_number) for one in draft.sets}
    put_in_force(contest, draft, "test")
    again = Slot.objects.get(contestant=slot.contestant, judging_class=slot.judging_class)
    assert again.state == Slot.State.PLANNED


def test_who_goes_home_is_not_planned_again():
    contest = planned_contest()
    Contestant.objects.filter(contest=contest, number=101).update(present=False)
    record_change(contest, "test", Sentence("101 goes home"))
    draft = make_draft(contest, Wishes())
    assert {one.number for one in who_moves(contest, draft) if one.after is None} == {101}


@pytest.mark.parametrize("name", ["reasons", "reasons-fairness"])
@pytest.mark.parametrize("duty", list(Duty))
def test_the_timetable_and_fairness_are_the_superintendents(as_helper, name, duty):
    contest = planned_contest()
    assert as_helper(contest, duty).get(at(name, contest)).status_code == 404


@pytest.mark.parametrize("name", ["reasons-hours", "reasons-new-room", "reasons-deal", "reasons-plan"])
def test_changes_are_posts(superintendent, client, name):
    contest = reasons_contest()
    assert superintendent.get(at(name, contest)).status_code == 405
    assert client.post(at(name, contest)).status_code == 302  # a stranger is led to the join page


@pytest.mark.parametrize("name", ["reasons-better", "reasons-publish"])
def test_changes_of_a_draft_are_posts(superintendent, name):
    contest = reasons_contest()
    key = plan(superintendent, contest).context["key"]
    assert superintendent.get(at(name, contest, key)).status_code == 405


@pytest.mark.parametrize("name", ["reasons", "reasons-timetable"])
def test_the_timetable_takes_few_queries(superintendent, django_assert_max_num_queries, name):
    contest = planned_contest(people=40, rooms=8)
    with django_assert_max_num_queries(38):
        superintendent.get(at(name, contest))
