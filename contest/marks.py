"""Marks: points for a part, read off slips for a contestant or a team."""

from __future__ import annotations

from uuid import UUID

from contest.models import Contestant, Helper, Mark, MarkReading, Part, Team
from contest.reading import Fate, NotPossible
from contest.score_reading import About, fate_of_reading, read_score, withdraw_score_reading
from scoring.points import printed
from scoring.record import HUNDREDTHS


def read_mark(
    part: Part,
    owner: Contestant | Team,
    hundredths: int,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
) -> Fate:
    """Add a reading of what a contestant, or for a team part a team, earned in a part.

    Raises NotPossible where the division does not do the part, for the wrong kind of owner, and above its most.
    """
    about = _about(part, owner, hundredths)
    return read_score(MarkReading, Mark, about, hundredths, part.contest, _what(part, owner), by, submission, helper)


def decide_mark(part: Part, owner: Contestant | Team, hundredths: int, by: str, reason: str) -> Fate:
    """Settle a mark by the superintendent's decision."""
    if not reason.strip():
        raise NotPossible("say why the mark counts as this")
    about = _about(part, owner, hundredths)
    what = _what(part, owner)
    return read_score(MarkReading, Mark, about, hundredths, part.contest, what, by, decides_because=reason.strip())


def take_back_mark(reading: MarkReading, by: str) -> None:
    """Withdraw one's own reading of a mark, until somebody else has had a part in settling it."""
    what = _what(reading.part, reading.contestant or reading.team)
    withdraw_score_reading(Mark, reading, _about_reading(reading), reading.part.contest, what, by)


def fate_of_mark(reading: MarkReading) -> Fate:
    """What became of a reading of a mark, as things stand."""
    return fate_of_reading(Mark, reading, _about_reading(reading))


def _about_reading(reading: MarkReading) -> About:
    return {"part": reading.part, "contestant": reading.contestant, "team": reading.team}


def _about(part: Part, owner: Contestant | Team, hundredths: int) -> About:
    is_team = isinstance(owner, Team)
    if is_team != (part.scope == Part.Scope.TEAM):
        raise NotPossible(f"{part.name} is given to {part.get_scope_display()}")
    if not part.divisions.filter(pk=owner.division_id).exists():
        raise NotPossible(f"the division of {owner} does not do {part.name}")
    if not 0 <= hundredths <= part.most * HUNDREDTHS:
        raise NotPossible(f"{part.name} gives 0 to {printed(part.most)} points")
    return {"part": part, "contestant": None if is_team else owner, "team": owner if is_team else None}


def _what(part: Part, owner: Contestant | Team | None) -> str:
    return f"{part.name}, {owner}"[:150]
