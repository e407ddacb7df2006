"""What becomes of the cards of a page."""

import pytest
from django.db import transaction

from contest.changes.snapshot import doing
from contest.models import Card, CardPicture, Contestant, Reading, Scan, Source, State, TrailEntry
from contest.scanning import taking
from contest.scanning.reader import Identity, Trouble
from contest.scanning.rules import change_rules, is_used
from contest.scanning.taking import take_page
from contest.trail.proving import prove
from tests.contest.scanning.cards import PICTURE, a_scan, scanned, seen
from tests.factories import ClassFactory, DivisionFactory, a_contest, people
from tests.slips import read_card

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    divisions = (DivisionFactory(), DivisionFactory(code="JR", name="Junior"))
    made = a_contest(
        divisions=divisions,
        classes=(ClassFactory(), ClassFactory(number=2, divisions=("JR",), official="1234")),
        contestants=people(4),
        cards=(),
    )
    change_rules(made, "Sue", on=True)
    return made


def became(card):
    return card.became, card.troubles


def test_a_certain_card_is_a_reading_by_scanner_with_its_picture(contest):
    (card,) = scanned(contest, seen(contest, 101))
    reading = Reading.objects.get()
    assert (reading.number, reading.placing, reading.by, reading.source) == (101, "3124", "scanner", Source.SCANNER)
    assert reading.submission == card.submission
    assert Card.objects.get().state == State.ONCE
    assert bytes(card.picture.image) == PICTURE
    assert became(card) == ("reading", "")


def test_a_person_who_reads_the_same_settles_it_and_another_placing_is_a_doubt(contest):
    scanned(contest, seen(contest, 101), seen(contest, 102))
    judged = contest.classes.get(number=1)
    read_card(judged, 101, "3124", "Ann", "00000000-0000-0000-0000-000000000001")
    read_card(judged, 102, "3142", "Ann", "00000000-0000-0000-0000-000000000002")
    assert list(Card.objects.order_by("contestant__number").values_list("state", flat=True)) == ["settled", "doubt"]


def test_what_a_person_read_otherwise_before_is_a_doubt_and_no_question(contest):
    read_card(contest.classes.get(number=1), 101, "3142", "Ann", "00000000-0000-0000-0000-000000000001")
    (card,) = scanned(contest, seen(contest, 101))
    assert became(card) == ("reading", "")
    assert Card.objects.get().state == State.DOUBT


@pytest.mark.parametrize(
    ("how", "why"),
    [
        ({"troubles": [Trouble.FAINT]}, "faint"),
        ({"number": 999}, "unknown_number"),
        ({"judged": 2}, "wrong_class"),
        ({"judged": 7}, "unknown_class"),
        ({"placing": "3125"}, "impossible"),
        ({"identity": None, "troubles": [Trouble.CODE_DAMAGED], "placing": ""}, "code_damaged"),
        ({"identity": Identity(65000, 2026, 1, 101)}, "other_contest"),
    ],
)
def test_whatever_is_in_doubt_is_for_a_person(contest, how, why):
    (card,) = scanned(contest, seen(contest, **{"number": 101} | how))
    assert became(card) == ("waiting", why)
    assert not Reading.objects.exists()
    assert CardPicture.objects.count() == 1


def test_a_card_of_last_year_is_for_a_person_and_one_without_a_year_is_not(contest):
    of_last_year = seen(contest, 101, identity=Identity(contest.pk, 2025, 1, 101))
    printed_before_the_day_was_set = seen(contest, 102, identity=Identity(contest.pk, 0, 1, 102))
    cards = scanned(contest, of_last_year, printed_before_the_day_was_set)
    assert [card.became for card in cards] == ["waiting", "reading"]


def test_the_number_that_is_marked_on_a_spare_card_counts(contest):
    marked, unsure = seen(contest, None, number_marked="103"), seen(contest, None, troubles=[Trouble.NUMBER_UNSURE])
    cards = scanned(contest, marked, unsure)
    assert [(card.number, card.became) for card in cards] == [(103, "reading"), (None, "waiting")]


def test_the_second_of_two_cards_is_for_a_person_on_one_page_and_on_two(contest):
    scan = a_scan(contest)
    first, again = scanned(contest, seen(contest, 101), seen(contest, 101), scan=scan)
    (later,) = scanned(contest, seen(contest, 101, "3142"), scan=scan, page=2)
    assert [became(card) for card in (first, again, later)] == [("reading", ""), *[("waiting", "seen_twice")] * 2]
    assert Reading.objects.count() == 1


def test_a_card_that_is_settled_and_one_of_somebody_absent_are_for_a_person(contest):
    judged = contest.classes.get(number=1)
    for place, by in enumerate(("Ann", "Bob"), 1):
        read_card(judged, 101, "3124", by, f"00000000-0000-0000-0000-00000000000{place}")
    Contestant.objects.filter(contest=contest, number=102).update(present=False)
    cards = scanned(contest, seen(contest, 101), seen(contest, 102))
    assert [became(card) for card in cards] == [("waiting", "settled"), ("waiting", "absent")]


def test_a_page_is_taken_once_in_its_turn_and_not_after_a_cancel(contest):
    scan = a_scan(contest)
    page = [seen(contest, 101)]
    assert take_page(scan, 1, page)
    assert not take_page(scan, 1, page)
    assert not take_page(scan, 3, page)
    Scan.objects.update(state=Scan.State.CANCELLED)
    assert not take_page(scan, 2, page)
    assert Reading.objects.count() == 1


def test_the_trail_tells_of_each_page_and_proves(contest):
    scanned(contest, seen(contest, 101), seen(contest, 102, troubles=[Trouble.FAINT]))
    last = TrailEntry.objects.filter(contest=contest).latest("revision")
    assert last.what == "scan_page_read"
    assert last.values == {"pages": "abababababab", "page": 1, "count": 2, "waiting": 1}
    assert not prove(contest).problems


def test_without_scanning_nothing_speaks_of_it():
    plain = a_contest()
    assert not is_used(plain)
    change_rules(plain, "Sue", on=True)
    assert is_used(plain)


def test_a_page_of_many_cards_is_taken_in_parts_and_goes_on_with_the_next_one(contest, monkeypatch):
    monkeypatch.setattr(taking, "A_TURN", 2)
    page = [seen(contest, 101), seen(contest, 102, troubles=[Trouble.FAINT]), seen(contest, 103), seen(contest, 103)]
    scan = a_scan(contest)

    class SwitchedOff(Exception): ...

    def switch_off(seconds):
        raise SwitchedOff

    with pytest.raises(SwitchedOff):
        take_page(scan, 1, page, switch_off)
    scan.refresh_from_db()
    assert (scan.page, scan.cards.count()) == (0, 2)
    assert take_page(scan, 1, page)
    scan.refresh_from_db()
    assert scan.page == 1
    assert [became(card)[0] for card in scan.cards.order_by("place")] == ["reading", "waiting", "reading", "waiting"]
    assert CardPicture.objects.count() == 4
    assert Reading.objects.count() == 2
    parts = contest.trail.filter(what="scan_page_read").order_by("pk").values_list("values__count", flat=True)
    assert list(parts) == [2, 2]
    assert not prove(contest).problems


def test_what_was_lost_of_a_page_is_taken_again_with_the_same_readings(contest, monkeypatch):
    """A power cut takes the last changes, each whole."""
    monkeypatch.setattr(taking, "A_TURN", 2)
    page = [seen(contest, 101), seen(contest, 102, troubles=[Trouble.FAINT]), seen(contest, 103)]
    scan, submissions, revisions = a_scan(contest), [], []

    class PowerCut(Exception): ...

    def taken():
        assert take_page(scan, 1, page)
        submissions.append(sorted(Reading.objects.values_list("submission", flat=True)))
        revisions.append(contest.trail.latest("revision").revision)

    with pytest.raises(PowerCut), transaction.atomic():
        taken()
        raise PowerCut
    assert not Reading.objects.exists()
    assert not scan.cards.exists()
    taken()
    scan.refresh_from_db()
    assert scan.page == 1
    assert submissions[0] == submissions[1]
    assert revisions[0] == revisions[1]
    assert len(submissions[1]) == 2
    assert CardPicture.objects.count() == 3
    assert not prove(contest).problems


def test_desks_go_first_before_each_part_of_a_page(contest, monkeypatch):
    monkeypatch.setattr(taking, "A_TURN", 2)
    moments = []
    monkeypatch.setattr(taking, "let_desks_go_first", lambda: moments.append((doing(), Reading.objects.count())))
    scanned(contest, *(seen(contest, number) for number in (101, 102, 103)))
    assert moments == [("", 0), ("", 2)]
