"""What an official enters on the room's tablet: no reading of paper but the source itself, which settles by itself."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Helper, ReadingFields, Source
from contest.slips.reading import Outcome, outcome_of, read, take_back
from contest.slips.slip import Slip


@changes
def give(slip: Slip, value: Any, by: str, submission: UUID, helper: Helper | None = None) -> Outcome:
    """The official's own score, entered by `by`: it takes the place of what they entered before, which the trail keeps.

    What somebody else read or decided stands beside it. Raises NotPossible as `read` does, and for another score once
    the results are released.
    """
    slip.check(value)
    take_turn(slip.contest.pk)
    # Two devices of one official may differ: then neither takes the other's place, and the superintendent is asked.
    for reading in slip.live().filter(by=by, source=Source.OFFICIAL).exclude(submission=submission):
        if getattr(reading, slip.value) == value:
            return outcome_of(reading)
        _take_back_given(slip, reading, by)
    return read(slip, value, by, submission, helper, source=Source.OFFICIAL.value)


@changes
def take_back_given(slip: Slip, by: str) -> None:
    """Take back the official's own score that `by` entered; nothing where there is none.

    Raises NotPossible once the results are released.
    """
    take_turn(slip.contest.pk)
    for reading in slip.live().filter(by=by, source=Source.OFFICIAL):
        _take_back_given(slip, reading, by)


def _take_back_given(slip: Slip, reading: ReadingFields, by: str) -> None:
    if slip.contest.releases.filter(withdrawn_at=None).exists():
        raise NotPossible(_("the results are released: tell the superintendent, who can still change the score"))
    take_back(reading, by)
