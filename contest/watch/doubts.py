"""What waits for the superintendent's eye: the kinds of doubts, and what each says. `finding` finds them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from contest.models import Source
from contest.slips.slip import Place, Slip

DIFFERS = "differs"
REPEATED = "repeated"
LATE = "late"
UNKNOWN = "unknown"
WRONG_CLASS = "wrong-class"
ABSENT = "absent"

TITLES = {
    DIFFERS: _("Readings differ"),
    REPEATED: _("Two cards, one reader"),
    LATE: _("Read after the decision"),
    UNKNOWN: _("Unknown number"),
    WRONG_CLASS: _("Wrong class"),
    ABSENT: _("Marked absent"),
}


class Said(NamedTuple):
    """One reading as the doubt shows it; `letter` picks it."""

    pk: int
    letter: str
    value: Any
    text: str
    by: str
    at: datetime
    decides: bool
    reason: str
    source: str = Source.PAPER

    @property
    def by_official(self) -> bool:
        return self.source == Source.OFFICIAL


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something to be decided. `about` is the kind of slip: `card`, `reasons` or `mark`; `place` is where all about it
    stands; `key` names it on the page; `group` is the contestant's.

    `fingerprint` tells what of it a page showed: whoever decides on less than there is by then is told.
    """

    about: str
    kind: str
    place: Place
    key: str
    what: str
    text: str
    since: datetime
    said: tuple[Said, ...]
    number: int | None = None
    class_number: int | None = None
    group: str = ""
    stray: bool = False
    known: bool = True

    @property
    def title(self) -> str:
        return gettext(TITLES[self.kind])

    @property
    def fingerprint(self) -> str:
        return fingerprint(said.pk for said in self.said)


def fingerprint(readings: Iterable[int]) -> str:
    """What stands for the readings that somebody saw."""
    return "-".join(map(str, sorted(readings)))


def said_of(slip: Slip) -> list[Said]:
    """Every reading of a slip, oldest first, each as a doubt would show it."""
    return [
        Said(
            row.pk,
            letter(place),
            getattr(row, slip.value),
            slip.text(row),
            *(row.by, row.at, row.decides, row.reason, row.source),
        )
        for place, row in enumerate(slip.live())
    ]


def letter(place: int) -> str:
    """What picks the reading at a place, counted from 0."""
    return chr(ord("a") + place % 26)
