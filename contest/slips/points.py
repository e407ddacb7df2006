"""What reasons scores and marks have in common: points, in hundredths; None where no score was given."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.changes.exceptions import NotPossible
from contest.models import Contest, Contestant
from contest.slips.slip import Slip
from contest.slips.stack import Stack
from contest.slips.typed import parse_points
from contest.trail import sentence
from contest.trail.sentences import Sentence
from scoring.core.points import figure_of_hundredths, written_hundredths
from scoring.core.record import HUNDREDTHS


class PointsSlip(Slip):
    """A slip that says points, from 0 to its `most`."""

    value = "hundredths"
    is_points = True
    called = "points"
    decided_because = (
        gettext_noop("as the slip says"),
        gettext_noop("one reading was a slip of the hand"),
        gettext_noop("no score was given"),
        gettext_noop("asked the official"),
        gettext_noop("the slip came late"),
    )
    because_of_none = "no score was given"
    astray_because = (
        gettext_noop("the number was misread"),
        gettext_noop("read on the wrong sheet"),
        gettext_noop("read by mistake"),
        gettext_noop("not a slip of this contest"),
    )

    @property
    @abstractmethod
    def most(self) -> int: ...

    @property
    @abstractmethod
    def bounds(self) -> str:
        """How many points there can be, in words."""

    @classmethod
    def value_text(cls, value: int | None) -> str:
        return points_text(value)

    @classmethod
    def kept(cls, value: int | None) -> Sentence | str:
        return sentence("no_score") if value is None else written_hundredths(value)

    def parse(self, text: str, readings: Sequence[Any]) -> tuple[int | None, str]:
        return parse_points(text, readings), ""

    def check(self, value: int | None) -> None:
        if value is not None and not 0 <= value <= self.most * HUNDREDTHS:
            raise NotPossible(self.bounds)


class PointsStack(Stack):
    """Slips that somebody enters points from."""

    @property
    @abstractmethod
    def most(self) -> int: ...

    @property
    def low(self) -> int:
        """Scores up to this are asked for once more: 45 may have been typed as 4.5."""
        return self.most // 10

    @property
    def own(self) -> dict[str, Any]:
        return {"most": self.most, "low": self.low}

    @abstractmethod
    def slip(self, of: int) -> PointsSlip:
        """The slip of a contestant's number or a team's key. Raises NotPossible."""


def contestant_with(contest: Contest, number: int) -> Contestant:
    contestant = contest.contestants.filter(number=number).first()
    if contestant is None:
        raise NotPossible(_("nobody has number {number}").format(number=number))
    return contestant


def points_text(hundredths: int | None) -> str:
    """Points as people write them, and exactly."""
    return _("no score") if hundredths is None else figure_of_hundredths(hundredths)
