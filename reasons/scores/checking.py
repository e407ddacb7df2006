"""The scores of one class or part as they were entered, to be checked against the slips."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum
from django.utils.translation import gettext as _

from contest.models import Contest, Contestant, JudgingClass, Part, ReasonsOfficial, ReasonsScore, State, Team
from contest.slips.kinds import slip_of
from contest.slips.points import points_text


@dataclass(frozen=True, slots=True)
class Given:
    """One score: the points that count, in doubt what another reading says, and the page of all about it."""

    points: str
    state: str
    address: str
    otherwise: str = ""

    @property
    def word(self) -> str:
        return str(State(self.state).label)


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """A contestant or team, with each score in the order of the columns; None where nothing was read."""

    owner: str
    remark: str
    given: tuple[Given | None, ...]


@dataclass(frozen=True, slots=True)
class Total:
    """All that an official gave in the class, to be held against the total on the official's own sheet."""

    scores: int
    points: str


@dataclass(frozen=True, slots=True)
class ClassScores:
    officials: tuple[ReasonsOfficial, ...]
    rows: tuple[ScoreRow, ...]
    totals: tuple[Total, ...]


def people_of_class(judging_class: JudgingClass) -> QuerySet[Contestant]:
    """The contestants who give reasons on a class and are here, or were scored all the same."""
    scored = ReasonsScore.objects.filter(judging_class=judging_class).values("contestant")
    giving = judging_class.class_divisions.filter(gives_reasons=True).values("division")
    return _people(judging_class.contest_id, giving, scored)


def class_scores(judging_class: JudgingClass, people: Sequence[Contestant]) -> ClassScores:
    """What every official who gave any in the class gave these contestants."""
    given_by = ReasonsOfficial.objects.filter(scores__judging_class=judging_class).distinct()
    officials = tuple(sorted(given_by, key=lambda official: official.name.casefold()))
    scores = ReasonsScore.objects.filter(judging_class=judging_class, contestant__in=people)
    scores = scores.select_related("judging_class", "official", "contestant")
    by_person = {}
    for score in scores:
        by_person[score.contestant_id, score.official_id] = _given(score, judging_class.contest)
    rows = (
        ScoreRow(str(person), _remark(person), tuple(by_person.get((person.pk, official.pk)) for official in officials))
        for person in people
    )
    return ClassScores(officials, tuple(rows), tuple(_totals(judging_class, officials)))


def _totals(judging_class: JudgingClass, officials: Sequence[ReasonsOfficial]) -> Iterator[Total]:
    given = ReasonsScore.objects.filter(judging_class=judging_class, hundredths__isnull=False).order_by()
    sums = given.values("official").annotate(scores=Count("pk"), total=Sum("hundredths"))
    by_official = {row["official"]: row for row in sums}
    for official in officials:
        row = by_official.get(official.pk, {"scores": 0, "total": 0})
        yield Total(row["scores"], points_text(row["total"]))


def owners_in_part(part: Part) -> QuerySet[Any]:
    """Whoever is here and does a part, teams or contestants, or was given a mark or handed in a card all the same."""
    if part.scope == Part.Scope.TEAM:
        here = Contestant.objects.filter(present=True, team__division__in=part.divisions.all()).values("team")
        marked_teams = part.marks.filter(team__isnull=False).values("team")
        teams = Team.objects.filter(Q(pk__in=here) | Q(pk__in=marked_teams), division__contest=part.contest_id)
        return teams.select_related("division").order_by("division__position", "name")
    marked = _results(part).filter(contestant__isnull=False).values("contestant")
    return _people(part.contest_id, part.divisions.all(), marked)


def part_marks(part: Part, owners: Sequence[Any]) -> tuple[ScoreRow, ...]:
    """The marks of a part that these have, or what they chose."""
    of_team = part.scope == Part.Scope.TEAM
    results = _results(part).filter(**{"team__in" if of_team else "contestant__in": owners})
    by_owner = {}
    for row in results.select_related("part", "contestant", *([] if part.has_key else ["team"])):
        by_owner[row.team_id if of_team else row.contestant_id] = _given(row, part.contest)
    if of_team:
        return tuple(ScoreRow(f"{team}, {team.division}", "", (by_owner.get(team.pk),)) for team in owners)
    return tuple(ScoreRow(str(person), _remark(person), (by_owner.get(person.pk),)) for person in owners)


def _results(part: Part) -> QuerySet[Any]:
    return part.choices.all() if part.has_key else part.marks.all()


def _people(contest_id: int, divisions: Any, scored: Any) -> QuerySet[Contestant]:
    here = Q(present=True, division__in=divisions) | Q(pk__in=scored)
    return Contestant.objects.filter(here, contest=contest_id).order_by("number")


def _given(score: Any, contest: Contest) -> Given:
    slip = slip_of(score)
    otherwise = slip.value_text(score.second) if score.state == State.DOUBT else ""
    return Given(slip.text(score), score.state, slip.place.address(contest), otherwise)


def _remark(person: Contestant) -> str:
    if not person.present:
        return _("marked absent")
    return _("ineligible") if person.ineligible else ""
