"""A room's device, the waiting hall, the class notes, fairness and the practice sheets."""

import json
import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from contest.entries.accommodating import Needs, accommodate
from contest.helpers.codes import tablet_codes
from contest.models import Duty, ReasonsReading, ReasonsScore
from contest.setup.contests import change_rules
from reasons.day.changing import put_in_force
from reasons.day.pages import room_sets
from reasons.day.timetable import Wishes
from reasons.models import SetNote, Slot
from tests.figures import stands_in
from tests.pages import body, html_in
from tests.reasons.day.cast import first_room, make_draft, planned_contest, reasons_contest

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def at(name, contest, *args):
    return reverse(name, args=[contest.pk, *args])


@pytest.fixture
def contest(db):
    return planned_contest(people=4, rooms=2, classes=(3,))


class Device:
    """A room's device, as its script speaks."""

    def __init__(self, client, contest, room=None):
        self.client, self.contest = client, contest
        self.room = room or contest.rooms.first()
        self.official = self.room.officials.first()
        self.slots = list(self.room.slots.order_by("starts_at"))

    def tell(self, what, slot, submission=None, by="Ann", when=None, **more):
        body = {
            "submission": str(submission or uuid4()),
            "by": by,
            "what": what,
            "number": slot.contestant.number,
            "class_number": slot.judging_class.number,
            "at": int((when or timezone.now()).timestamp() * 1000),
            **more,
        }
        address = at("reasons-room-events", self.contest, self.room.pk, self.official.pk)
        return self.client.post(address, json.dumps(body), content_type="application/json")


@pytest.fixture
def as_tablet(as_helper):
    """Makes the clients of an official's tablet; of the first room's where nobody else is named."""

    def make(contest, name="Ann", official=None):
        return as_helper(contest, Duty.ROOM, name, official or first_room(contest)[1])

    return make


@pytest.fixture
def device(contest, as_tablet):
    return Device(as_tablet(contest), contest)


def state(slot):
    slot.refresh_from_db()
    return slot.state


def test_a_set_from_beginning_to_end(device):
    slot = device.slots[0]
    began = timezone.now() - timedelta(minutes=2)
    assert device.tell("begin", slot, when=began).json()["kind"] == "saved"
    assert state(slot) == Slot.State.SPEAKING
    assert device.tell("score", slot, points="43.5").json()["kind"] == "settled"
    assert device.tell("stop", slot).json()["kind"] == "saved"
    assert state(slot) == Slot.State.HEARD
    assert slot.stopped_at - slot.began_at >= timedelta(minutes=2)
    score = ReasonsScore.objects.get()
    assert (score.hundredths, score.official, score.contestant) == (4350, device.official, slot.contestant)


def test_a_set_counts_the_minutes_that_its_contestant_was_granted_and_says_no_more(device, contest):
    one = device.slots[0].contestant
    accommodate(one, Needs(extra_time=50, scribe=True, note="an invented reason"), "Sue")
    sets = room_sets(contest, device.room, device.official, "Ann")
    minutes = {told["number"]: told["minutes"] for told in sets}
    assert minutes == {slot.contestant.number: 3 if slot.contestant == one else 2 for slot in device.slots}
    assert not re.search("extra|scribe|invented", json.dumps(sets))


def test_the_same_event_twice_is_one(device):
    slot, submission = device.slots[0], uuid4()
    when = timezone.now()
    for _ in range(2):
        assert device.tell("begin", slot, submission, when=when).status_code == 200
    device.tell("stop", slot)
    assert device.tell("begin", slot, submission, when=when).status_code == 200  # sent a third time, late
    assert state(slot) == Slot.State.HEARD
    assert device.tell("absent", slot, submission, when=when).status_code == 422


def test_the_same_score_twice_is_one_and_another_replaces_it(device):
    slot, submission, when = device.slots[0], uuid4(), timezone.now()
    device.tell("begin", slot)
    for _ in range(2):
        device.tell("score", slot, submission, when=when, points="40")
    assert ReasonsReading.objects.count() == 1
    device.tell("score", slot, points="44")
    assert ReasonsReading.objects.filter(withdrawn_at=None).get().hundredths == 4400
    score = ReasonsScore.objects.get()
    assert (score.hundredths, score.state) == (4400, "settled")


@pytest.mark.parametrize("points", ["51", "-1", "x", ""])
def test_a_score_that_is_none_is_refused(device, points):
    device.tell("begin", device.slots[0])
    answer = device.tell("score", device.slots[0], points=points)
    assert answer.status_code == 422
    assert "press Begin" not in answer.json()["text"]
    assert not ReasonsScore.objects.exists()


@pytest.mark.parametrize("state", [Slot.State.PLANNED, Slot.State.ABSENT])
def test_a_score_for_somebody_who_has_not_begun_is_refused(device, state):
    slot = device.slots[0]
    Slot.objects.filter(pk=slot.pk).update(state=state)
    answer = device.tell("score", slot, points="43")
    assert answer.status_code == 422
    assert f"{slot.contestant.number} has not begun on class 3" in answer.json()["text"]
    assert not ReasonsScore.objects.exists()


def test_a_score_that_is_cleared_is_none_and_leaves_the_reading_in_place(device):
    slot = device.slots[0]
    device.tell("begin", slot)
    device.tell("score", slot, points="43")
    assert device.tell("clear", slot).json()["kind"] == "saved"
    assert not ReasonsScore.objects.exists()
    assert ReasonsReading.objects.get().withdrawn_by == "Ann"
    assert device.tell("clear", slot).json()["kind"] == "saved"  # there is nothing to clear any more


def test_a_beginning_that_was_a_mistake_is_undone_and_the_hall_calls_again(client, device):
    slot = device.slots[0]
    device.tell("begin", slot)
    device.tell("back", slot)
    slot.refresh_from_db()
    assert (slot.state, slot.began_at) == (Slot.State.PLANNED, None)
    goes_in = html_in(client.get(at("reasons-hall", device.contest))).split("goes-in")[1]
    assert stands_in(goes_in[:200], str(slot.contestant.number))


def test_a_beginning_told_after_the_end_that_followed_it_changes_nothing(device):
    slot, began = device.slots[0], timezone.now() - timedelta(minutes=5)
    device.tell("begin", slot, when=began)
    device.tell("stop", slot, when=began + timedelta(minutes=2))
    device.tell("begin", slot, when=began + timedelta(seconds=5))
    assert state(slot) == Slot.State.HEARD
    device.tell("begin", slot)
    assert state(slot) == Slot.State.SPEAKING


def test_beginning_ends_whoever_still_spoke(device):
    first, second = device.slots[:2]
    device.tell("begin", first)
    device.tell("begin", second)
    assert (state(first), state(second)) == (Slot.State.HEARD, Slot.State.SPEAKING)


def test_absent_and_here_after_all(device):
    slot = device.slots[0]
    device.tell("absent", slot)
    assert state(slot) == Slot.State.ABSENT
    device.tell("back", slot)
    assert state(slot) == Slot.State.PLANNED
    device.tell("begin", slot)
    assert device.tell("absent", slot).status_code == 422


def test_a_set_that_was_planned_for_another_room_meanwhile_is_heard_where_it_is(device, contest):
    slot = device.slots[0]
    Slot.objects.filter(pk=slot.pk).update(room=contest.rooms.last())
    device.tell("begin", slot)
    slot.refresh_from_db()
    assert (slot.room, slot.state) == (device.room, Slot.State.SPEAKING)


def test_an_officials_notes_are_seen_by_nobody_else(device, contest, superintendent, as_tablet):
    contest.reasons_day.components = [["accuracy", 20], ["terms", 30]]
    contest.reasons_day.save()
    slot = device.slots[0]
    assert device.tell("write", slot, note="Weak terms", marks={"accuracy": 17.5}).status_code == 200
    assert (SetNote.objects.get().note, SetNote.objects.get().marks) == ("Weak terms", {"accuracy": 17.5})
    other = contest.rooms.last().officials.first()
    device.room.officials.add(other)
    own = at("reasons-room", contest, device.room.pk, device.official.pk)
    assert "Weak terms" in html_in(device.client.get(own))
    beside = as_tablet(contest, "Cleo", other).get(at("reasons-room", contest, device.room.pk, other.pk))
    assert (beside.status_code, "Weak terms" in html_in(beside)) == (200, False)
    another = as_tablet(contest, "Bob")
    assert "Weak terms" not in html_in(another.get(own))
    assert "Weak terms" not in str(list(contest.trail.values_list("what", "before", "after")))
    for page in ("reasons", "reasons-fairness", "scores"):
        assert "Weak terms" not in html_in(superintendent.get(at(page, contest)))


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ({"accuracy": 50.5}, "0 to 50 points"),
        ({"accuracy": -1}, "0 to 50 points"),
        ({"accuracy": 1.2}, "whole or half"),
        ({"accuracy": "x"}, "whole or half"),
        ({"accuracy": float("inf")}, "whole or half"),
        ({"accuracy": float("nan")}, "whole or half"),
        ([], None),
        ([1], "whole or half"),
        ({"beauty, as the contest named it this morning": 5}, None),
    ],
)
def test_marks_that_make_no_sense_are_refused(device, marks, words):
    answer = device.tell("write", device.slots[0], note="", marks=marks)
    assert answer.status_code == (422 if words else 200)
    assert words is None or words in answer.json()["text"]


def test_notes_stay_when_the_reasons_are_planned_again(device, contest):
    slot = device.slots[0]
    device.tell("write", slot, note="Weak terms", marks={})
    contest.refresh_from_db()
    put_in_force(contest, make_draft(contest, Wishes()), "test")
    page = device.client.get(at("reasons-room-sets", contest, device.room.pk, device.official.pk)).json()
    assert [one["note"] for one in page["sets"] if one["number"] == slot.contestant.number] in (["Weak terms"], [])
    assert SetNote.objects.get().note == "Weak terms"


def test_a_score_cannot_be_changed_on_the_tablet_after_the_release(device, contest):
    slot = device.slots[0]
    device.tell("begin", slot)
    device.tell("score", slot, points="40")
    contest.releases.create(version=1, revision=1, by="Sue", book=b"")
    for answer in (device.tell("score", slot, points="44"), device.tell("clear", slot)):
        assert answer.status_code == 422
        assert "the results are released" in answer.json()["text"]
    assert ReasonsScore.objects.get().hundredths == 4000


def test_an_official_sees_no_score_of_another(device, contest, as_tablet):
    other = contest.rooms.last().officials.first()
    device.room.officials.add(other)
    device.tell("begin", device.slots[0])
    device.tell("score", device.slots[0], points="37.5")
    assert "37.5" in html_in(device.client.get(at("reasons-room", contest, device.room.pk, device.official.pk)))
    beside = at("reasons-room", contest, device.room.pk, other.pk)
    assert device.client.get(beside).status_code == 404
    page = as_tablet(contest, "Cleo", other).get(beside)
    assert (page.status_code, "37.5" in html_in(page)) == (200, False)


def test_a_tablet_says_whose_it_is(device):
    address = at("reasons-room", device.contest, device.room.pk, device.official.pk)
    heading = re.search(r"<h1>(.*?)</h1>", body(device.client.get(address)))[1]
    assert stands_in(heading, device.room.name)
    assert f"<bdi>{device.official.name}</bdi>" in heading


def test_a_tablet_gives_no_score_for_another_official(device, contest):
    other = contest.rooms.last().officials.first()
    device.room.officials.add(other)
    device.official = other
    answer = device.tell("begin", device.slots[0])
    assert answer.status_code == 422
    assert "not in this contest" in answer.json()["text"]
    assert state(device.slots[0]) == Slot.State.PLANNED


def test_a_tablet_lands_in_the_room_of_its_official_wherever_that_is(contest, client):
    room, official = first_room(contest)
    code = tablet_codes(contest)[official.pk]
    body = {"name": "Ann", "code": code, "submission": str(uuid4())}
    page = client.post(reverse("join"), body, follow=True)
    assert page.redirect_chain[-1][0].startswith(at("reasons-room", contest, room.pk, official.pk) + "?welcome")
    assert "Welcome, <bdi>Ann</bdi>." in html_in(page)
    other = contest.rooms.last()
    room.officials.remove(official)
    assert "hears in no room yet" in html_in(client.get(at("reasons-rooms", contest)))
    other.officials.add(official)
    assert client.get(at("reasons-rooms", contest)).url == at("reasons-room", contest, other.pk, official.pk)


def test_the_superintendent_has_a_way_in_for_each_tablet_and_makes_new_codes(superintendent, contest):
    page = html_in(superintendent.get(at("reasons-rooms", contest)))
    before = tablet_codes(contest)
    assert len(set(before.values())) == 2
    assert all(code in page for code in before.values())
    first, second = contest.reasons_officials.all()
    superintendent.post(at("reasons-new-code", contest, first.pk), {"submission": str(uuid4())})
    after = tablet_codes(contest)
    assert after[first.pk] != before[first.pk]
    assert after[second.pk] == before[second.pk]


def test_a_key_that_may_still_change_is_shown_as_that(device, contest, superintendent):
    device.room.shows_key = True
    device.room.save(update_fields=["shows_key"])
    pages = {
        at("reasons-room", contest, device.room.pk, device.official.pk): device.client,
        at("contest", contest): superintendent,
        at("class", contest, 3): superintendent,
        at("reasons-class-notes", contest, 3): superintendent,
    }
    key = contest.classes.get(number=3).keys.last()
    for page, client in pages.items():
        assert "may still change" not in html_in(client.get(page))
    type(key).objects.filter(pk=key.pk).update(confirmed_by="", confirmed_at=None)
    for page, client in pages.items():
        assert "typed once: may still change" in html_in(client.get(page)), page
    key.disputes.create(official="4321", cuts=(1, 2, 3), by="Zoe")
    for page, client in pages.items():
        assert "two entries differ: may still change" in html_in(client.get(page)), page


def test_a_device_that_changed_hands_is_told_so(device):
    assert device.tell("begin", device.slots[0], by="Bob").status_code == 401
    assert state(device.slots[0]) == Slot.State.PLANNED


def test_what_makes_no_sense_is_refused_in_words(device):
    address = at("reasons-room-events", device.contest, device.room.pk, device.official.pk)
    assert device.client.post(address, "not json", content_type="application/json").status_code == 422
    slot = device.slots[0]
    slot.contestant.number = 999
    answer = device.tell("begin", slot)
    assert answer.status_code == 422
    assert "not in this contest" in answer.json()["text"]


def test_hello_names_the_shelf_of_the_page(device, contest):
    page = device.client.get(at("reasons-room", contest, device.room.pk, device.official.pk)).context["page"]
    answer = device.client.get(at("reasons-hello", contest)).json()
    assert answer["desk"] == page["desk"]
    assert answer["token"]


@pytest.mark.parametrize("shows", [True, False])
def test_the_placing_is_shown_only_where_it_is_allowed(device, contest, shows):
    device.room.shows_key = shows
    device.room.save(update_fields=["shows_key"])
    page = html_in(device.client.get(at("reasons-room", contest, device.room.pk, device.official.pk)))
    assert ("3124" in page) is shows


@pytest.mark.parametrize("duty", [duty for duty in Duty if duty != Duty.ROOM])
def test_other_duties_have_no_room(as_helper, contest, duty):
    room, official = first_room(contest)
    client = as_helper(contest, duty)
    assert client.get(at("reasons-rooms", contest)).status_code == 404
    assert client.get(at("reasons-room", contest, room.pk, official.pk)).status_code == 404


def test_a_helper_of_another_contest_has_no_room(as_tablet, contest):
    room, official = first_room(contest)
    client = as_tablet(reasons_contest())
    assert client.get(at("reasons-room", contest, room.pk, official.pk)).status_code == 404
    assert client.get(at("reasons-hall", contest)).status_code == 404


def test_an_official_of_another_room_has_no_page_here(as_tablet, contest):
    other = contest.rooms.last().officials.first()
    client = as_tablet(contest, official=other)
    assert client.get(at("reasons-room", contest, contest.rooms.first().pk, other.pk)).status_code == 404


def test_without_hours_the_rooms_say_so(as_tablet, superintendent):
    contest = reasons_contest(rooms=1)
    contest.reasons_day.delete()
    room, official = first_room(contest)
    for client in (as_tablet(contest), superintendent):
        assert "The reasons have no hours yet" in html_in(client.get(at("reasons-rooms", contest)))
        assert client.get(at("reasons-room", contest, room.pk, official.pk)).status_code == 404


def test_the_hall_is_for_everybody_by_number_alone(client, contest):
    page = client.get(at("reasons-hall", contest))
    assert page.status_code == 200
    text = html_in(page)
    for person in contest.contestants.all():
        assert person.last_name not in text
    part = html_in(client.get(at("reasons-hall", contest), {"v": contest.revision - 1}))
    assert part.startswith('<div id="hall"')


def test_who_was_called_in_vain_is_asked_for_in_the_hall(client, device):
    device.tell("absent", device.slots[0])
    text = html_in(client.get(at("reasons-hall", device.contest)))
    assert "Called and not there. Please see the steward:" in text


def scored_by_two(as_tablet, **changes):
    """Eight contestants, each heard by both officials; the second gives 10 more to everybody."""
    contest = planned_contest(people=8, rooms=2, classes=(3,))
    Slot.objects.filter(room__contest=contest).update(state=Slot.State.HEARD)
    for room, points in zip(contest.rooms.all(), (30, 40), strict=True):
        name = f"Tablet {room}"
        device = Device(as_tablet(contest, name, room.officials.first()), contest, room)
        for slot in Slot.objects.filter(judging_class__number=3, room__contest=contest):
            device.tell("score", slot, by=name, points=str(points + slot.contestant.number % 3))
    return change_rules(contest, "Sue", **changes)


def test_fairness_of_scores_in_the_contest(superintendent, as_tablet):
    contest = scored_by_two(as_tablet)
    page = superintendent.get(at("reasons-fairness", contest))
    first, _second = page.context["officials"]
    assert first.figures.shift.points == pytest.approx(-10)
    assert first.words.startswith(
        "Scores 10.0 points lower than the others of the same classes, each contestant alike."
    )
    assert "it favours nobody" in first.words
    strict, mild = page.context["remedied"]
    assert (strict.mean, mild.mean) == pytest.approx((mild.mean - 10, strict.mean + 10))
    assert strict.mean_then == pytest.approx(mild.mean_then, abs=0.01)
    assert (strict.correction, mild.correction) == ("+5.0", "−5.0")
    assert "What standardising or a correction would do" in html_in(page)


def test_standardised_reasons_are_said_and_the_scores_as_given_stay_beside_them(superintendent, as_tablet):
    contest = scored_by_two(as_tablet, reasons_standardised=True)
    assert "Reasons are standardised" in html_in(superintendent.get(at("reasons-fairness", contest)))
    sheet = html_in(superintendent.get(at("standings-contestant", contest, 101)))
    assert re.search(
        r"1</bdi>: 32</span> <span>\s*\(standardised ([0-9.]+)\).*2</bdi>: 42</span> <span>\s*\(standardised \1\)",
        sheet,
    )
    assert {score.hundredths for score in ReasonsScore.objects.filter(contestant__number=101)} == {3200, 4200}
    for code, says in (("overall", True), ("reasons", True), ("placing", False)):
        page = html_in(superintendent.get(at("standings-list", contest, "SR", code)))
        assert ("Reasons standardised across officials" in page) is says


def test_fairness_of_no_scores(superintendent, contest):
    assert "No reasons have been scored yet" in html_in(superintendent.get(at("reasons-fairness", contest)))


def test_practice_sheets_hold_no_placing(superintendent, contest):
    text = html_in(superintendent.get(at("reasons-sheets", contest)))
    assert "Class of 3" in text
    assert not stands_in(text, "3124")
