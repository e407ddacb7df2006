"""What the database itself refuses, whatever path the rows come by."""

from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from contest.book import read_book
from contest.models import (
    Card,
    Category,
    Contestant,
    JudgingClass,
    Key,
    Mark,
    Part,
    ReasonsOfficial,
    ReasonsScore,
    Team,
    TieStep,
)
from contest.records import save_record

EXAMPLES = Path(__file__).parents[1] / "examples"


@pytest.fixture
def contest(db):
    return save_record(read_book(EXAMPLES / "book-3"), by="test")


def judging_class(contest, number):
    return JudgingClass.objects.get(contest=contest, number=number)


def contestant(contest, number):
    return Contestant.objects.get(contest=contest, number=number)


def a_card(contest, **fields):
    absent = {"judging_class": judging_class(contest, 2), "contestant": contestant(contest, 87)}
    return Card(**{**absent, "placing": "1234", "state": "once", **fields})


def a_mark(contest, **fields):
    return Mark(
        **{"part": Part.objects.get(contest=contest, code="TEST"), "hundredths": 100, "state": "once", **fields}
    )


def a_key(contest, **fields):
    third = {"judging_class": judging_class(contest, 3), "version": 1, "cuts": (1, 1, 1), "by": "x"}
    return Key(**{**third, "official": "1234", **fields})


def a_score(contest, **fields):
    official = ReasonsOfficial.objects.create(contest=contest, name="Z")
    heard = {"judging_class": judging_class(contest, 2), "contestant": contestant(contest, 62), "official": official}
    return ReasonsScore(**{**heard, "hundredths": 5000, "state": "once", **fields})


MAKERS = {"card": a_card, "key": a_key, "score": a_score}


@pytest.mark.parametrize("what", MAKERS)
def test_the_sound_rows_that_the_refusals_start_from_are_taken(contest, what):
    MAKERS[what](contest).save()


NONSENSE = {
    "a card with an animal twice": lambda c: a_card(c, placing="3312"),
    "a card with a fifth animal": lambda c: a_card(c, placing="3125"),
    "a card with three animals": lambda c: a_card(c, placing="312"),
    "a second reading that is no placing": lambda c: a_card(c, second="9999"),
    "a second reading of nothing": lambda c: a_card(c, second=""),
    "a second card for one class": lambda c: a_card(c, judging_class=judging_class(c, 5)),
    "an official placing that is none": lambda c: a_key(c, official="1223"),
    "a cut below 0": lambda c: a_key(c, cuts=(-1, 1, 1)),
    "a key's version that exists": lambda c: a_key(c, judging_class=judging_class(c, 1)),
    "a reasons score above 50": lambda c: a_score(c, hundredths=5001),
    "a reasons score below 0": lambda c: a_score(c, hundredths=-1),
    "a mark of nobody": lambda c: a_mark(c),
    "a mark of two": lambda c: a_mark(
        c, contestant=contestant(c, 136), team=Team.objects.filter(division__contest=c).first()
    ),
    "a number twice": lambda c: Contestant(contest=c, number=62, division=c.divisions.first()),
    "a number of 0": lambda c: Contestant(contest=c, number=0, division=c.divisions.first()),
    "a team twice": lambda c: Team(division=c.divisions.get(code="CO"), name="Team 001"),
    "a class number twice": lambda c: JudgingClass(contest=c, number=1, name="Again", position=9),
    "a perfect score of 0": lambda c: JudgingClass(contest=c, number=99, name="Nothing", position=9, perfect=0),
    "a category named as a list": lambda c: Category(contest=c, code="overall", name="Overall", position=9),
    "a part without points": lambda c: Part(contest=c, code="X", name="X", position=9, most=0, scope="team"),
    "left-out for individuals": lambda c: TieStep(contest=c, scope="individual", position=9, kind="left-out"),
    "a class step without a class": lambda c: TieStep(contest=c, scope="team", position=9, kind="class"),
}


@pytest.mark.parametrize("what", NONSENSE)
def test_the_database_refuses(contest, what):
    row = NONSENSE[what](contest)
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def test_a_setting_that_the_format_does_not_know_is_refused(contest):
    for field in ("show_people_as", "negative_scores", "unreadable_card"):
        with pytest.raises(IntegrityError), transaction.atomic():
            type(contest).objects.filter(pk=contest.pk).update(**{field: "odd"})


def test_what_is_used_cannot_be_removed(contest):
    used = [
        judging_class(contest, 5),
        contestant(contest, 62),
        Category.objects.get(contest=contest, code="HAL"),
        Part.objects.get(contest=contest, code="TEST"),
        contest.divisions.first(),
    ]
    for row in used:
        with pytest.raises(ProtectedError):
            row.delete()


@pytest.mark.django_db
def test_no_migration_is_missing():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
