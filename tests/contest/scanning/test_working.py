"""What people do about cards that wait for them."""

import pytest

from contest.changes.exceptions import NotPossible, WrongValue
from contest.helpers.joining import let_in
from contest.models import Card, Duty, Reading, State
from contest.scanning.reader import Trouble
from contest.scanning.rules import change_rules
from contest.scanning.working import Typed, bring_back, put_aside, read, waiting_cards, why_aside
from scoring.core.record import UNREADABLE
from tests.contest.scanning.cards import scanned, seen
from tests.factories import a_contest, people

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    made = a_contest(contestants=people(6), cards=())
    change_rules(made, "Sue", on=True)
    return made


@pytest.fixture
def faint(contest):
    return scanned(contest, seen(contest, 101, "3124", troubles=[Trouble.FAINT]))[0]


def test_nothing_typed_is_what_the_machine_thinks_and_the_reading_is_the_persons(contest, faint):
    outcome = read(faint, Typed(""), "Ann")
    reading = Reading.objects.get()
    assert (reading.placing, reading.by, reading.source) == ("3124", "Ann", "paper")
    assert outcome.kind == "saved"
    faint.refresh_from_db()
    assert (faint.became, faint.by, faint.submission) == ("settled", "Ann", reading.submission)


@pytest.mark.parametrize(("typed", "counts"), [("4321", "4321"), ("432", "4321"), ("x", UNREADABLE), ("u", UNREADABLE)])
def test_what_is_typed_counts(faint, typed, counts):
    read(faint, Typed(typed), "Ann")
    assert Reading.objects.get().placing == counts


@pytest.mark.parametrize("typed", ["n", "44", "hello", "12345"])
def test_what_makes_no_sense_is_refused_and_the_card_waits_on(contest, faint, typed):
    with pytest.raises(WrongValue) as refused:
        read(faint, Typed(typed), "Ann")
    assert refused.value.field == "placing"
    assert waiting_cards(contest).get() == faint


def test_nothing_can_be_meant_where_the_machine_thinks_nothing(contest):
    (card,) = scanned(contest, seen(contest, 101, "", troubles=[Trouble.BLANK_POSITION]))
    with pytest.raises(WrongValue):
        read(card, Typed(""), "Ann")


def test_a_gap_that_the_superintendent_fills_is_a_decision_that_keeps_what_is_on_the_card(contest):
    (card,) = scanned(contest, seen(contest, 101, "", troubles=[Trouble.BLANK_POSITION]))
    read(card, Typed("31_4"), "Sue")
    reading = Reading.objects.get()
    assert (reading.placing, reading.on_card, reading.decides) == ("3124", "31_4", True)
    assert reading.reason == "the missing place by elimination"
    assert Card.objects.get().state == State.SETTLED


def test_a_helper_fills_no_gap(contest):
    (card,) = scanned(contest, seen(contest, 101, "", troubles=[Trouble.BLANK_POSITION]))
    ann = let_in(contest, Duty.TABULATOR, "Ann")
    with pytest.raises(WrongValue, match="only the superintendent"):
        read(card, Typed("31_4"), "Ann", ann)


def test_a_number_and_a_class_can_be_typed_where_the_code_cannot_be_read(contest):
    (card,) = scanned(contest, seen(contest, None, "3124", identity=None, troubles=[Trouble.CODE_DAMAGED]))
    with pytest.raises(WrongValue) as refused:
        read(card, Typed("3124"), "Ann")
    assert refused.value.field == "class_number"
    with pytest.raises(WrongValue, match="nobody has number 999"):
        read(card, Typed("3124", 999, 1), "Ann")
    read(card, Typed("3124", 103, 1), "Ann")
    assert Reading.objects.get().number == 103


def test_whoever_is_second_is_told_who_was_first(contest, faint):
    read(faint, Typed(""), "Ann")
    with pytest.raises(NotPossible, match="Ann has dealt with this card meanwhile"):
        read(faint, Typed("4321"), "Bob")
    with pytest.raises(NotPossible):
        put_aside(faint, "Bob", "no card there")
    assert Reading.objects.count() == 1


def test_a_card_is_put_aside_for_a_reason_and_can_wait_again(contest, faint):
    with pytest.raises(NotPossible):
        put_aside(faint, "Ann", " ")
    put_aside(faint, "Ann", "no card there")
    assert not waiting_cards(contest).exists()
    bring_back(faint, "Bob")
    assert waiting_cards(contest).get() == faint
    assert not Reading.objects.exists()


def test_whoever_read_a_card_can_take_it_back_and_read_it_anew(contest, faint):
    read(faint, Typed("4321"), "Ann")
    bring_back(faint, "Ann")
    assert not Card.objects.exists()
    read(faint, Typed("3124"), "Ann")
    assert Reading.objects.get(withdrawn_at=None).placing == "3124"


def test_nobody_else_can_and_then_nothing_is_changed(contest, faint):
    read(faint, Typed("4321"), "Ann")
    with pytest.raises(NotPossible):
        bring_back(faint, "Bob")
    faint.refresh_from_db()
    assert (faint.became, faint.by) == ("settled", "Ann")


def test_those_that_one_key_settles_come_first(contest):
    scanned(
        contest,
        seen(contest, None, "", identity=None, troubles=[Trouble.CODE_DAMAGED]),
        seen(contest, 104, "", troubles=[Trouble.TWO_MARKS]),
        seen(contest, 103, troubles=[Trouble.FAINT]),
        seen(contest, 102, troubles=[Trouble.FAINT]),
        seen(contest, 999),
    )
    assert [card.number for card in waiting_cards(contest)] == [102, 103, 999, 104, None]


def test_the_reason_that_fits_is_offered(contest):
    cards = scanned(
        contest,
        seen(contest, 101),
        seen(contest, 101),
        seen(contest, None, identity=None, troubles=[Trouble.OTHER_CONTEST]),
        seen(contest, None, identity=None, troubles=[Trouble.CODE_DAMAGED]),
    )
    assert [why_aside(card) for card in cards[1:]] == ["scanned before", "not a card of this contest", "no card there"]
