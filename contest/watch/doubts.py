"""What waits for the superintendent's eye: the kinds of doubts, and what each says. `finding` finds them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from contest.models import Contestant, JudgingClass, Part, ReasonsOfficial, Team
from scoring.core.record import NO_CARD, UNREADABLE

DIFFERS = "differs"
REPEATED = "repeated"
LATE = "late"
UNKNOWN = "unknown"
WRONG_CLASS = "wrong-class"
ABSENT = "absent"

TITLES = {
    DIFFERS: "Readings differ",
    REPEATED: "Two cards, one reader",
    LATE: "Read after the decision",
    UNKNOWN: "Unknown number",
    WRONG_CLASS: "Wrong class",
    ABSENT: "Marked absent",
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
    by_official: bool = False


class Place(NamedTuple):
    """The page of a card or slip: the name of its address and what follows the contest there."""

    name: str
    args: tuple[Any, ...]

    @property
    def key(self) -> str:
        return "-".join(map(str, (self.name, *self.args)))


def card_place(class_number: int, number: int) -> Place:
    return Place("card", (class_number, number))


def reasons_place(judged: JudgingClass, official: ReasonsOfficial, contestant: Contestant) -> Place:
    return Place("reasons-score", (judged.number, official.pk, contestant.number))


def mark_place(part: Part, owner: Contestant | Team) -> Place:
    if isinstance(owner, Team):
        return Place("team-mark", (part.pk, owner.pk))
    return Place("mark", (part.pk, owner.number))


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something to be decided. `about` is `card`, `reasons` or `mark`; `place` is where all about it stands; `key`
    names it on the page; `group` is the contestant's.

    `seen` tells what of it somebody had before their eyes: whoever decides on less than there is by then is told.
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
        return TITLES[self.kind]

    @property
    def seen(self) -> str:
        return seen(said.pk for said in self.said)


def seen(readings: Iterable[int]) -> str:
    """What stands for the readings that somebody saw."""
    return "-".join(map(str, sorted(readings)))


def said_of(readings: Any, text: Callable[[Any], str]) -> list[Said]:
    """Every reading of a query, oldest first, each as a doubt would show it."""
    return [
        Said(
            *(row.pk, letter(place), None, text(row), row.by, row.at, row.decides, row.reason),
            getattr(row, "by_official", False),
        )
        for place, row in enumerate(readings.order_by("pk"))
    ]


def letter(place: int) -> str:
    """What picks the reading at a place, counted from 0."""
    return chr(ord("a") + place % 26)


def card_text(placing: str) -> str:
    """What a card says, in words where it says no placing."""
    return {NO_CARD: "no card", UNREADABLE: "unreadable"}.get(placing, placing)
