"""The pages of a committee: an official's own, the chair's, and how far each is."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contest.committee.handing_in import hand_in
from contest.committee.officials import add_official, seat_official
from contest.helpers.codes import committee_codes
from contest.models import CommitteeKey, CommitteeSeat, Duty, Helper, Key
from contest.records.tallying import tallied
from scoring.core.committee import compared
from scoring.results.checklist import checklist
from tests.contest.watch.cast import sent, small_contest, the_class
from tests.pages import html_in

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def contest():
    return small_contest()


@pytest.fixture
def start(contest):
    return f"/contests/{contest.pk}/watch/"


@pytest.fixture
def officials(contest):
    return [add_official(contest, name, "Sue") for name in ("Mary", "Joe", "Lou")]


@pytest.fixture
def phones(as_helper, contest, officials):
    return [as_helper(contest, Duty.COMMITTEE, f"{who} on a phone", None, who) for who in officials]


def placed(placing, *cuts, **more):
    return sent(placing=placing, **{f"cut{place}": cut for place, cut in enumerate(cuts)}, **more)


def handed(officials, number, *placings):
    for official, (placing, *cuts) in zip(officials, placings, strict=False):
        seat = CommitteeSeat.objects.get(official=official, judging_class__number=number)
        hand_in(seat, placing, cuts, official.name)


def test_a_larger_committee_costs_its_page_no_more_queries(superintendent, contest, start):
    counts = []
    for names in (("Mary",), ("Joe", "Lou", "Ann", "Tom")):
        for name in names:
            add_official(contest, name, "Sue")
        superintendent.get(f"{start}keys/committee/")  # makes the codes that are missing
        with CaptureQueriesContext(connection) as asked:
            assert superintendent.get(f"{start}keys/committee/").status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


APART = ("3124", 3, 5, 2), ("4213", 4, 6, 3)


def test_each_official_comes_in_with_a_code_of_their_own(client, contest, officials):
    code = committee_codes(contest)[officials[1].pk]
    response = client.post("/join/", sent(name="Joe D.", code=code))
    assert response["Location"].startswith(f"/contests/{contest.pk}/watch/committee/")
    helper = Helper.objects.get()
    assert (helper.duty, helper.committee_official) == (Duty.COMMITTEE, officials[1])


def test_an_official_hands_in_a_class_and_is_led_to_the_next(phones, start):
    mary = phones[0]
    assert "○ still to hand in" in html_in(mary.get(f"{start}committee/"))
    response = mary.post(f"{start}committee/2/", placed("3-1-2-4", 3, 5, 2))
    assert (response.status_code, response["Location"]) == (302, f"{start}committee/?done=2")
    key = CommitteeKey.objects.get()
    assert (str(key), key.by) == ("3124 3-5-2", "Mary on a phone")
    assert "✓ Class 2 is handed in." in html_in(mary.get(f"{start}committee/?done=2"))
    assert "3, 1, 2, 4; top cut 3" in html_in(mary.get(f"{start}committee/2/"))


def test_what_is_typed_wrong_is_said_beside_its_field(phones, start):
    response = phones[0].post(f"{start}committee/2/", placed("3125", 3, "", 2))
    assert response.status_code == 422
    text = html_in(response)
    assert "names &#x27;5&#x27;" in text
    assert "This field is required." in text
    assert not CommitteeKey.objects.exists()


def test_nobody_sees_what_another_official_handed_in(phones, officials, contest, start, as_helper):
    seat_official(officials[2], [2], True, "Sue")
    handed(officials[:2], 2, ("4213", 7, 6, 3), ("4231", 7, 6, 3))
    others = (*phones, as_helper(contest, Duty.KEYS, "Kay"))
    for client in others:
        for address in ("committee/", "committee/1/", "committee/2/", "keys/", "keys/2/", "keys/2/committee/"):
            text = html_in(client.get(start + address))
            own = client is phones[0] and address == "committee/2/"
            assert ("4, 2, 1, 3" in text) == own, address
    assert phones[0].get(f"{start}keys/2/committee/").status_code == 404


def test_the_chair_sees_all_after_handing_in_and_of_own_classes_alone(phones, officials, start):
    seat_official(officials[2], [2], True, "Sue")
    chair, address = phones[2], f"{start}keys/2/committee/"
    handed(officials[:2], 2, ("3124", 3, 5, 2), ("3142", 4, 2, 3))
    assert chair.get(address).status_code == 404
    chair.post(f"{start}committee/2/", placed("1324", 1, 6, 2))
    text = html_in(chair.get(address))
    assert "3, 1, 4, 2; top cut 4" in text
    assert "it loses the fewest points by all the officials’ keys together: 4." in text
    assert "The next best would lose 1 more: 3142." in text
    assert chair.get(f"{start}keys/1/committee/").status_code == 404


def test_the_superintendent_types_from_paper_and_sees_who_agrees_on_what(superintendent, contest, officials, start):
    for who, placing in zip(officials, (("3124", 3, 5, 2), ("3142", 4, 2, 3), ("1324", 1, 6, 2)), strict=True):
        address = f"{start}keys/2/committee/{who.pk}/"
        assert f"From the paper of <bdi>{who}</bdi>" in html_in(superintendent.get(address))
        assert superintendent.post(address, placed(*placing)).status_code == 302
    text = html_in(superintendent.get(f"{start}keys/2/committee/"))
    assert "Reasonable agreement" in text
    assert re.search(r"2 over 4 <span[^>]*>▲ not agreed</span>.*?yes, by 2.*?no, by 3.*?yes, by 2", text, re.S)


def test_what_the_committee_agreed_on_is_a_key_that_somebody_else_types_too(
    superintendent, as_helper, contest, officials, start
):
    handed(officials, 2, ("3124", 3, 5, 2), ("3142", 4, 2, 3), ("1324", 1, 6, 2))
    address = f"{start}keys/2/committee/"
    shown = re.search(r'name="shown" value="(\w+)"', html_in(superintendent.get(address)))[1]
    agreed = {"agreed": [who.pk for who in officials[:2]], "shown": shown}
    response = superintendent.post(f"{address}agree/", placed("3124", 2, 6, 1, **agreed))
    assert response["Location"] == f"{start}keys/?entered=2"
    kay = as_helper(contest, Duty.KEYS, "Kay")
    kay.post(f"{start}keys/2/", sent(text="3124 261"))
    key = Key.objects.get(judging_class__number=2)
    assert (str(key), key.confirmed_by) == ("3124 2-6-1", "Kay")
    for page in ("keys/", "keys/2/"):
        assert "Agreed by <bdi>Mary, Joe</bdi>." in html_in(kay.get(start + page))


def test_what_was_agreed_is_refused_where_somebody_handed_in_since(superintendent, officials, start):
    handed(officials, 2, *APART)
    address = f"{start}keys/2/committee/"
    shown = re.search(r'name="shown" value="(\w+)"', html_in(superintendent.get(address)))[1]
    handed(officials[2:], 2, ("3124", 3, 5, 2))
    agreed = {"agreed": [officials[0].pk], "shown": shown}
    response = superintendent.post(f"{address}agree/", placed("3124", 2, 6, 1, **agreed))
    assert response.status_code == 409
    assert not Key.objects.filter(judging_class__number=2).exists()
    nobody = superintendent.post(f"{address}agree/", placed("3124", 2, 6, 1, shown=shown))
    assert "tick who agreed" in html_in(nobody)


def test_a_class_without_reasonable_agreement_is_flagged_before_any_card_is_scored(
    superintendent, contest, officials, start
):
    handed(officials, 2, *APART)
    assert not compared(tallied(contest).record)[2].agreement.is_reasonable
    assert "▲ no reasonable agreement" in html_in(superintendent.get(f"{start}keys/"))
    contest.refresh_from_db()
    lines = [item.text for item in checklist(contest, tallied(contest))]
    assert "Class 2: the officials of its committee do not agree reasonably" in lines
    assert "Class 1: the officials of its committee do not agree reasonably" not in lines


def test_a_class_on_which_the_committee_agreed_is_flagged_no_more(contest, officials):
    from contest.keys import enter_key

    handed(officials, 2, *APART)
    enter_key(the_class(contest, 2), "3124", (3, 5, 2), "Sue", agreed_by=officials)
    contest.refresh_from_db()
    assert not [item for item in checklist(contest, tallied(contest)) if "committee" in item.text]


def test_officials_are_added_seated_and_removed(superintendent, contest, start):
    superintendent.post(f"{start}keys/committee/add/", sent(name="Mary"))
    mary = contest.committee_officials.get()
    superintendent.post(f"{start}keys/committee/{mary.pk}/", sent(classes=[2], is_chair="on"))
    mary.refresh_from_db()
    assert (mary.is_chair, mary.seats.get().judging_class.number) == (True, 2)
    text = html_in(superintendent.get(f"{start}keys/committee/"))
    assert committee_codes(contest)[mary.pk] in text
    old = committee_codes(contest)[mary.pk]
    superintendent.post(f"{start}keys/committee/{mary.pk}/code/", sent())
    assert committee_codes(contest)[mary.pk] != old
    handed([mary], 2, ("3124", 3, 5, 2))
    refused = superintendent.post(f"{start}keys/committee/{mary.pk}/remove/", sent())
    assert refused.status_code == 422
    assert "Mary has handed in a placing; that stays" in html_in(refused)
