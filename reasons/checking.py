"""The scores of one class or part as they were entered, to be checked against the slips."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from contest.models import Contestant, JudgingClass, Part, State, Team
from contest.score_reading import in_words
from contest.watch.doubts import mark_place, reasons_place
from contest.watch.papers import address_of
from reasons.models import ReasonsOfficial, ReasonsScore


@dataclass(frozen=True, slots=True)
class Given:
    """One score: the points that count, in doubt what another reading says, and the page of all about it."""

    points: str
    state: str
    address: str
    otherwise: str = ""

    @property
    def word(self) -> str:
        return State(self.state).label


@dataclass(frozen=True, slots=True)
class Row:
    """A contestant or team, with each score in the order of the columns; None where nothing was read."""

    owner: str
    remark: str
    given: tuple[Given | None, ...]


@dataclass(frozen=True, slots=True)
class ClassScores:
    officials: tuple[ReasonsOfficial, ...]
    rows: tuple[Row, ...]


def class_scores(judging_class: JudgingClass) -> ClassScores:
    """What every official who gave any gave whom, of the contestants who are here or were scored all the same."""
    scores = list(ReasonsScore.objects.filter(judging_class=judging_class).select_related("official", "contestant"))
    officials = tuple(sorted({score.official for score in scores}, key=lambda official: official.name.casefold()))
    given = {}
    for score in scores:
        place = reasons_place(judging_class, score.official, score.contestant)
        given[score.contestant_id, score.official_id] = _given(score, address_of(judging_class.contest, place))
    giving = judging_class.class_divisions.filter(gives_reasons=True).values("division")
    people = _people(judging_class.contest_id, giving, {score.contestant_id for score in scores})
    rows = (
        Row(str(person), _remark(person), tuple(given.get((person.pk, official.pk)) for official in officials))
        for person in people
    )
    return ClassScores(officials, tuple(rows))


def part_marks(part: Part) -> tuple[Row, ...]:
    """The marks of a part, of whoever is here or was given one all the same."""
    marks = list(part.marks.select_related("contestant", "team"))
    given = {}
    for mark in marks:
        owner = mark.contestant or mark.team
        given[owner.pk] = _given(mark, address_of(part.contest, mark_place(part, owner)))
    if part.scope == Part.Scope.TEAM:
        here = Contestant.objects.filter(present=True, team__division__in=part.divisions.all()).values("team")
        teams = Team.objects.filter(Q(pk__in=here) | Q(pk__in=given), division__contest=part.contest_id)
        teams = teams.select_related("division").order_by("division__position", "name")
        return tuple(Row(f"{team}, {team.division}", "", (given.get(team.pk),)) for team in teams)
    people = _people(part.contest_id, part.divisions.all(), set(given))
    return tuple(Row(str(person), _remark(person), (given.get(person.pk),)) for person in people)


def _people(contest_id: int, divisions: Any, scored: Iterable[int]) -> Iterable[Contestant]:
    here = Q(present=True, division__in=divisions) | Q(pk__in=scored)
    return Contestant.objects.filter(here, contest=contest_id).order_by("number")


def _given(score: Any, address: str) -> Given:
    otherwise = in_words(score.second) if score.state == State.DOUBT else ""
    return Given(in_words(score.hundredths), score.state, address, otherwise)


def _remark(person: Contestant) -> str:
    if not person.present:
        return "marked absent"
    return "ineligible" if person.ineligible else ""
