"""What waits for the superintendent's eye: the kinds of doubts, and what each says. `finding` finds them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from contest.models import JudgingClass, Source
from contest.slips.cards import CardSlip
from contest.slips.slip import Place, Slip

DIFFERS = "differs"
REPEATED = "repeated"
LATE = "late"
UNKNOWN = "unknown"
WRONG_CLASS = "wrong-class"
WRONG_PART = "wrong-part"
ABSENT = "absent"
ODD = "odd"
UNCLEAR = "unclear"

TITLES = {
    DIFFERS: _("Readings differ"),
    REPEATED: _("Two cards, one reader"),
    LATE: _("Read after the decision"),
    UNKNOWN: _("Unknown number"),
    WRONG_CLASS: _("Wrong class"),
    WRONG_PART: _("Wrong part"),
    ABSENT: _("Marked absent"),
    ODD: _("Wrong number kept"),
    UNCLEAR: _("An answer is not clear"),
}
VOID = _("The class is void: the card counts for nobody.")
FULL = _("Everybody has full points in this class: no card counts.")


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


class ReadingRow(NamedTuple):
    """One reading, whatever it is of. `value` is a placing, or hundredths."""

    pk: int
    value: Any
    by: str
    at: datetime
    decides: bool
    reason: str
    source: str


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something to be decided about a slip. `number` and `group` are the contestant's, and `since` is when it became
    doubtful. `why` is a text that is not translated yet: thousands are found, and few are shown.

    `fingerprint` tells what of it a page showed: whoever decides on less than there is by then is told.
    """

    slip: Slip
    kind: str
    why: str
    since: datetime
    readings: tuple[ReadingRow, ...]
    number: int | None = None
    group: str = ""

    @property
    def about(self) -> str:
        """The kind of slip: `card`, `reasons`, `mark` or `choice`."""
        return self.slip.name

    @property
    def place(self) -> Place:
        """Where all about it stands."""
        return self.slip.place

    @property
    def key(self) -> str:
        """What names it on the page."""
        return f"reading-{self.readings[0].pk}" if self.stray else self.place.key

    @property
    def stray(self) -> bool:
        return self.kind in (UNKNOWN, WRONG_CLASS, WRONG_PART)

    @property
    def known(self) -> bool:
        """Whether somebody has the number."""
        return self.kind != UNKNOWN

    @property
    def title(self) -> str:
        return gettext(TITLES[self.kind])

    @property
    def what(self) -> str:
        return self.slip.title

    @property
    def text(self) -> str:
        values = {"number": self.number, "judged": self.class_number, "name": self.readings[0].by, "of": self.slip.of}
        text = gettext(self.why).format(**values)
        if apart := self.slip.apart([row.value for row in self.readings]):
            return f"{text} {apart}"
        if self._judged is None or self.about != CardSlip.name:
            return text
        why = VOID if self._judged.void else FULL if self._judged.full_points else ""
        return f"{text} {gettext(why)}" if why else text

    @property
    def said(self) -> tuple[Said, ...]:
        text = self.slip.value_text
        return tuple(
            Said(row.pk, letter(place), row.value, text(row.value), *row[2:]) for place, row in enumerate(self.readings)
        )

    @property
    def class_number(self) -> int | None:
        return self._judged.number if self._judged else None

    @property
    def card(self) -> tuple[int | None, int | None]:
        """Which card it is about, by class and number."""
        return self.class_number, self.number

    @property
    def fingerprint(self) -> str:
        return fingerprint(row.pk for row in self.readings)

    @property
    def _judged(self) -> JudgingClass | None:
        return getattr(self.slip, "judging_class", None)


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
