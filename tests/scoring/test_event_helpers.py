"""One set of helpers for a day of several contests: let in once, in all of them, and in no other."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from contest.changes.exceptions import NotPossible
from contest.desk.stacks import take_stack
from contest.helpers.codes import codes_of, event_codes
from contest.helpers.joining import let_in, let_in_together, show_out
from contest.models import Contest, Duty, Event, Helper, StackClaim
from scoring.events.changing import delete_event, save_event
from tests.factories import RulesFactory, a_contest
from tests.pages import html_in
from tests.trails import trail_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def three():
    """Two contests of a day, and one that is none of it."""
    return [a_contest(rules=RulesFactory(name=name)) for name in ("Livestock", "Dairy", "Horse")]


@pytest.fixture
def event(three):
    return save_event(Event(name="County Day"), three[:2], None, "Sue")


def join(client, code, name="Ann", **more):
    return client.post("/join/", {"submission": uuid4(), "name": name, "code": code, **more})


def desk(contest):
    return reverse("desk", args=[contest.pk])


def inside(contest):
    return list(contest.helpers.filter(left_at=None).values_list("name", flat=True))


def test_one_code_opens_every_contest_of_the_day_and_no_other(client, event, three):
    livestock, dairy, horse = three
    reply = join(client, event_codes(event)[Duty.TABULATOR])
    assert reply.url == reverse("helper-day") + "?welcome"
    shown = html_in(client.get(reply.url))
    assert "Welcome, <bdi>Ann</bdi>." in shown
    assert desk(livestock) in shown
    assert desk(dairy) in shown
    assert desk(horse) not in shown
    assert [client.get(desk(contest)).status_code for contest in three] == [200, 200, 404]
    assert client.get(reverse("keys", args=[dairy.pk])).status_code == 404  # another duty
    assert client.get("/").url == reverse("helper-day")


def test_what_they_do_is_said_in_the_contest_where_they_did_it(client, event, three):
    _livestock, dairy, _horse = three
    join(client, event_codes(event)[Duty.TABULATOR])
    judged = dairy.classes.first()
    client.post(reverse("desk-take", args=[dairy.pk]), {"submission": uuid4(), "stack": str(judged.number)})
    claim = StackClaim.objects.get()
    assert claim.helper.contest == dairy
    assert [entry.by for entry in trail_of(dairy)][-1] == "Ann"
    assert ("Ann", "joined as tabulator") in [(entry.by, entry.what) for entry in trail_of(three[0])]


def test_the_start_page_says_what_waits(client, event, three):
    join(client, event_codes(event)[Duty.CHECK_IN], name="Ben")
    count = three[0].contestants.filter(present=True).count()
    assert f"{count} people expected" in html_in(client.get(reverse("helper-day")))
    for duty, waits in ((Duty.KEYS, ("key", "nothing waits")), (Duty.REASONS, ("stack", "nothing waits"))):
        other = Client()
        join(other, event_codes(event)[duty], name=f"One of {duty}")
        assert any(words in html_in(other.get(reverse("helper-day"))) for words in waits)


def test_going_and_being_shown_out_hold_for_all(client, superintendent, event, three):
    join(client, event_codes(event)[Duty.TABULATOR], device="mine")
    assert [inside(contest) for contest in three] == [["Ann"], ["Ann"], []]
    again = Client()
    join(again, event_codes(event)[Duty.TABULATOR], device="mine")  # it lost the way back: nobody new
    assert Helper.objects.count() == 2
    here = three[1].helpers.get()
    superintendent.post(reverse("helper-out", args=[three[1].pk, here.pk]), {"submission": uuid4()})
    assert [inside(contest) for contest in three] == [[], [], []]
    assert client.get(desk(three[0])).status_code == 302
    assert trail_of(three[0])[-1].what == "shown out"
    join(client, event_codes(event)[Duty.TABULATOR])
    client.post(reverse("leave"))
    assert [inside(contest) for contest in three] == [[], [], []]


def test_a_name_is_nobodys_else_in_any_of_them(client, event, three):
    let_in(three[1], Duty.KEYS, "Ann")
    assert join(client, event_codes(event)[Duty.TABULATOR]).status_code == 422
    assert inside(three[0]) == []


def test_a_contests_own_code_lets_into_that_one_alone(client, event, three):
    join(client, codes_of(three[0])[Duty.TABULATOR])
    assert [client.get(desk(contest)).status_code for contest in three] == [200, 404, 404]
    assert client.get(reverse("helper-day")).url == desk(three[0])


def test_a_new_code_ends_the_old_one_and_puts_nobody_out(client, superintendent, event, three):
    old = event_codes(event)[Duty.TABULATOR]
    join(client, old)
    superintendent.post(reverse("event-new-code", args=[event.pk, "tabulator"]), {"submission": uuid4()})
    assert join(Client(), old, name="Ben").status_code == 422
    assert client.get(desk(three[1])).status_code == 200
    shown = html_in(superintendent.get(reverse("event-helpers", args=[event.pk])))
    assert event_codes(event)[Duty.TABULATOR] in shown
    assert "Ann" in shown
    wrong = reverse("event-new-code", args=[event.pk, "room"])
    assert superintendent.post(wrong, {"submission": uuid4()}).status_code == 404


def test_a_helper_follows_the_contests_of_the_day(client, event, three):
    livestock, dairy, horse = three
    join(client, event_codes(event)[Duty.TABULATOR])
    save_event(event, [dairy, horse], None, "Sue")
    assert [client.get(desk(contest)).status_code for contest in three] == [404, 200, 200]
    assert [inside(contest) for contest in three] == [[], ["Ann"], ["Ann"]]
    let_in(livestock, Duty.KEYS, "Ann")
    with pytest.raises(NotPossible, match="Ann helps in Livestock already"):
        save_event(event, three, None, "Sue")
    assert event.contests() == [dairy, horse]
    delete_event(event, "Sue")
    assert client.get(desk(dairy)).status_code == 302


def test_a_row_in_another_contest_is_no_way_in_without_the_event(client, event, three):
    """However such a row came about: both contests must be of one event."""
    join(client, event_codes(event)[Duty.TABULATOR])
    ann = three[0].helpers.get()
    Helper.objects.create(contest=three[2], duty=Duty.TABULATOR, name="Ann", together=ann.together)
    assert client.get(desk(three[2])).status_code == 404


def test_the_day_goes_on_while_a_contest_of_it_lies_in_the_bin(client, event, three):
    join(client, event_codes(event)[Duty.TABULATOR])
    Contest.objects.filter(pk=three[0].pk).update(deleted_at="2026-01-01T00:00Z", deleted_by="Sue")
    assert [client.get(desk(contest)).status_code for contest in three] == [404, 200, 404]


def test_stacks_of_all_contests_are_free_again(event, three):
    ann = let_in_together(three[:2], Duty.TABULATOR, "Ann")
    for contest in three[:2]:
        take_stack(contest.helpers.get(), contest.classes.first(), contest.contestants.first().group)
    show_out(ann, "Sue")
    assert not StackClaim.objects.filter(given_back_at=None).exists()
