"""Entries of the trail as people read them: with names in the place of tokens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.utils.timezone import localtime

from contest.models import Contest, TrailEntry, TrailName
from contest.trail.hashing import tokens_in, with_names
from contest.trail.names import names_of
from contest.trail.sentences import say


def trail_at(contest: Contest, revision: int) -> tuple[datetime | None, str]:
    """When a contest came to a revision, and the hash of its trail there."""
    return contest.trail.filter(revision=revision).values_list("at", "hash").first() or (None, "")


@dataclass(frozen=True, slots=True)
class EntryWithNames:
    """An entry with the names that are still known; `person` is the key of the name of whoever acted."""

    contest: int | None
    revision: int
    at: datetime
    by: str
    person: int | None
    what: str
    before: Any
    after: Any
    about: tuple[str, ...]
    hash: str


class Headline(NamedTuple):
    """What a list shows of an entry; `contest` is None for one of the site's chain."""

    contest: int | None
    revision: int
    at: datetime
    by: str
    what: str


HEADLINE = ("contest_id", *Headline._fields[1:], "values")
"""The columns that a headline is made of: before and after can be long, and a list has no need of them."""


def headlines(rows: Iterable[tuple[Any, ...]]) -> list[Headline]:
    """Rows of the columns HEADLINE, with the name of whoever acted."""
    entries = [
        Headline(contest, revision, at, by, say(what, values)) for contest, revision, at, by, what, values in rows
    ]
    names = names_of(entry.by for entry in entries)
    return [entry._replace(by=names.get(entry.by, entry.by), at=localtime(entry.at)) for entry in entries]


def named_entries(entries: Iterable[TrailEntry]) -> list[EntryWithNames]:
    """The entries with their names, all of which are looked up at once."""
    entries = list(entries)
    tokens = {token for entry in entries for held in (entry.by, entry.before, entry.after) for token in tokens_in(held)}
    names = names_of(tokens)
    known = TrailName.objects.filter(token__in={entry.by for entry in entries}, name__isnull=False)
    keys = dict(known.values_list("token", "pk"))
    return [
        EntryWithNames(
            contest=entry.contest_id,
            revision=entry.revision,
            at=entry.at,
            by=names.get(entry.by, entry.by),
            person=keys.get(entry.by),
            what=say(entry.what, entry.values),
            before=with_names(entry.before, names),
            after=with_names(entry.after, names),
            about=tuple(entry.about.split()),
            hash=entry.hash,
        )
        for entry in entries
    ]
