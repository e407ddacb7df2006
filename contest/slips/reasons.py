"""Reasons scores read off slips: by class, official and contestant."""

from __future__ import annotations

from uuid import UUID, uuid4

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, Helper, JudgingClass, ReasonsOfficial, ReasonsReading, ReasonsScore
from contest.slips.reading import Fate
from contest.slips.score_reading import Points, Slip, fate_of_score, read_score, set_score_aside, take_back_score
from scoring.core.record import HUNDREDTHS, MOST_REASONS


def reasons_slip(judging_class: JudgingClass, official: ReasonsOfficial, contestant: Contestant) -> Slip:
    """What an official gave a contestant for a set of reasons on a class."""
    about = {"judging_class": judging_class, "official": official, "contestant": contestant}
    what = f"reasons of contestant {contestant} on class {judging_class.number}"
    return Slip(judging_class.contest, ReasonsReading, ReasonsScore, about, what)


def slip_of_reasons(row: ReasonsReading | ReasonsScore) -> Slip:
    return reasons_slip(row.judging_class, row.official, row.contestant)


def read_reasons(
    judging_class: JudgingClass,
    official: ReasonsOfficial,
    contestant: Contestant,
    hundredths: Points,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
) -> Fate:
    """Add a reading of what an official gave for a set of reasons, in hundredths; None where there is no score.

    Raises NotPossible where the contestant's division gives no reasons on the class, and outside 0 to 50.
    """
    _check(judging_class, contestant, hundredths)
    return read_score(reasons_slip(judging_class, official, contestant), hundredths, by, submission, helper)


@changes
def give_reasons(
    judging_class: JudgingClass,
    official: ReasonsOfficial,
    contestant: Contestant,
    hundredths: int,
    by: str,
    submission: UUID,
    helper: Helper | None = None,
) -> Fate:
    """The official's own score, entered on the room's tablet by `by`: it is the source, and settles by itself.

    It takes the place of what they entered there before, which the trail keeps; what somebody else read or decided
    stands beside it. Raises NotPossible as `read_reasons` does, and for another score once the results are released.
    """
    _check(judging_class, contestant, hundredths)
    slip = reasons_slip(judging_class, official, contestant)
    take_turn(slip.contest.pk)
    # Two devices of one official may differ: then neither takes the other's place, and the superintendent is asked.
    for reading in slip.read().filter(by=by, by_official=True).exclude(submission=submission):
        if reading.hundredths == hundredths:
            return fate_of_reasons(reading)
        _take_back_given(reading, by)
    return read_score(slip, hundredths, by, submission, helper, by_official=True)


@changes
def take_back_given(judging_class: JudgingClass, official: ReasonsOfficial, contestant: Contestant, by: str) -> None:
    """Take back the official's own score that `by` entered on the room's tablet; nothing where there is none.

    Raises NotPossible once the results are released.
    """
    slip = reasons_slip(judging_class, official, contestant)
    take_turn(slip.contest.pk)
    for reading in slip.read().filter(by=by, by_official=True):
        _take_back_given(reading, by)


def _take_back_given(reading: ReasonsReading, by: str) -> None:
    if reading.judging_class.contest.releases.filter(withdrawn_at=None).exists():
        raise NotPossible("the results are released: tell the superintendent, who can still change the score")
    take_back_reasons(reading, by)


def decide_reasons(
    judging_class: JudgingClass,
    official: ReasonsOfficial,
    contestant: Contestant,
    hundredths: Points,
    by: str,
    reason: str,
) -> Fate:
    """Settle a reasons score by the superintendent's decision."""
    if not reason.strip():
        raise NotPossible("say why the score counts as this")
    _check(judging_class, contestant, hundredths)
    slip = reasons_slip(judging_class, official, contestant)
    return read_score(slip, hundredths, by, decides_because=reason.strip())


def take_back_reasons(reading: ReasonsReading, by: str) -> None:
    """Withdraw one's own reading of a reasons score, until somebody else has had a part in settling it; what an
    official entered themselves, also then."""
    take_back_score(slip_of_reasons(reading), reading, by, even_settled=reading.by_official)


@changes
def move_reasons(
    reading: ReasonsReading,
    judging_class: JudgingClass,
    official: ReasonsOfficial,
    contestant: Contestant,
    by: str,
    reason: str,
) -> None:
    """Give a reading to the set and the official whose score it really is; the stray one is set aside."""
    set_score_aside(slip_of_reasons(reading), reading, by, reason)
    _check(judging_class, contestant, reading.hundredths)
    moved = (reasons_slip(judging_class, official, contestant), reading.hundredths, reading.by, uuid4(), reading.helper)
    read_score(*moved, by_official=reading.by_official)


def fate_of_reasons(reading: ReasonsReading) -> Fate:
    """What became of a reading of a reasons score, as things stand."""
    return fate_of_score(slip_of_reasons(reading), reading)


def _check(judging_class: JudgingClass, contestant: Contestant, hundredths: Points) -> None:
    giving = judging_class.class_divisions.filter(division=contestant.division_id, gives_reasons=True)
    if not giving.exists():
        raise NotPossible(f"{contestant} gives no reasons on class {judging_class.number}")
    if hundredths is not None and not 0 <= hundredths <= MOST_REASONS * HUNDREDTHS:
        raise NotPossible(f"a set of reasons is given 0 to {MOST_REASONS} points")
