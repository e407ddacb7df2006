"""The scores of one class as they were entered, to be checked against the officials' slips."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q

from contest.models import Contestant, JudgingClass, State
from contest.score_reading import in_words
from reasons.models import ReasonsOfficial, ReasonsScore


@dataclass(frozen=True, slots=True)
class Given:
    """What one official gave: the points that count, and in doubt what another reading says."""

    points: str
    state: str
    otherwise: str = ""

    @property
    def word(self) -> str:
        return State(self.state).label


@dataclass(frozen=True, slots=True)
class Row:
    """One contestant, with what each official gave, in the officials' order; None where nothing was read."""

    number: int
    remark: str
    given: tuple[Given | None, ...]


@dataclass(frozen=True, slots=True)
class ClassScores:
    officials: tuple[ReasonsOfficial, ...]
    rows: tuple[Row, ...]


def class_scores(judging_class: JudgingClass) -> ClassScores:
    """What every official who gave any gave whom, of the contestants who are here or were scored all the same."""
    scores = list(ReasonsScore.objects.filter(judging_class=judging_class).select_related("official"))
    officials = tuple(sorted({score.official for score in scores}, key=lambda official: official.name.casefold()))
    given = {(score.contestant_id, score.official_id): _given(score) for score in scores}
    scored = {score.contestant_id for score in scores}
    giving = judging_class.class_divisions.filter(gives_reasons=True).values("division")
    people = Contestant.objects.filter(
        Q(present=True, division__in=giving) | Q(pk__in=scored), contest=judging_class.contest_id
    )
    rows = tuple(
        Row(
            person.number,
            _remark(person),
            tuple(given.get((person.pk, official.pk)) for official in officials),
        )
        for person in people.order_by("number")
    )
    return ClassScores(officials, rows)


def _given(score: ReasonsScore) -> Given:
    otherwise = in_words(score.second) if score.state == State.DOUBT else ""
    return Given(in_words(score.hundredths), score.state, otherwise)


def _remark(person: Contestant) -> str:
    if not person.present:
        return "marked absent"
    return "ineligible" if person.ineligible else ""
