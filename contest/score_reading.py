"""Reading points off slips: the same for reasons scores and for marks, with the same safety as cards."""

from __future__ import annotations

from fractions import Fraction
from typing import Any
from uuid import UUID, uuid4

from django.db.models import Model
from django.utils import timezone

from contest.changes import SubmissionReused, changes, take_turn
from contest.models import Contest, Helper, State
from contest.reading import ABSENT, DIFFERS, REPEATED, SAVED, SETTLED, Fate, NotPossible
from contest.trail import record_change
from scoring.points import printed
from scoring.record import HUNDREDTHS
from scoring.settling import Given, settle

About = dict[str, Any]
"""What a score is of, by field: such as a class, a contestant and an official."""


@changes
def read_score(
    readings: type[Model],
    scores: type[Model],
    about: About,
    hundredths: int,
    contest: Contest,
    what: str,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
    decides_because: str = "",
    **more: Any,
) -> Fate:
    """Add a reading of points, in hundredths, and bring the score in step with its readings.

    With `decides_because` it is the superintendent's decision; `more` are the reading's other fields. The same
    submission again changes nothing. Raises SubmissionReused where its id came before with another reading.
    """
    take_turn(contest.pk)
    earlier = readings._default_manager.filter(submission=submission).first() if submission else None
    if earlier:
        same = {"hundredths": hundredths, "by": by, **about}
        if any(getattr(earlier, name) != value for name, value in same.items()):
            raise SubmissionReused(f"submission {submission} was used for another reading")
        return fate_of_reading(scores, earlier, about)
    before = scores._default_manager.filter(**about).values_list("hundredths", flat=True).first()
    reading = readings._default_manager.create(
        **about,
        hundredths=hundredths,
        by=by,
        helper=helper,
        submission=submission or uuid4(),
        decides=bool(decides_because),
        reason=decides_because,
        **more,
    )
    _settle(readings, scores, about, contest)
    done = f"decided, {decides_because}" if decides_because else "read"
    record_change(contest, by, f"{what}: {done}"[:200], before=_points(before), after=_points(hundredths))
    return fate_of_reading(scores, reading, about)


@changes
def withdraw_score_reading(
    scores: type[Model], reading: Model, about: About, contest: Contest, what: str, by: str, even_settled: bool = False
) -> None:
    """Withdraw one's own reading, until somebody else has had a part in settling its score, or `even_settled`."""
    take_turn(contest.pk)
    readings = type(reading)
    if reading.by != by:
        raise NotPossible("only whoever read a slip can take the reading back")
    others = readings._default_manager.filter(**about, withdrawn_at__isnull=True).exclude(by=by, decides=False)
    if not even_settled and scores._default_manager.filter(**about, state=State.SETTLED).exists() and others.exists():
        raise NotPossible("that score is settled; tell the superintendent")
    changed = readings._default_manager.filter(pk=reading.pk, withdrawn_at__isnull=True).update(
        withdrawn_at=timezone.now(), withdrawn_by=by
    )
    if not changed:
        raise NotPossible("that reading was withdrawn already")
    _settle(readings, scores, about, contest)
    record_change(contest, by, f"{what}: reading withdrawn", before=_points(reading.hundredths))


def fate_of_reading(scores: type[Model], reading: Model, about: About) -> Fate:
    """What became of a reading of points, as things stand."""
    # There is none where every reading of it was taken back before this one came a second time.
    score = scores._default_manager.filter(**about).first()
    if score and score.state == State.DOUBT:
        return Fate(DIFFERS, "differs from another reading; the superintendent decides", reading.pk)
    contestant = about.get("contestant")
    if contestant and not contestant.present:
        return Fate(ABSENT, f"saved, but {contestant} is marked as absent; tell the superintendent", reading.pk)
    if score and score.state == State.SETTLED:
        return Fate(SETTLED, "saved, and settled", reading.pk)
    own = type(reading)._default_manager.filter(**about, by__iexact=reading.by, withdrawn_at__isnull=True)
    if own.filter(pk__lt=reading.pk).exists():
        return Fate(REPEATED, "you have read this before; somebody else must read it the second time", reading.pk)
    return Fate(SAVED, "saved", reading.pk)


def _settle(readings: type[Model], scores: type[Model], about: About, contest: Contest) -> None:
    given = readings._default_manager.filter(**about, withdrawn_at__isnull=True).order_by("pk")
    rows = given.values_list("hundredths", *readings.COUNTS_BY)
    settlement = settle(
        [Given(hundredths, by.casefold(), *how) for hundredths, by, *how in rows],
        contest.readings_per_card,
        contest.same_reader_twice,
    )
    if settlement is None:
        scores._default_manager.filter(**about).delete()
        return
    scores._default_manager.update_or_create(
        **about,
        defaults={"hundredths": settlement.value, "second": settlement.second, "state": settlement.state},
    )


def _points(hundredths: int | None) -> str | None:
    """As the trail keeps points: exactly, and as people write them."""
    return None if hundredths is None else printed(Fraction(hundredths, HUNDREDTHS))
