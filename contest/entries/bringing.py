"""What is done with an entry list once it is read: it waits to be looked at, and is loaded by whoever confirms it."""

from __future__ import annotations

from django.urls import reverse

from contest.entries.source import Source, together
from contest.models import BroughtFile, Contest
from contest.uploads.files import to_be_shown
from contest.uploads.purposes import Purpose
from contest.uploads.working import OnItsWay

NAME = "entries"
LOOKING_AT_ENTRIES = Purpose(NAME)


def show_entries(brought: OnItsWay) -> None:
    """Raises Unreadable for several lists that cannot be put together."""
    contest = brought.contest
    read = dict(brought.lines())
    source = Source(brought.name, read if brought.kind == "list" else {"": together(read)})
    there = reverse("entries-read", args=[contest.pk, brought.key])
    brought.end_with(lambda: brought.show_later(source), lambda _: there)


def source_of(brought: BroughtFile | None, contest: Contest) -> Source | None:
    """What was read for this contest, while it waits."""
    if brought is None or brought.purpose != NAME or brought.contest_id != contest.pk:
        return None
    source: Source | None = to_be_shown(brought)
    return source
