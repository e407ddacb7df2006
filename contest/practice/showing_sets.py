"""What is shown of sets of reasons: to the coach everything, to a member what was said of their own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from contest.models import PracticeClass, PracticeMember, PracticeSet, PracticeSetScore
from contest.practice.outline import outlined
from contest.practice.reasons_forms import ASPECT_NAMES
from contest.practice.showing import rounded
from scoring.core.practice import set_points


@dataclass(frozen=True, slots=True)
class SetScored:
    """One score of a set: what it comes to of 50, the marks by what they are for, and the comment."""

    row: PracticeSetScore
    weights: Sequence[int]

    @property
    def points(self) -> str:
        return rounded(set_points(self.row.marks, self.weights))

    @property
    def marks(self) -> list[tuple[str, int]]:
        return list(zip(map(str, ASPECT_NAMES.values()), self.row.marks, strict=True))


@dataclass(frozen=True, slots=True)
class SetShown:
    """A member with their set on a class, where there is anything of one."""

    member: PracticeMember
    row: PracticeSet | None
    scores: Sequence[SetScored]

    @property
    def outline(self) -> list[tuple[str, str]]:
        return outlined(self.row.outline) if self.row else []

    @property
    def peers_mean(self) -> str:
        """The mean of what other members gave, empty where none did."""
        given = [set_points(one.row.marks, one.weights) for one in self.scores if one.row.by_id]
        return rounded(sum(given, Fraction(0)) / len(given)) if given else ""


def sets_of_class(judged: PracticeClass) -> list[SetShown]:
    """Every member of the practice, with their set on a class."""
    rows = {row.member_id: row for row in judged.sets.prefetch_related("scores__by")}
    return [_shown(judged, member, rows.get(member.pk)) for member in judged.practice.members.all()]


def own_set(judged: PracticeClass, member: PracticeMember) -> SetShown:
    """A member's own set on a class."""
    return _shown(judged, member, judged.sets.filter(member=member).prefetch_related("scores").first())


def _shown(judged: PracticeClass, member: PracticeMember, row: PracticeSet | None) -> SetShown:
    weights = judged.practice.weights
    return SetShown(member, row, [SetScored(one, weights) for one in row.scores.all()] if row else [])


def heard(judged: PracticeClass, member: PracticeMember) -> PracticeSet | None:
    """The set that a member may score now: somebody else's who speaks, where the coach lets members score."""
    if not judged.practice.peers_score:
        return None
    return judged.sets.filter(speaks=True).exclude(member=member).first()
