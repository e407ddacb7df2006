"""The waiting hall and the whole timetable, for whoever waits."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone

from contest.models import Contest
from contest.trail import record_change
from contest.trail.sentences import Sentence
from reasons.day import hall
from reasons.day.room_events import begin, mark_no_show
from reasons.models import Slot
from tests.pages import html_in
from tests.reasons.day.cast import first_room, planned_contest, reasons_contest

pytestmark = pytest.mark.django_db


def at(contest, name="reasons-hall"):
    return reverse(name, args=[contest.pk])


def now_in(contest):
    slots = list(Slot.objects.filter(room__contest=contest).order_by("starts_at"))
    return hall.rooms_now(contest, contest.rooms.all(), slots)


def test_it_is_open_to_whoever_asks_and_shows_no_name(client):
    contest = planned_contest()
    names = [name for person in contest.contestants.all() for name in (person.first_name, person.last_name)]
    for name in ("reasons-hall", "reasons-timetable"):
        page = client.get(at(contest, name))
        assert page.status_code == 200
        assert not any(name in html_in(page) for name in names if name)


def test_who_speaks_is_next_and_on_deck():
    contest = planned_contest()
    room, _ = first_room(contest)
    numbers = list(room.slots.values_list("contestant__number", flat=True))
    begin(room.slots.first(), room, timezone.now(), "test")
    here = now_in(contest)[0]
    assert [here.speaking.number, here.next.number, here.on_deck.number] == numbers[:3]
    assert [cell.number for cell in here.later] == numbers[3:7]


def test_how_far_a_room_is_behind(monkeypatch):
    contest = planned_contest()
    room, _ = first_room(contest)
    monkeypatch.setattr(hall, "minute_now", lambda contest: 560)
    assert now_in(contest)[0].behind == 0  # nobody has begun yet: it is not known
    slot = room.slots.first()
    begin(slot, room, timezone.now(), "test")
    Slot.objects.filter(pk=slot.pk).update(began_at=slot.starts_at + timedelta(minutes=5))  # at 9:15
    assert [one.behind for one in now_in(contest)] == [8, 0]  # the next was to begin at 9:12
    Slot.objects.filter(pk=slot.pk).update(began_at=slot.starts_at + timedelta(minutes=10))  # at 9:20
    assert now_in(contest)[0].behind == 10


def test_whoever_still_waits_is_told_the_planned_time_and_the_expected_one(client, monkeypatch):
    contest = planned_contest()
    room, _ = first_room(contest)
    slot = room.slots.first()
    begin(slot, room, timezone.now(), "test")
    Slot.objects.filter(pk=slot.pk).update(began_at=slot.starts_at + timedelta(minutes=5))  # at 9:15, for 3 minutes
    monkeypatch.setattr(hall, "minute_now", lambda contest: 560)
    cache.clear()
    page = html_in(client.get(at(contest), {"number": "101"}))
    assert "runs 8 minutes late" in page
    here = now_in(contest)[0]
    assert (here.next.time, here.next.expected) == ("09:12", "09:20")
    assert here.on_deck.expected > here.on_deck.time
    assert f'<span class="when">{here.next.expected}</span>' in page
    assert f"planned {here.next.time}, class {here.next.class_number}" in page
    assert not any(cell.expected for cell in now_in(contest)[1].cells)  # nobody began there


def test_a_break_makes_up_for_what_a_room_lost(monkeypatch):
    contest = planned_contest()
    room, _ = first_room(contest)
    first, *_rest, last = room.slots.all()
    begin(first, room, timezone.now(), "test")
    Slot.objects.filter(pk=first.pk).update(began_at=first.starts_at + timedelta(minutes=5))
    Slot.objects.filter(pk=last.pk).update(
        starts_at=last.starts_at + timedelta(hours=1), ends_at=last.ends_at + timedelta(hours=1)
    )
    monkeypatch.setattr(hall, "minute_now", lambda contest: 560)
    cells = now_in(contest)[0].cells
    assert cells[-2].expected
    assert not cells[-1].expected


def test_a_poll_is_answered_only_when_the_hall_changed(client):
    contest = planned_contest()
    version = client.get(at(contest)).context["version"]
    assert client.get(at(contest), {"v": version}).status_code == 204
    record_change(contest, "test", Sentence("a card was read"))
    cache.clear()  # the revision is known for half a second
    assert client.get(at(contest), {"v": version}).status_code == 204
    room, _ = first_room(contest)
    mark_no_show(room.slots.first(), "test")
    cache.clear()
    hall_now = client.get(at(contest), {"v": version})
    assert hall_now.status_code == 200
    assert "Please see the steward" in html_in(hall_now)
    assert "<html" not in html_in(hall_now)


@pytest.mark.usefixtures("clock_stands")
def test_a_poll_that_finds_nothing_new_asks_the_database_nothing(client, django_assert_num_queries):
    contest = planned_contest(people=40)
    version = client.get(at(contest)).context["version"]
    client.get(at(contest), {"v": version})
    with django_assert_num_queries(0):
        assert client.get(at(contest), {"v": version}).status_code == 204


@pytest.mark.parametrize("name", ["reasons-hall", "reasons-timetable"])
def test_somebody_finds_their_number(client, name):
    contest = planned_contest()
    page = html_in(client.get(at(contest, name), {"number": "101"}))
    for slot in Slot.objects.filter(contestant__number=101):
        assert f"<b>{timezone.localtime(slot.starts_at):%H:%M}</b> room <bdi>{slot.room}</bdi>" in page
    assert "is not in the timetable" in html_in(client.get(at(contest, name), {"number": "999"}))
    assert client.get(at(contest, name), {"number": "Zoë"}).status_code == 200


@pytest.mark.parametrize("by", ["number", "room", "time", "made up"])
def test_the_timetable_in_every_order(client, by):
    contest = planned_contest()
    page = html_in(client.get(at(contest, "reasons-timetable"), {"by": by}))
    assert all(f"{number}" in page for number in contest.contestants.values_list("number", flat=True))
    assert page.count('c</span><span class="hidden">class </span>3' if by == "time" else "class 3") >= 8


@pytest.mark.parametrize("name", ["reasons-hall", "reasons-timetable"])
def test_before_there_is_a_timetable(client, name):
    contest = reasons_contest(rooms=0)
    assert "There is no timetable yet" in html_in(client.get(at(contest, name)))


def test_a_contest_that_is_not_there(client):
    assert not Contest.objects.filter(pk=77).exists()
    assert client.get(reverse("reasons-hall", args=[77])).status_code == 404
