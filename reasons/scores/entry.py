"""What scores there are to enter and how far each is: reasons by class and official, marks by part.

A sheet is what somebody enters scores from: one official's scores on one class, or the marks of one part.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from contest.book.text import hundredths
from contest.changes.exceptions import NotPossible
from contest.models import (
    ClassDivision,
    Contest,
    Contestant,
    Helper,
    JudgingClass,
    Part,
    ReasonsOfficial,
    Team,
)
from contest.slips.due import UNREAD, Count, Standing, counted, left_to_read, standings
from contest.slips.marks import MarkSlip
from contest.slips.reading import Outcome, read
from contest.slips.reasons import ReasonsSlip
from scoring.core.record import MOST_REASONS


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One score that is due, as far as it is known.

    `of` is whose it is: a contestant's number or, in a team part, the team's key. `number` is what is typed to choose
    it: the same number or, as teams have none, the team's place in the list. Only a team has a `name`.
    """

    of: int
    number: int
    group: str = ""
    name: str = ""
    division: str = ""
    standing: Standing = UNREAD

    @property
    def state(self) -> str | None:
        return self.standing.state

    @property
    def mine(self) -> bool:
        return self.standing.mine


@dataclass(frozen=True, slots=True)
class ReasonsSheet:
    """What one official gave on one class."""

    judging_class: JudgingClass
    official: ReasonsOfficial
    most = MOST_REASONS
    by_name = False

    @property
    def contest(self) -> Contest:
        return self.judging_class.contest

    @property
    def label(self) -> str:
        return f"Class {self.judging_class.number}, {self.official}"

    def lines(self, who: str) -> list[SheetLine]:
        """The scores that are due from this official, in ascending order of the numbers."""
        known = standings(ReasonsSlip, self.contest, who, judging_class=self.judging_class, official=self.official)
        return _lines_of(_giving(self.judging_class), known[self.judging_class.pk, self.official.pk])

    def absent_numbers(self) -> dict[int, str]:
        """Contestants whose score would be a surprise here, and why."""
        return _absent(self.contest)

    def none_from(self) -> dict[int, str]:
        """Contestants of whom no score can be entered here, and why."""
        why = f"gives no reasons on class {self.judging_class.number}"
        return _outside(self.contest, _divisions_giving(self.judging_class), why)

    def read(self, of: int, points: int | None, by: str, submission: UUID, helper: Helper | None) -> Outcome:
        contestant = _contestant(self.contest, of)
        return read(ReasonsSlip(self.judging_class, self.official, contestant), points, by, submission, helper)

    def readings(self) -> Any:
        return self.official.readings.filter(judging_class=self.judging_class)


@dataclass(frozen=True, slots=True)
class MarkSheet:
    """The marks of one part, of contestants or of teams."""

    part: Part

    @property
    def contest(self) -> Contest:
        return self.part.contest

    @property
    def most(self) -> int:
        return self.part.most

    @property
    def label(self) -> str:
        return self.part.name

    @property
    def by_name(self) -> bool:
        """Whether the scores are teams', which are known by name."""
        return self.part.scope == Part.Scope.TEAM

    def lines(self, who: str) -> list[SheetLine]:
        """The marks that are due, in the order of the numbers; teams by division and name."""
        known = standings(MarkSlip, self.contest, who, part=self.part)[self.part.pk,]
        if not self.by_name:
            return _lines_of(_here(self.contest, self.part.divisions.all()), known)
        teams = _teams(self.contest, self.part.divisions.all()).order_by("division__position", "division_id", "name")
        rows = teams.values_list("pk", "name", "division__name")
        return [
            SheetLine(pk, place, name=name, division=division, standing=known.get(pk, UNREAD))
            for place, (pk, name, division) in enumerate(rows, start=1)
        ]

    def absent_numbers(self) -> dict[int, str]:
        return {} if self.by_name else _absent(self.contest)

    def none_from(self) -> dict[int, str]:
        if self.by_name:
            return {}
        return _outside(self.contest, self.part.divisions.all(), f"does not do {self.part.name}")

    def read(self, of: int, points: int | None, by: str, submission: UUID, helper: Helper | None) -> Outcome:
        owner = _team(self.contest, of) if self.by_name else _contestant(self.contest, of)
        return read(MarkSlip.of_owner(self.part, owner), points, by, submission, helper)

    def readings(self) -> Any:
        return self.part.readings.all()


Sheet = ReasonsSheet | MarkSheet


@dataclass(frozen=True, slots=True)
class OfOfficial:
    """One official's scores on a class. Where officials share a class out between them, `elsewhere` are those of
    `count.yours` that another official has scored: they may never come."""

    official: ReasonsOfficial
    count: Count
    elsewhere: int

    @property
    def sure(self) -> int:
        return self.count.yours - self.elsewhere


@dataclass(frozen=True, slots=True)
class ClassLists:
    """The lists of one class; `unheard` contestants have no score of any official."""

    judging_class: JudgingClass
    due: int
    unheard: int
    officials: tuple[OfOfficial, ...]


@dataclass(frozen=True, slots=True)
class PartList:
    part: Part
    count: Count


def reasons_lists(contest: Contest, who: str) -> list[ClassLists]:
    """Every class on which reasons are given, with each official's scores counted; always the same few queries."""
    giving = defaultdict(set)
    rows = ClassDivision.objects.filter(judging_class__contest=contest, gives_reasons=True)
    for class_id, division_id in rows.values_list("judging_class_id", "division_id"):
        giving[class_id].add(division_id)
    here = list(Contestant.objects.filter(contest=contest, present=True).values_list("pk", "division_id"))
    known = standings(ReasonsSlip, contest, who)
    officials = list(contest.reasons_officials.all())
    of_classes = []
    for judged in contest.classes.filter(pk__in=giving):
        due = [pk for pk, division_id in here if division_id in giving[judged.pk]]
        heard = {official.pk: set(known[judged.pk, official.pk]) for official in officials}
        lists = []
        for official in officials:
            of_official = known[judged.pk, official.pk]
            lines = [SheetLine(pk, 0, standing=of_official.get(pk, UNREAD)) for pk in due]
            others = {pk for other in officials if other != official for pk in heard[other.pk]}
            elsewhere = sum(line.state is None and line.of in others for line in left_to_read(contest, lines))
            lists.append(OfOfficial(official, count(contest, lines), elsewhere))
        of_classes.append(ClassLists(judged, len(due), len(set(due).difference(*heard.values())), tuple(lists)))
    return of_classes


def marks_lists(contest: Contest, who: str) -> list[PartList]:
    """Every part with its marks counted; always the same few queries."""
    parts = list(contest.parts.prefetch_related("divisions"))
    known = standings(MarkSlip, contest, who)
    here = list(Contestant.objects.filter(contest=contest, present=True).values_list("pk", "team_id", "division_id"))
    lists = []
    for part in parts:
        doing = {division.pk for division in part.divisions.all()}
        of_team = part.scope == Part.Scope.TEAM
        due = {team if of_team else pk for pk, team, division in here if division in doing} - {None}
        lines = [SheetLine(of, 0, standing=known[part.pk,].get(of, UNREAD)) for of in sorted(due)]
        lists.append(PartList(part, count(contest, lines)))
    return lists


def of_group(lines: Iterable[SheetLine], group: str | None) -> list[SheetLine]:
    """The lines of one group; `None` is for all of them."""
    return [line for line in lines if group is None or line.group == group]


def count(contest: Contest, lines: Sequence[SheetLine]) -> Count:
    return Count(**counted(lines, yours=len(left_to_read(contest, lines))))


def points_of(text: str) -> int:
    """Points as people type them, `43`, `43.5` or `43,5`, in hundredths. Raises NotPossible."""
    points = hundredths(text.strip(), decimal_comma=True)
    if isinstance(points, str):
        raise NotPossible(points)
    return points


def _giving(judging_class: JudgingClass) -> Any:
    return _here(judging_class.contest, _divisions_giving(judging_class))


def _divisions_giving(judging_class: JudgingClass) -> Any:
    return judging_class.class_divisions.filter(gives_reasons=True).values_list("division_id", flat=True)


def _here(contest: Contest, divisions: Any) -> Any:
    return Contestant.objects.filter(contest=contest, present=True, division__in=divisions)


def _teams(contest: Contest, divisions: Any) -> Any:
    """The teams of which somebody is here."""
    return Team.objects.filter(pk__in=_here(contest, divisions).values("team"))


def _lines_of(people: Any, known: dict[int, Standing]) -> list[SheetLine]:
    return [
        SheetLine(number, number, group, standing=known.get(pk, UNREAD))
        for pk, number, group in people.order_by("number").values_list("pk", "number", "group")
    ]


def _absent(contest: Contest) -> dict[int, str]:
    numbers = contest.contestants.filter(present=False).values_list("number", flat=True)
    return dict.fromkeys(numbers, "is marked as absent")


def _outside(contest: Contest, divisions: Any, why: str) -> dict[int, str]:
    numbers = contest.contestants.exclude(division__in=divisions).values_list("number", flat=True)
    return dict.fromkeys(numbers, why)


def _contestant(contest: Contest, number: int) -> Contestant:
    try:
        return Contestant.objects.get(contest=contest, number=number)
    except Contestant.DoesNotExist:
        raise NotPossible(f"nobody has number {number}") from None


def _team(contest: Contest, pk: int) -> Team:
    try:
        return Team.objects.get(pk=pk, division__contest=contest)
    except Team.DoesNotExist:
        raise NotPossible("that team is not in this contest any more") from None
