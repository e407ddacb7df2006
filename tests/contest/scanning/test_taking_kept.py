"""What becomes of keep/cull cards that were scanned, and what people do about those that wait."""

from uuid import uuid4

import pytest

from contest.changes.exceptions import WrongValue
from contest.models import Choice, ChoiceReading, Part, Reading, Source
from contest.scanning.pictures import pictures_of
from contest.scanning.reader import Identity, Trouble
from contest.scanning.rules import change_rules
from contest.scanning.taking import asked_by_cards
from contest.scanning.whose import year_of
from contest.scanning.working import Typed, bring_back, read, waiting_cards
from contest.slips.choices import ChoiceSlip
from scoring.core.record import UNREADABLE
from scoring.core.record import Part as PartRecord
from tests.contest.scanning.cards import scanned, seen
from tests.factories import DivisionFactory, RulesFactory, a_contest, people
from tests.slips import read_choice

pytestmark = pytest.mark.django_db


def made(readings=2, animals="12345678", keep=4):
    contest = a_contest(
        rules=RulesFactory(readings_per_card=readings),
        divisions=(DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        parts=(
            PartRecord("KEEP", "Ewes", ("SR",), 0, "individual", animals=animals, keep=keep),
            PartRecord("LAMBS", "Lambs", ("JR",), 0, "individual", animals="1234", keep=2),
        ),
        contestants=people(4),
        cards=(),
    )
    change_rules(contest, "Sue", on=True)
    return contest


@pytest.fixture
def contest():
    return made()


def part_of(contest, code="KEEP"):
    return Part.objects.select_related("contest").get(contest=contest, code=code)


def kept(contest, number, placing="1356", code="KEEP", **more):
    identity = Identity(contest.pk, year_of(contest), part_of(contest, code).pk, number, "keep")
    return seen(contest, number, placing, **{"identity": identity} | more)


def slip_of(contest, number):
    return ChoiceSlip.of_number(part_of(contest), number)


def became(card):
    return card.became, card.troubles


def test_a_certain_card_is_a_reading_by_scanner_with_its_picture(contest):
    (card,) = scanned(contest, kept(contest, 101))
    assert became(card) == ("reading", "")
    assert (card.part, card.judging_class, card.number) == (part_of(contest), None, 101)
    reading = ChoiceReading.objects.get()
    assert (reading.contestant.number, reading.chosen, reading.by) == (101, "1356", "scanner")
    assert (reading.source, reading.submission) == (Source.SCANNER, card.submission)
    assert not Reading.objects.exists()


def test_a_person_who_reads_the_same_settles_it_and_another_choice_is_a_doubt_with_the_picture(contest, superintendent):
    cards = scanned(contest, kept(contest, 101), kept(contest, 102))
    for number, chosen in ((101, "1356"), (102, "1357")):
        read_choice(part_of(contest), slip_of(contest, number).contestant, chosen, "Ann")
    assert list(Choice.objects.order_by("contestant__number").values_list("state", flat=True)) == ["settled", "doubt"]
    page = superintendent.get(f"/contests/{contest.pk}/watch/doubts/").text
    addresses = [f"/contests/{contest.pk}/scanning/cards/{card.pk}/picture/" for card in cards]
    assert [address in page for address in addresses] == [False, True]
    assert addresses[0] in superintendent.get(slip_of(contest, 101).place.address(contest)).text


@pytest.mark.parametrize(
    ("how", "why"),
    [
        ({"troubles": [Trouble.WRONG_COUNT]}, "wrong_count"),
        ({"number": 999}, "unknown_number"),
        ({"code": "LAMBS", "placing": "12"}, "wrong_part"),
        ({"placing": "1359"}, "impossible"),
        ({"identity": Identity(65000, 2026, 1, 101, "keep")}, "other_contest"),
    ],
)
def test_whatever_is_in_doubt_is_for_a_person(contest, how, why):
    (card,) = scanned(contest, kept(contest, **{"number": 101} | how))
    assert became(card) == ("waiting", why)
    assert not ChoiceReading.objects.exists()


def test_a_part_that_the_contest_does_not_have_is_no_class_of_the_same_number(contest):
    identity = Identity(contest.pk, year_of(contest), 65000, 101, "keep")
    (card,) = scanned(contest, seen(contest, 101, "1356", identity=identity))
    assert became(card) == ("waiting", "unknown_class")
    judged = contest.classes.get(number=1)
    identity = Identity(contest.pk, year_of(contest), judged.number, 101, "keep")
    (card,) = scanned(contest, seen(contest, 101, "1356", identity=identity), page=2)
    assert card.judging_class is None
    assert not Reading.objects.exists()


def test_a_card_that_was_seen_or_is_settled_is_for_a_person_and_its_placing_card_is_not(contest):
    scanned(contest, kept(contest, 101))
    for by in ("Ann", "Ben"):
        read_choice(part_of(contest), slip_of(contest, 102).contestant, "1356", by)
    cards = scanned(contest, kept(contest, 101), kept(contest, 102), seen(contest, 101), page=2)
    assert [became(card) for card in cards] == [("waiting", "seen_twice"), ("waiting", "settled"), ("reading", "")]


def test_where_every_card_is_read_once_the_scanner_reads_alone(superintendent):
    contest = made(readings=1)
    (card,) = scanned(contest, kept(contest, 101))
    assert became(card) == ("reading", "")
    assert Choice.objects.get().state == "settled"


def test_a_card_that_waits_is_read_by_enter_alone(superintendent):
    contest = made(readings=1)
    (card,) = scanned(contest, kept(contest, 101, troubles=[Trouble.FAINT]))
    page = superintendent.get(f"/contests/{contest.pk}/scanning/cards/").text
    assert "Ewes, contestant 101" in page
    assert "Kept animals" in page
    assert 'name="class_number"' not in page
    address = f"/contests/{contest.pk}/scanning/cards/{card.pk}/read/"
    answer = superintendent.post(address, {"placing": "", "submission": str(uuid4())}, follow=True)
    assert "Ewes, contestant 101: 1356" in answer.text
    assert Choice.objects.get().chosen == "1356"


@pytest.mark.parametrize(("typed", "counts"), [("", "1356"), ("5136", "1356"), ("12", "12"), ("x", UNREADABLE)])
def test_what_is_typed_counts_however_many_it_keeps(contest, typed, counts):
    (card,) = scanned(contest, kept(contest, 101, troubles=[Trouble.FAINT]))
    read(card, Typed(typed), "Ann")
    reading = ChoiceReading.objects.get()
    assert (reading.chosen, reading.by, reading.source) == (counts, "Ann", "paper")
    assert not waiting_cards(contest).exists()


def test_an_animal_called_x_is_kept_and_the_button_says_unreadable_all_the_same(superintendent):
    contest = made(animals="ABXY", keep=1)
    cards = scanned(contest, *(kept(contest, number, "", troubles=[Trouble.BLANK]) for number in (101, 102)))
    read(cards[0], Typed("x"), "Ann")
    page = superintendent.get(f"/contests/{contest.pk}/scanning/cards/{cards[1].pk}/").text
    assert 'data-key="x"' not in page
    read(cards[1], Typed("?"), "Ann")
    assert list(ChoiceReading.objects.order_by("pk").values_list("chosen", flat=True)) == ["X", UNREADABLE]


@pytest.mark.parametrize("typed", ["n", "139", "11", ""])
def test_what_makes_no_sense_is_refused_and_the_card_waits_on(contest, typed):
    (card,) = scanned(contest, kept(contest, 101, "", troubles=[Trouble.BLANK]))
    with pytest.raises(WrongValue) as refused:
        read(card, Typed(typed), "Ann")
    assert refused.value.field == "placing"
    assert waiting_cards(contest).get() == card


def test_a_wrong_number_can_be_typed_and_the_card_can_be_had_back(contest):
    (card,) = scanned(contest, kept(contest, 999))
    read(card, Typed("", number=103), "Ann")
    card.refresh_from_db()
    assert (card.became, card.number) == ("settled", 103)
    assert pictures_of(contest, [slip_of(contest, 103)])[slip_of(contest, 103).place] == [card]
    bring_back(card, "Ann")
    assert ChoiceReading.objects.get().withdrawn_by == "Ann"
    assert waiting_cards(contest).get() == card


def test_the_reading_process_is_told_what_each_kind_of_card_asks(contest):
    key = str(part_of(contest).pk)
    asked = asked_by_cards(contest)
    assert asked["keep"][key] == ("12345678", 4)
    assert asked["card"] == {"1": ("1234", 0)}
