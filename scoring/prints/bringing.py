"""What is done with a picture for the awards once it is looked through: it is the contest's."""

from __future__ import annotations

from base64 import b64decode

from django.urls import reverse

from contest.uploads.purposes import Purpose
from contest.uploads.working import OnItsWay
from scoring.prints.ribbons import set_picture

NAME = "picture"


def using_a_picture(by: str) -> Purpose:
    return Purpose(NAME, {"by": by})


def use_picture(brought: OnItsWay, by: str) -> None:
    contest = brought.contest
    ending, data = next(brought.lines())
    done = reverse("print-awards", args=[contest.pk])
    brought.end_with(lambda: set_picture(contest, ending, b64decode(data), by), lambda _: done)
