"""What the page of a committee shows: what its officials handed in, side by side."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from dataclasses import dataclass

from contest.committee.handing_in import as_panel, handed_in
from contest.models import CommitteeKey, CommitteeSeat, JudgingClass
from contest.watch.key_pages import KeyShown, signs_of
from scoring.core.class_picture import ClassPicture, class_picture
from scoring.core.committee import Comparison, compare
from scoring.core.committee_words import agreement_in_words
from scoring.core.placing import ANIMALS, Limit, limits
from scoring.core.points import figure

TOLD = 6
"""So many placings that lose as much as each other are named."""


@dataclass(frozen=True, slots=True)
class SeatShown:
    seat: CommitteeSeat
    key: CommitteeKey | None

    @property
    def shown(self) -> KeyShown | None:
        return signs_of(self.key.placing, self.key.cuts) if self.key else None


@dataclass(frozen=True, slots=True)
class Placings:
    """Some placings, the first ones by name, and how many more there are."""

    named: tuple[str, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table: what it is of, and a cell for each official who handed in."""

    of: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PairRow:
    """A pair with, for each official, whether they have it this way round and by how many points."""

    above: str
    below: str
    cells: tuple[tuple[bool, str], ...]
    is_agreed: bool


@dataclass(frozen=True, slots=True)
class CommitteeShown:
    """The committee of one class with all that was handed in: for its chair and the superintendent alone."""

    judged: JudgingClass
    seats: tuple[SeatShown, ...]
    comparison: Comparison | None

    @property
    def names(self) -> list[str]:
        """Of those who handed in."""
        return [shown.seat.official.name for shown in self.seats if shown.key]

    @property
    def fingerprint(self) -> str:
        """Stands for what was handed in, as somebody saw it."""
        said = [(shown.seat.pk, shown.key and shown.key.pk) for shown in self.seats]
        return hashlib.sha256(repr(said).encode()).hexdigest()[:16]

    @property
    def words(self) -> str:
        return agreement_in_words(self.comparison.agreement) if self.comparison else ""

    @property
    def proposed(self) -> KeyShown | None:
        return signs_of(self.comparison.proposal.placing, self.comparison.proposal.cuts) if self.comparison else None

    @property
    def warnings(self) -> tuple[Limit, ...]:
        """The published limits that the proposal exceeds."""
        if self.comparison is None:
            return ()
        return limits(self.comparison.proposal.cuts, self.judged.perfect, len(self.judged.animals))

    @property
    def alike(self) -> Placings | None:
        return some_of(self.comparison.proposal.alike) if self.comparison else None

    @property
    def next(self) -> Placings | None:
        return some_of(self.comparison.proposal.next) if self.comparison else None

    @property
    def losses(self) -> list[Row]:
        if self.comparison is None:
            return []
        rows = zip(self.names, self.comparison.losses, strict=True)
        return [Row(name, tuple(map(figure, losses))) for name, losses in rows]

    @property
    def by_proposal(self) -> list[str]:
        return [figure(points) for points in self.comparison.by_proposal] if self.comparison else []

    @property
    def pairs(self) -> list[PairRow]:
        if self.comparison is None:
            return []
        return [
            PairRow(
                pair.above,
                pair.below,
                tuple((kept, figure(abs(points))) for kept, points in zip(pair.kept, pair.said, strict=True)),
                pair.is_agreed,
            )
            for pair in self.comparison.pairs
        ]

    @property
    def picture(self) -> ClassPicture | None:
        """Where the officials stand among the placings, with the proposal in their middle: of four animals."""
        if self.comparison is None or len(self.judged.animals) != len(ANIMALS):
            return None
        given: defaultdict[str, int] = defaultdict(int)
        for key in self.comparison.keys:
            given[key.placing] += 1
        return class_picture(self.comparison.proposal.placing, {}, given)


def committee_shown(judged: JudgingClass) -> CommitteeShown:
    seats = list(judged.seats.select_related("official", "judging_class"))
    keys = handed_in(seats)
    shown = tuple(SeatShown(seat, keys.get(seat.pk)) for seat in seats)
    return CommitteeShown(judged, shown, compare(as_panel(seats, keys), judged.perfect))


def some_of(placings: tuple[str, ...]) -> Placings:
    return Placings(placings[:TOLD], max(len(placings) - TOLD, 0))
