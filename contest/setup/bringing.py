"""What is done with a contest book once it is read: a contest is made of it."""

from __future__ import annotations

from django.urls import reverse

from contest.book.plain import record_from_lines
from contest.records.saving import save_hidden, show_saved
from contest.records.sweeping import sweep
from contest.uploads.purposes import Purpose
from contest.uploads.working import OnItsWay

NAME = "contest"


def making_a_contest(by: str) -> Purpose:
    return Purpose(NAME, {"by": by})


def make_contest(brought: OnItsWay, by: str) -> None:
    """Save a book as a new contest, of which nobody sees anything before it is whole."""
    record = record_from_lines(brought.lines())
    hidden = save_hidden(record, by, brought.tell)
    shown = None
    try:
        shown = brought.end_with(lambda: show_saved(hidden, record, by).pk, lambda pk: reverse("setup", args=[pk]))
    finally:
        if shown != hidden.pk:  # nobody wants it any more, or the form made one before
            sweep(hidden.pk)
