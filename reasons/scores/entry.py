"""What scores there are to enter and how far each is: reasons by class and official, marks by part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from contest.book.text import hundredths
from contest.changes.exceptions import NotPossible
from contest.models import ClassDivision, Contest, JudgingClass, Part, ReasonsOfficial
from contest.slips.choices import ChoiceSlip, ChoiceStack
from contest.slips.due import Count, Due, counted, left_to_read, people_of, slips_due, standings
from contest.slips.keyed import keyed
from contest.slips.marks import MarkSlip, MarkStack
from contest.slips.reasons import ReasonsSlip
from contest.watch.progress import group_order
from reasons.scores.hearing import Hearing


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
    """The lists of one class: of the `officials` who hear it, or gave scores on it all the same; `others` hear only
    other classes. `unheard` contestants have no score of any official."""

    judging_class: JudgingClass
    due: int
    unheard: int
    officials: tuple[OfOfficial, ...]
    others: tuple[ReasonsOfficial, ...]


@dataclass(frozen=True, slots=True)
class PartList:
    part: Part
    count: Count

    @property
    def asked(self) -> str:
        return keyed(self.part).asked

    @property
    def address(self) -> str:
        """The page where its marks are entered, or what was chosen."""
        stack = ChoiceStack(self.part) if self.part.has_key else MarkStack(self.part)
        return stack.place.address(self.part.contest)


def reasons_lists(contest: Contest, who: str) -> list[ClassLists]:
    """Every class on which reasons are given, with each official's scores counted; always the same few queries."""
    giving = defaultdict(set)
    rows = ClassDivision.objects.filter(judging_class__contest=contest, gives_reasons=True)
    for class_id, division_id in rows.values_list("judging_class_id", "division_id"):
        giving[class_id].add(division_id)
    people = people_of(contest)
    known = standings(ReasonsSlip, contest, who)
    officials = list(contest.reasons_officials.all())
    hearing = Hearing(contest)
    of_classes = []
    for judged in contest.classes.filter(pk__in=giving):
        due = slips_due(ReasonsSlip, people, giving[judged.pk], {})
        heard = {official.pk: set(known[judged.pk, official.pk]) for official in officials}
        lists, silent = [], []
        for official in officials:
            if not heard[official.pk] and not hearing.hears(official.pk, judged.pk):
                silent.append(official)
                continue
            slips = slips_due(ReasonsSlip, people, giving[judged.pk], known[judged.pk, official.pk])
            others = {pk for other in officials if other != official for pk in heard[other.pk]}
            elsewhere = sum(slip.state is None and slip.owner in others for slip in left_to_read(contest, slips))
            lists.append(OfOfficial(official, Count(**counted(contest, slips)), elsewhere))
        unheard = {slip.owner for slip in due}.difference(*heard.values())
        of_classes.append(ClassLists(judged, len(due), len(unheard), tuple(lists), tuple(silent)))
    return of_classes


def marks_lists(contest: Contest, who: str) -> list[PartList]:
    """Every part with its marks counted; always the same few queries."""
    parts = list(contest.parts.select_related("contest").prefetch_related("divisions"))
    known, chosen = standings(MarkSlip, contest, who), standings(ChoiceSlip, contest, who)
    people = people_of(contest)
    lists = []
    for part in parts:
        doing = {division.pk for division in part.divisions.all()}
        if part.scope == Part.Scope.TEAM:
            here = {person.team_id for person in people if person.present and person.division_id in doing}
            slips = [Due.of_team(pk, known[part.pk,]) for pk in here if pk is not None]
        else:
            slips = slips_due(MarkSlip, people, doing, (chosen if part.has_key else known)[part.pk,])
        lists.append(PartList(part, Count(**counted(contest, slips))))
    return lists


def groups_of(slips: Iterable[Due]) -> list[str]:
    """The groups that slips are in, in their natural order; empty where there are none."""
    groups = {slip.group for slip in slips}
    return sorted(groups, key=group_order) if groups - {""} else []


def points_of(text: str) -> int:
    """Points as people type them, `43`, `43.5` or `43,5`, in hundredths. Raises NotPossible."""
    points = hundredths(text.strip(), decimal_comma=True)
    if isinstance(points, str):
        raise NotPossible(points)
    return points
