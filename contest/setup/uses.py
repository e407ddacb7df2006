"""What uses a part of a contest's outline, in words, with what to do about it: nothing in use goes silently."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Max, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from contest.models import (
    Card,
    Category,
    Choice,
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
from scoring.core.explain import listed
from scoring.core.points import in_thousands
from scoring.core.record import NO_CARD, UNREADABLE

LOOKS_AT_IT = {
    TieStep.Scope.INDIVIDUAL: gettext_noop(
        "the tie order of individuals looks at it; take that step out of the order first"
    ),
    TieStep.Scope.TEAM: gettext_noop("the tie order of teams looks at it; take that step out of the order first"),
}


def goes_with_division(row: Division) -> list[str]:
    """What else changes when a division without contestants is removed."""
    classes = [str(number) for number in row.classes.values_list("number", flat=True)]
    parts = list(row.parts.values_list("name", flat=True))
    told = []
    if classes:
        text = ngettext(
            "Class {classes} will not be judged by it any more.",
            "Classes {classes} will not be judged by it any more.",
            len(classes),
        )
        told.append(text.format(classes=listed(classes)))
    if parts:
        told.append(_("It will not do {parts} any more.").format(parts=listed(parts)))
    if teams := row.teams.count():
        text = ngettext(
            "{count} team without members goes with it.", "{count} teams without members go with it.", teams
        )
        told.append(_counted(text, teams))
    return told


def tie_uses(**looked_at: Any) -> list[str]:
    """The tie orders that look at something, such as `part=...`; with `scope`, of one order only."""
    scopes = TieStep.objects.filter(**looked_at).order_by("scope").values_list("scope", flat=True).distinct()
    return [_(LOOKS_AT_IT[TieStep.Scope(scope)]) for scope in scopes]


def class_uses(judged: JudgingClass) -> list[str]:
    """What was handed in for a class."""
    readings = Reading.objects.filter(judging_class=judged)
    uses = []
    if cards := Card.objects.filter(judging_class=judged).count():
        uses.append(_counted(ngettext("{count} card of it was read", "{count} cards of it were read", cards), cards))
    elif withdrawn := readings.count():
        text = ngettext(
            "{count} reading of it was taken, and withdrawn since",
            "{count} readings of it were taken, and withdrawn since",
            withdrawn,
        )
        uses.append(_counted(text, withdrawn))
    if (
        scores := ReasonsReading.objects.filter(judging_class=judged)
        .values("contestant", "official")
        .distinct()
        .count()
    ):
        text = ngettext("{count} set of reasons on it was scored", "{count} sets of reasons on it were scored", scores)
        uses.append(_counted(text, scores))
    if slots := judged.slots.count():
        text = ngettext(
            "{count} set of reasons on it was given a place in the order of speaking",
            "{count} sets of reasons on it were given a place in the order of speaking",
            slots,
        )
        uses.append(_counted(text, slots))
    if judged.keys.exists():
        uses.append(_("its official placing is in"))
    if judged.seats.filter(keys__isnull=False).exists():
        uses.append(_("an official of its committee has handed in"))
    for claim in StackClaim.objects.filter(judging_class=judged, given_back_at__isnull=True).select_related("helper"):
        told = _("{helper} has a stack of it at the desk; have it given back first")
        uses.append(told.format(helper=claim.helper))
    return uses


def animals_uses(judged: JudgingClass) -> list[str]:
    """What names a class's animals, so that they cannot become others."""
    uses = []
    if judged.keys.exists():
        uses.append(_("its official placing is in; make a class of its own for other animals"))
    if judged.seats.filter(keys__isnull=False).exists():
        uses.append(_("an official of its committee has handed in; make a class of its own for other animals"))
    if judged.pair_notes.exists():
        uses.append(_("an official has written notes on its pairs; make a class of its own for other animals"))
    if readings := Reading.objects.filter(judging_class=judged).exclude(placing__in=(NO_CARD, UNREADABLE)).count():
        text = ngettext(
            "{count} reading of a card names them, and none is ever thrown away; make a class of its own instead",
            "{count} readings of cards name them, and none is ever thrown away; make a class of its own instead",
            readings,
        )
        uses.append(_counted(text, readings))
    return uses


def division_in_class_uses(judged: JudgingClass, division: Division) -> list[str]:
    """What keeps a division from no longer judging a class."""
    cards = Card.objects.filter(judging_class=judged, contestant__division=division).count()
    uses = reasons_of_division_uses(judged, division)
    if cards:
        text = ngettext(
            "{count} card of {division} in class {number} was read",
            "{count} cards of {division} in class {number} were read",
            cards,
        )
        uses.insert(0, _counted(text, cards, division=division, number=judged.number))
    return uses


def reasons_of_division_uses(judged: JudgingClass, division: Division) -> list[str]:
    """What keeps a division from no longer giving reasons on a class."""
    scores = ReasonsScore.objects.filter(judging_class=judged, contestant__division=division).count()
    text = ngettext(
        "{count} set of reasons of {division} on class {number} was scored",
        "{count} sets of reasons of {division} on class {number} were scored",
        scores,
    )
    return [_counted(text, scores, division=division, number=judged.number)] if scores else []


def part_uses(part: Part, divisions: Iterable[Division] | None = None) -> list[str]:
    """What was handed in for a part, by some divisions or by all."""
    marks, choices = Mark.objects.filter(part=part), Choice.objects.filter(part=part)
    readings, of_choices = part.readings.all(), part.choice_readings.all()
    if divisions is not None:
        theirs = Q(contestant__division__in=divisions) | Q(team__division__in=divisions)
        marks, choices = marks.filter(theirs), choices.filter(contestant__division__in=divisions)
        readings, of_choices = readings.none(), of_choices.none()
    if number := choices.count():
        text = ngettext(
            "{count} card for it was read; withdraw its readings first",
            "{count} cards for it were read; withdraw their readings first",
            number,
        )
        return [_counted(text, number)]
    if number := marks.count():
        text = ngettext(
            "{count} mark for it was entered; withdraw it first",
            "{count} marks for it were entered; withdraw them first",
            number,
        )
        return [_counted(text, number)]
    if number := readings.count() + of_choices.count():
        text = ngettext(
            "{count} reading of marks for it was taken, and none is ever thrown away; "
            "leave it in, with no division that does it",
            "{count} readings of marks for it were taken, and none is ever thrown away; "
            "leave it in, with no division that does it",
            number,
        )
        return [_counted(text, number)]
    return []


def highest_mark(part: Part) -> int | None:
    """The highest mark given for a part, in hundredths; None without one."""
    highest = Mark.objects.filter(part=part).aggregate(first=Max("hundredths"), second=Max("second"))
    return max((value for value in highest.values() if value is not None), default=None)


def division_uses(division: Division) -> list[str]:
    """Who is entered in a division, and what its teams handed in."""
    uses = []
    if contestants := division.contestants.count():
        text = ngettext(
            "{count} contestant is entered in it; move them to another division first",
            "{count} contestants are entered in it; move them to another division first",
            contestants,
        )
        uses.append(_counted(text, contestants))
    if marks := MarkReading.objects.filter(team__division=division).count():
        text = ngettext(
            "{count} mark of its teams was read, and no reading is ever thrown away",
            "{count} marks of its teams were read, and no reading is ever thrown away",
            marks,
        )
        uses.append(_counted(text, marks))
    return uses


def category_uses(category: Category) -> list[str]:
    """What belongs to a category."""
    uses = []
    if numbers := [str(number) for number in category.classes.values_list("number", flat=True)]:
        text = ngettext(
            "class {classes} belongs to it; give it another category first",
            "classes {classes} belong to it; give them another category first",
            len(numbers),
        )
        uses.append(text.format(classes=listed(numbers)))
    if parts := list(category.parts.values_list("name", flat=True)):
        text = ngettext(
            "{parts} belongs to it; give it another category first",
            "{parts} belong to it; give them another category first",
            len(parts),
        )
        uses.append(text.format(parts=listed(parts)))
    return uses


def _counted(text: str, count: int, **values: object) -> str:
    return text.format(count=in_thousands(count), **values)
