"""The pictures of scanned cards, shown to whoever reads a stack in the place of its paper. What the scanner read is
not: a second reading is blind."""

from __future__ import annotations

from collections import defaultdict

from django.db.models import QuerySet
from django.urls import reverse

from contest.models import Contest, JudgingClass, Part, ScannedCard

READ = (ScannedCard.Became.READING, ScannedCard.Became.SETTLED)
"""What is known to be of its number; one that waits has whoever looks at it beside what the scanner thinks."""


def pictures_by_number(judged: JudgingClass, group: str | None, numbers: frozenset[int]) -> dict[int, list[str]]:
    """The addresses of the pictures of a class's cards by whose they are: of certain `numbers` or, where there are
    none, of a group."""
    here = numbers or judged.contest.contestants.filter(group=group).values("number")
    return _addresses(judged.contest, ScannedCard.objects.filter(judging_class=judged, number__in=here))


def pictures_of_part(part: Part, group: str | None, numbers: frozenset[int]) -> dict[int, list[str]]:
    """The same of a part's cards or answer sheets; of all where neither numbers nor a group is asked for."""
    rows = ScannedCard.objects.filter(part=part)
    if numbers:
        rows = rows.filter(number__in=numbers)
    elif group is not None:
        rows = rows.filter(number__in=part.contest.contestants.filter(group=group).values("number"))
    return _addresses(part.contest, rows)


def _addresses(contest: Contest, rows: QuerySet[ScannedCard]) -> dict[int, list[str]]:
    found: defaultdict[int, list[str]] = defaultdict(list)
    rows = rows.filter(became__in=READ, picture__isnull=False)
    for number, pk in rows.order_by("pk").values_list("number", "pk"):
        found[number or 0].append(reverse("scanning-picture", args=[contest.pk, pk]))
    return dict(found)
