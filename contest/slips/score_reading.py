"""Reading points off slips: the same for reasons scores and for marks, with the same safety as cards."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any
from uuid import UUID, uuid4

from django.db.models import Model, QuerySet

from contest.changes import SubmissionReused, changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Helper, State
from contest.slips.reading import ABSENT, DIFFERS, REPEATED, SAVED, SETTLED, Fate, mark_withdrawn
from contest.trail import Personal, record_change
from scoring.core.points import printed
from scoring.core.record import HUNDREDTHS
from scoring.core.settling import Given, settle

Points = int | None
"""Hundredths of a point; None where the slip says that no score was given."""


@dataclass(frozen=True, slots=True)
class Slip:
    """What one score is of: `about` by field, such as a class, a contestant and an official; `what` says it in words.

    `readings` and `scores` are the tables of its readings and of what they come to.
    """

    contest: Contest
    readings: type[Model]
    scores: type[Model]
    about: dict[str, Any]
    what: str

    def read(self) -> QuerySet[Any]:
        """Its readings that were not withdrawn, oldest first."""
        return self.ever_read().filter(withdrawn_at__isnull=True)

    def ever_read(self) -> QuerySet[Any]:
        """Its readings, the withdrawn ones among them, oldest first."""
        return self.readings._default_manager.filter(**self.about).order_by("pk")

    def subjects(self) -> list[str]:
        """What the trail finds it by, beside the numbers that `what` names."""
        return [f"{name}:{row.pk}" for name in ("team", "official", "part") if (row := self.about.get(name))]

    def score(self) -> Any:
        """What its readings come to; None where there are none."""
        return self.scores._default_manager.filter(**self.about).first()


@changes
def read_score(
    slip: Slip,
    hundredths: Points,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
    decides_because: str = "",
    **more: Any,
) -> Fate:
    """Add a reading of points, or that none were given, and bring the score in step with its readings.

    With `decides_because` it is the superintendent's decision; `more` are the reading's other fields. The same
    submission again changes nothing. Raises SubmissionReused where its id came before with another reading.
    """
    take_turn(slip.contest.pk)
    earlier = slip.readings._default_manager.filter(submission=submission).first() if submission else None
    if earlier:
        same = {"hundredths": hundredths, "by": by, **slip.about}
        if any(getattr(earlier, name) != value for name, value in same.items()):
            raise SubmissionReused(f"submission {submission} was used for another reading")
        return fate_of_score(slip, earlier)
    before = slip.score()
    reading = slip.readings._default_manager.create(
        **slip.about,
        hundredths=hundredths,
        by=by,
        helper=helper,
        submission=submission or uuid4(),
        decides=bool(decides_because),
        reason=decides_because,
        **more,
    )
    _settle(slip)
    what = f"{slip.what}: {'decided' if decides_because else 'read'}"[:200]
    was, now = before and in_words(before.hundredths), in_words(hundredths)
    after = {"points": now, "reason": Personal(decides_because)} if decides_because else now
    record_change(slip.contest, by, what, before=was, after=after, about=slip.subjects())
    return fate_of_score(slip, reading)


@changes
def take_back_score(slip: Slip, reading: Any, by: str, even_settled: bool = False) -> None:
    """Withdraw one's own reading, until somebody else has had a part in settling its score, or `even_settled`."""
    take_turn(slip.contest.pk)
    if reading.by != by:
        raise NotPossible("only whoever read a slip can take the reading back")
    score = None if even_settled else slip.score()
    if score and score.state == State.SETTLED and slip.read().exclude(by=by, decides=False).exists():
        raise NotPossible("that score is settled; tell the superintendent")
    _withdraw(slip, reading, by)


@changes
def set_score_aside(slip: Slip, reading: Any, by: str, reason: str) -> None:
    """Withdraw a reading that belongs to nobody or nothing, with the superintendent's reason."""
    if not reason.strip():
        raise NotPossible("say why the reading is set aside")
    take_turn(slip.contest.pk)
    _withdraw(slip, reading, by, reason.strip())


def fate_of_score(slip: Slip, reading: Any) -> Fate:
    """What became of a reading of points, as things stand."""
    # There is none where every reading of it was taken back before this one came a second time.
    score = slip.score()
    if score and score.state == State.DOUBT:
        return Fate(DIFFERS, "differs from another reading; the superintendent decides", reading.pk)
    contestant = slip.about.get("contestant")
    if contestant and not contestant.present and reading.hundredths is not None:
        return Fate(ABSENT, f"{contestant} is marked as absent; kept as a doubt", reading.pk)
    if score and score.state == State.SETTLED:
        return Fate(SETTLED, "saved, and settled", reading.pk)
    if slip.read().filter(by__iexact=reading.by, pk__lt=reading.pk).exists():
        return Fate(REPEATED, "you have read this before; somebody else must read it the second time", reading.pk)
    return Fate(SAVED, "saved", reading.pk)


def in_words(hundredths: Points) -> str:
    """Points as people write them, and exactly."""
    return "no score" if hundredths is None else printed(Fraction(hundredths, HUNDREDTHS))


def _withdraw(slip: Slip, reading: Any, by: str, reason: str = "") -> None:
    mark_withdrawn(reading, by, reason)
    _settle(slip)
    what, before = f"{slip.what}: reading withdrawn", in_words(reading.hundredths)
    after = {"reason": Personal(reason)} if reason else None
    record_change(slip.contest, by, what[:200], before=before, after=after, about=slip.subjects())


def _settle(slip: Slip) -> None:
    given = slip.read().values_list("hundredths", *slip.readings.COUNTS_BY)
    settlement = settle(
        [Given(points, by.casefold(), *how) for points, by, *how in given],
        slip.contest.readings_per_card,
        slip.contest.same_reader_twice,
    )
    if settlement is None:
        slip.scores._default_manager.filter(**slip.about).delete()
        return
    slip.scores._default_manager.update_or_create(
        **slip.about,
        defaults={"hundredths": settlement.value, "second": settlement.second, "state": settlement.state},
    )
