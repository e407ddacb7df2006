"""Reasons scores read off slips: by class, official and contestant."""

from __future__ import annotations

from uuid import UUID

from contest.changes import changes
from contest.models import Contest, Contestant, Helper, JudgingClass
from contest.reading import Fate, NotPossible
from contest.score_reading import About, read_score, withdraw_score_reading
from contest.trail import record_change
from reasons.models import ReasonsOfficial, ReasonsReading, ReasonsScore
from scoring.record import HUNDREDTHS, MOST_REASONS


@changes
def add_official(contest: Contest, name: str, by: str) -> ReasonsOfficial:
    """The reasons official of that name, made where there is none yet."""
    name = name.strip()
    if not name:
        raise NotPossible("give the official a name or a letter")
    official, is_new = ReasonsOfficial.objects.get_or_create(contest=contest, name=name)
    if is_new:
        record_change(contest, by, f"reasons official {name}"[:200])
    return official


def read_reasons(
    judging_class: JudgingClass,
    official: ReasonsOfficial,
    contestant: Contestant,
    hundredths: int,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
) -> Fate:
    """Add a reading of what an official gave for a set of reasons, in hundredths.

    Raises NotPossible where the contestant's division gives no reasons on the class, and outside 0 to 50.
    """
    about = _about(judging_class, official, contestant, hundredths)
    what = _what(judging_class, official, contestant)
    contest = judging_class.contest
    return read_score(ReasonsReading, ReasonsScore, about, hundredths, contest, what, by, submission, helper)


def decide_reasons(
    judging_class: JudgingClass,
    official: ReasonsOfficial,
    contestant: Contestant,
    hundredths: int,
    by: str,
    reason: str,
) -> Fate:
    """Settle a reasons score by the superintendent's decision."""
    if not reason.strip():
        raise NotPossible("say why the score counts as this")
    about = _about(judging_class, official, contestant, hundredths)
    what = _what(judging_class, official, contestant)
    contest = judging_class.contest
    return read_score(
        ReasonsReading, ReasonsScore, about, hundredths, contest, what, by, decides_because=reason.strip()
    )


def take_back_reasons(reading: ReasonsReading, by: str) -> None:
    """Withdraw one's own reading of a reasons score, until somebody else has had a part in settling it."""
    about = {
        "judging_class": reading.judging_class,
        "official": reading.official,
        "contestant": reading.contestant,
    }
    what = _what(reading.judging_class, reading.official, reading.contestant)
    withdraw_score_reading(ReasonsScore, reading, about, reading.judging_class.contest, what, by)


def _about(judging_class: JudgingClass, official: ReasonsOfficial, contestant: Contestant, hundredths: int) -> About:
    giving = judging_class.class_divisions.filter(division=contestant.division_id, gives_reasons=True)
    if not giving.exists():
        raise NotPossible(f"{contestant} gives no reasons on class {judging_class.number}")
    if not 0 <= hundredths <= MOST_REASONS * HUNDREDTHS:
        raise NotPossible(f"a set of reasons is given 0 to {MOST_REASONS} points")
    return {"judging_class": judging_class, "official": official, "contestant": contestant}


def _what(judging_class: JudgingClass, official: ReasonsOfficial, contestant: Contestant) -> str:
    return f"reasons of {contestant} on class {judging_class.number} by {official}"[:150]
