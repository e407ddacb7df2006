"""Classes of other than four animals: in the database and out again, what it refuses, and how they are set up."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction

from contest.changes.exceptions import NotPossible, WrongValue
from contest.committee.handing_in import hand_in
from contest.committee.officials import add_official
from contest.keys import enter_key, hand_in_key
from contest.models import Card, CommitteeKey, JudgingClass, Key
from contest.models.animals import PREFIX, drop_triggers
from contest.models.triggers import triggers_there
from contest.records import load_record, save_record
from contest.setup import outline
from contest.slips.known_cards import read_card
from scoring.core import record as pure

SIX, CUTS = "CAZYXB", (2, 3, 1, 4, 2)


def a_class(number=1, animals="ABCXYZ", official=SIX, cuts=CUTS):
    return pure.JudgingClass(number, "Carcasses", ("SR",), animals=animals, official=official, cuts=cuts)


@pytest.fixture
def record():
    classes = (a_class(), a_class(2, "ABXY", None, None), a_class(3, "54321678", "12345678", (1, 2, 3, 4, 3, 2, 1)))
    return pure.Record(
        pure.Rules("Six in a class"),
        (pure.Division("SR", "Senior", 3),),
        classes=classes,
        contestants=(pure.Contestant(101, "SR", role="individual"), pure.Contestant(102, "SR", role="individual")),
        cards=(pure.Card(1, 101, "ACZYXB", None), pure.Card(1, 102, "unreadable", "BXYZAC")),
    )


@pytest.fixture
def contest(record, db):
    return save_record(record, by="test")


def judged(contest, number):
    return contest.classes.get(number=number)


def test_other_animals_come_out_of_the_database_as_they_went_in(contest, record):
    assert load_record(contest.pk)[1].classes == record.classes
    assert set(load_record(contest.pk)[1].cards) == set(record.cards)


REFUSED = {
    "a card with another class's animals": lambda c: c.filter(placing="ACZYXB").update(placing="3124"),
    "a card with an animal twice": lambda c: c.filter(placing="ACZYXB").update(placing="AAZYXB"),
    "a card in small letters": lambda c: c.filter(placing="ACZYXB").update(placing="aczyxb"),
    "a second reading with one animal fewer": lambda c: c.filter(second="BXYZAC").update(second="BXYZA"),
    "a key with another class's animals": lambda c: Key.objects.update(official="123456"),
    "a key with a cut too few": lambda c: Key.objects.update(cuts=(2, 3, 1, 4)),
    "a key with a cut below 0": lambda c: Key.objects.update(cuts=(-2, 3, 1, 4, 2)),
    "other animals under a key": lambda c: JudgingClass.objects.filter(number=1).update(animals="123456"),
    "two animals": lambda c: JudgingClass.objects.filter(number=2).update(animals="AB"),
    "nine animals": lambda c: JudgingClass.objects.filter(number=2).update(animals="123456789"),
    "a label twice": lambda c: JudgingClass.objects.filter(number=2).update(animals="ABXA"),
    "a small letter": lambda c: JudgingClass.objects.filter(number=2).update(animals="ABXy"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_the_database_refuses(contest, what):
    with pytest.raises(DatabaseError, match=r"names other animals|too long"), transaction.atomic():
        REFUSED[what](Card.objects)


def test_it_is_the_triggers_that_refuse(contest):
    with transaction.atomic():
        assert len(triggers_there(connection, PREFIX)) == 16
        drop_triggers("default")
        Card.objects.filter(placing="ACZYXB").update(placing="3124")
        assert triggers_there(connection, PREFIX) == []
        transaction.set_rollback(True)


def test_keys_name_the_animals_of_their_class(contest):
    four = judged(contest, 2)
    with pytest.raises(NotPossible, match="write each of A, B, X, Y once"):
        hand_in_key(four, "3124", (3, 5, 2), by="Ann")
    with pytest.raises(NotPossible, match="three cuts"):
        hand_in_key(four, "AYXB", (3, 5), by="Ann")
    key = enter_key(four, "AYXB", [3, 5, 2], by="Ann").key
    assert str(Key.objects.get(pk=key.pk)) == "AYXB 3-5-2"
    assert enter_key(four, "AYXB", (3, 5, 2), by="Ben").outcome == "confirmed"
    dispute = enter_key(judged(contest, 1), SIX, CUTS[::-1], by="Ann", reason="typed wrong").key
    assert dispute.cuts == CUTS[::-1]


def test_animals_are_set_up_and_stay_once_something_names_them(contest):
    four = judged(contest, 2)
    assert outline.change(four, "Sue", animals="PQRST").animals == "PQRST"
    with pytest.raises(WrongValue, match="2 animals; a class has 3 to 8"):
        outline.change(four, "Sue", animals="12")
    read_card(contest, 2, 101, "unreadable", by="Ann", submission=uuid4())
    outline.change(four, "Sue", animals="ABXY")
    read_card(contest, 2, 102, "AYXB", by="Ann", submission=uuid4())
    with pytest.raises(WrongValue, match="1 reading of a card names them"):
        outline.change(four, "Sue", animals="1234")
    with pytest.raises(WrongValue, match="its official placing is in"):
        outline.change(judged(contest, 1), "Sue", animals="123456")
    assert outline.change(judged(contest, 1), "Sue", name="Carcass lambs").animals == "ABCXYZ"


def test_what_an_official_of_a_committee_hands_in_names_the_animals_of_its_class_and_keeps_them(contest):
    four = judged(contest, 2)
    seat = add_official(contest, "Mary", "Sue").seats.get(judging_class=four)
    key = hand_in(seat, "AYXB", (3, 5, 2), "Mary")
    for wrong in ({"placing": "3124"}, {"cuts": (3, 5)}):
        with pytest.raises(DatabaseError, match="names other animals"), transaction.atomic():
            CommitteeKey.objects.filter(pk=key.pk).update(**wrong)
    with pytest.raises(WrongValue, match="an official of its committee has handed in"):
        outline.change(four, "Sue", animals="1234")
    with pytest.raises(DatabaseError, match="names other animals"), transaction.atomic():
        JudgingClass.objects.filter(number=2).update(animals="1234")
