"""What uses a part of a contest's outline, in words, with what to do about it: nothing in use goes silently."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Max, Q

from contest.models import (
    Card,
    Category,
    Division,
    JudgingClass,
    Mark,
    MarkReading,
    Part,
    Reading,
    ReasonsReading,
    ReasonsScore,
    StackClaim,
    TieStep,
)
from scoring.core.explain import counted, listed

ORDERS = {TieStep.Scope.INDIVIDUAL: "individuals", TieStep.Scope.TEAM: "teams"}


def goes_with_division(row: Division) -> list[str]:
    """What else changes when a division without contestants is removed."""
    classes = [str(number) for number in row.classes.values_list("number", flat=True)]
    parts = list(row.parts.values_list("name", flat=True))
    told = []
    if classes:
        told.append(
            f"{'Class' if len(classes) == 1 else 'Classes'} {listed(classes)} will not be judged by it any more."
        )
    if parts:
        told.append(f"It will not do {listed(parts)} any more.")
    if teams := row.teams.count():
        told.append(f"{counted(teams, 'team')} without members {'goes' if teams == 1 else 'go'} with it.")
    return told


def tie_uses(**looked_at: Any) -> list[str]:
    """The tie orders that look at something, such as `part=...`; with `scope`, of one order only."""
    scopes = TieStep.objects.filter(**looked_at).order_by("scope").values_list("scope", flat=True).distinct()
    return [
        f"the tie order of {ORDERS[TieStep.Scope(scope)]} looks at it; take that step out of the order first"
        for scope in scopes
    ]


def class_uses(judged: JudgingClass) -> list[str]:
    """What was handed in for a class."""
    readings = Reading.objects.filter(judging_class=judged)
    uses = []
    if cards := Card.objects.filter(judging_class=judged).count():
        uses.append(f"{counted(cards, 'card')} of it {_were(cards)} read")
    elif withdrawn := readings.count():
        uses.append(f"{counted(withdrawn, 'reading')} of it {_were(withdrawn)} taken, and withdrawn since")
    if (
        scores := ReasonsReading.objects.filter(judging_class=judged)
        .values("contestant", "official")
        .distinct()
        .count()
    ):
        uses.append(f"{counted(scores, 'set')} of reasons on it {_were(scores)} scored")
    if slots := judged.slots.count():
        uses.append(f"{counted(slots, 'set')} of reasons on it {_were(slots)} given a place in the order of speaking")
    if judged.keys.exists():
        uses.append("its official placing is in")
    for claim in StackClaim.objects.filter(judging_class=judged, given_back_at__isnull=True).select_related("helper"):
        uses.append(f"{claim.helper} has a stack of it at the desk; have it given back first")
    return uses


def division_in_class_uses(judged: JudgingClass, division: Division) -> list[str]:
    """What keeps a division from no longer judging a class."""
    cards = Card.objects.filter(judging_class=judged, contestant__division=division).count()
    uses = reasons_of_division_uses(judged, division)
    if cards:
        uses.insert(0, f"{counted(cards, 'card')} of {division} in class {judged.number} {_were(cards)} read")
    return uses


def reasons_of_division_uses(judged: JudgingClass, division: Division) -> list[str]:
    """What keeps a division from no longer giving reasons on a class."""
    scores = ReasonsScore.objects.filter(judging_class=judged, contestant__division=division).count()
    return [
        f"{counted(scores, 'set')} of reasons of {division} on class {judged.number} {_were(scores)} scored"
    ] * bool(scores)


def part_uses(part: Part, divisions: Iterable[Division] | None = None) -> list[str]:
    """What was handed in for a part, by some divisions or by all."""
    marks = Mark.objects.filter(part=part)
    readings = part.readings.all()
    if divisions is not None:
        theirs = Q(contestant__division__in=divisions) | Q(team__division__in=divisions)
        marks, readings = marks.filter(theirs), readings.none()
    if number := marks.count():
        them = "it" if number == 1 else "them"
        return [f"{counted(number, 'mark')} for it {_were(number)} entered; withdraw {them} first"]
    if number := readings.count():
        told = f"{counted(number, 'reading')} of marks for it {_were(number)} taken, and none is ever thrown away"
        return [f"{told}; leave it in, with no division that does it"]
    return []


def highest_mark(part: Part) -> int | None:
    """The highest mark given for a part, in hundredths; None without one."""
    highest = Mark.objects.filter(part=part).aggregate(first=Max("hundredths"), second=Max("second"))
    return max((value for value in highest.values() if value is not None), default=None)


def division_uses(division: Division) -> list[str]:
    """Who is entered in a division, and what its teams handed in."""
    uses = []
    if contestants := division.contestants.count():
        counted_people = counted(contestants, "contestant")
        uses.append(
            f"{counted_people} {'is' if contestants == 1 else 'are'} entered in it; move them to another division first"
        )
    if marks := MarkReading.objects.filter(team__division=division).count():
        uses.append(f"{counted(marks, 'mark')} of its teams {_were(marks)} read, and no reading is ever thrown away")
    return uses


def category_uses(category: Category) -> list[str]:
    """What belongs to a category."""
    uses = []
    if numbers := [str(number) for number in category.classes.values_list("number", flat=True)]:
        which = "class" if len(numbers) == 1 else "classes"
        uses.append(f"{which} {listed(numbers)} {_belong(numbers)} to it; give {_them(numbers)} another category first")
    if parts := list(category.parts.values_list("name", flat=True)):
        uses.append(f"{listed(parts)} {_belong(parts)} to it; give {_them(parts)} another category first")
    return uses


def _were(number: int) -> str:
    return "was" if number == 1 else "were"


def _belong(things: list[str]) -> str:
    return "belongs" if len(things) == 1 else "belong"


def _them(things: list[str]) -> str:
    return "it" if len(things) == 1 else "them"
