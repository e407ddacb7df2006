"""The pictures of scanned cards, shown to whoever reads a stack in the place of its paper. What the scanner read is
not: a second reading is blind."""

from __future__ import annotations

from collections import defaultdict

from django.urls import reverse

from contest.models import JudgingClass, ScannedCard

READ = (ScannedCard.Became.READING, ScannedCard.Became.SETTLED)
"""What is known to be of its number; one that waits has whoever looks at it beside what the scanner thinks."""


def pictures_by_number(judged: JudgingClass, group: str | None, numbers: frozenset[int]) -> dict[int, list[str]]:
    """The addresses of the pictures of a class's cards by whose they are: of certain `numbers` or, where there are
    none, of a group."""
    rows = ScannedCard.objects.filter(judging_class=judged, became__in=READ, picture__isnull=False)
    here = numbers or judged.contest.contestants.filter(group=group).values("number")
    found: defaultdict[int, list[str]] = defaultdict(list)
    for number, pk in rows.filter(number__in=here).order_by("pk").values_list("number", "pk"):
        found[number or 0].append(reverse("scanning-picture", args=[judged.contest_id, pk]))
    return dict(found)
