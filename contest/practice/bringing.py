"""What is done with what a coach brings once it is read: a practice is made of a file, a photograph put in place."""

from __future__ import annotations

from base64 import b64decode

from django.shortcuts import resolve_url

from contest.models import PracticeClass
from contest.practice.pictures import put_picture
from contest.practice.sharing import open_practice
from contest.uploads.purposes import Purpose
from contest.uploads.working import OnItsWay

PRACTICE, PHOTOGRAPH = "practice", "photograph"


def making_a_practice(keeps: bool, by: str) -> Purpose:
    return Purpose(PRACTICE, {"keeps": keeps, "by": by})


def make_practice(brought: OnItsWay, keeps: bool, by: str) -> None:
    read = list(brought.lines())  # first, so that nobody waits for the database meanwhile
    brought.end_with(lambda: resolve_url(open_practice(read, keeps, by)), str)


def putting_a_photograph(judged: PracticeClass, animal: str, view: str, says: str) -> Purpose:
    return Purpose(PHOTOGRAPH, {"judged": judged.pk, "animal": animal, "view": view, "says": says})


def put_photograph(brought: OnItsWay, judged: int, animal: str, view: str, says: str) -> None:
    of = PracticeClass.objects.get(pk=judged)
    image = b64decode(next(brought.lines()))
    done = resolve_url("practice-pictures", of.practice_id, of.number)
    brought.end_with(lambda: put_picture(of, animal, view, says, image).pk, lambda pk: done)
