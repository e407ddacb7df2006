"""Marks: points for a part, read off slips for a contestant or a team."""

from __future__ import annotations

from uuid import UUID, uuid4

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, Helper, Mark, MarkReading, Part, Team
from contest.slips.reading import Fate
from contest.slips.score_reading import Points, Slip, fate_of_score, read_score, set_score_aside, take_back_score
from scoring.core.points import printed
from scoring.core.record import HUNDREDTHS


def mark_slip(part: Part, owner: Contestant | Team | None) -> Slip:
    """What a contestant, or for a team part a team, earned in a part."""
    is_team = isinstance(owner, Team)
    about = {"part": part, "contestant": None if is_team else owner, "team": owner if is_team else None}
    whose = f"{owner}" if is_team else f"contestant {owner}"
    return Slip(part.contest, MarkReading, Mark, about, f"{part.name}, {whose}"[:150])


def slip_of_mark(row: MarkReading | Mark) -> Slip:
    return mark_slip(row.part, row.contestant or row.team)


def read_mark(
    part: Part,
    owner: Contestant | Team,
    hundredths: Points,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
) -> Fate:
    """Add a reading of what a contestant or a team earned in a part; None where no mark was given.

    Raises NotPossible where the division does not do the part, for the wrong kind of owner, and above its most.
    """
    _check(part, owner, hundredths)
    return read_score(mark_slip(part, owner), hundredths, by, submission, helper)


def decide_mark(part: Part, owner: Contestant | Team, hundredths: Points, by: str, reason: str) -> Fate:
    """Settle a mark by the superintendent's decision."""
    if not reason.strip():
        raise NotPossible("say why the mark counts as this")
    _check(part, owner, hundredths)
    return read_score(mark_slip(part, owner), hundredths, by, decides_because=reason.strip())


def take_back_mark(reading: MarkReading, by: str) -> None:
    """Withdraw one's own reading of a mark, until somebody else has had a part in settling it."""
    take_back_score(slip_of_mark(reading), reading, by)


@changes
def move_mark(reading: MarkReading, owner: Contestant | Team, by: str, reason: str, part: Part | None = None) -> None:
    """Give a reading to the contestant or team, and the part, whose mark it really is; the stray one is set aside."""
    set_score_aside(slip_of_mark(reading), reading, by, reason)
    read_mark(part or reading.part, owner, reading.hundredths, reading.by, uuid4(), reading.helper)


def fate_of_mark(reading: MarkReading) -> Fate:
    """What became of a reading of a mark, as things stand."""
    return fate_of_score(slip_of_mark(reading), reading)


def _check(part: Part, owner: Contestant | Team, hundredths: Points) -> None:
    if isinstance(owner, Team) != (part.scope == Part.Scope.TEAM):
        raise NotPossible(f"{part.name} is given to {part.get_scope_display()}")
    if not part.divisions.filter(pk=owner.division_id).exists():
        raise NotPossible(f"the division of {owner} does not do {part.name}")
    if hundredths is not None and not 0 <= hundredths <= part.most * HUNDREDTHS:
        raise NotPossible(f"{part.name} gives 0 to {printed(part.most)} points")
