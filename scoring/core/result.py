"""The result of a tally: every list with its ranks, and every score that went into them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from scoring.core.record import Card, Choice, Record

OVERALL = "overall"
PLACING = "placing"
REASONS = "reasons"


class IndividualRow(NamedTuple):
    rank: int
    number: int
    team: str
    total: Fraction
    tie: str


class TeamRow(NamedTuple):
    """A ranked team; `counting` holds the numbers of the members who count in this list, ascending."""

    rank: int
    team: str
    total: Fraction
    counting: tuple[int, ...]
    tie: str


@dataclass(frozen=True, slots=True)
class Standing:
    """One list of one division, or of one as a set has it. `code` is OVERALL, PLACING, REASONS or a category's code.

    A list that only team parts make has no individual rows. `apart` are those who count for their teams and are not
    ranked: of rank 0, by number.
    """

    division: str
    code: str
    individuals: tuple[IndividualRow, ...]
    teams: tuple[TeamRow, ...]
    apart: tuple[IndividualRow, ...] = ()


@dataclass(frozen=True, slots=True)
class Scores:
    """What a division earned in one item (`class:1`, `reasons:1`, `part:QUEST`), `points` in step with `numbers`."""

    division: str
    item: str
    numbers: tuple[int, ...]
    points: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class TeamScores:
    """What a division's teams earned in one team part, in step with `teams`."""

    division: str
    item: str
    teams: tuple[str, ...]
    points: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Result:
    """All of it, by division in the contest's order. `unsettled` are cards whose two readings differ, and
    `unsettled_choices` what was kept so.

    Where the contest has sets of results, `standings` are those of each set in turn, `sets` holds each as if the
    contest were its members' alone, and `everybody` the lists of all together, which nobody is shown."""

    standings: tuple[Standing, ...]
    scores: tuple[Scores, ...]
    team_scores: tuple[TeamScores, ...]
    unsettled: tuple[Card, ...]
    unsettled_choices: tuple[Choice, ...] = ()
    sets: tuple[OfSet, ...] = ()
    everybody: tuple[Standing, ...] = ()

    @property
    def of_everybody(self) -> tuple[Standing, ...]:
        """The lists of the whole contest, also where those of its sets alone are shown."""
        return self.everybody or self.standings


@dataclass(frozen=True, slots=True)
class OfSet:
    """A set as a contest of its own: nobody else is in its record, its divisions have their plain codes, and scores are
    what they are in the whole contest."""

    code: str
    record: Record
    result: Result
