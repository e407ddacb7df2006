"""Whole stacks that were perhaps read as others: where many doubts come together, and who read there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import NamedTuple

from contest.models import Contest, JudgingClass
from contest.slips.cards import CardSlip
from contest.watch.doubts import DIFFERS, Doubt

MANY = 3
"""As many doubts about cards of one class and group, among the same readers, are hardly slips of the hand."""


MOST_SHOWN = 3
"""Such places that a page names; the others follow once these are dealt with."""


class Heap(NamedTuple):
    """Doubts that come together in one class and group; `readers` are who read there, each with one of the readings."""

    judged: JudgingClass
    group: str
    doubts: int
    readers: list[tuple[str, int]]


def heaps(doubts: Iterable[Doubt]) -> list[Heap]:
    """Where so many cards differ that a whole stack was perhaps read as another, those with the most doubts."""
    together: defaultdict[tuple[JudgingClass, str], list[Doubt]] = defaultdict(list)
    for doubt in doubts:
        if doubt.kind == DIFFERS and isinstance(doubt.slip, CardSlip):
            together[doubt.slip.judging_class, doubt.group].append(doubt)
    many = [_heap(*where, some) for where, some in together.items() if len(some) >= MANY]
    return sorted(many, key=lambda heap: (-heap.doubts, heap.judged.number, heap.group))[:MOST_SHOWN]


def _heap(judged: JudgingClass, group: str, doubts: list[Doubt]) -> Heap:
    readers: defaultdict[str, list[int]] = defaultdict(list)
    for doubt in doubts:
        for row in doubt.readings:
            readers[row.by].append(row.pk)
    several = [(by, keys[0]) for by, keys in readers.items() if len(keys) >= MANY]
    return Heap(judged, group, len(doubts), several)


def stacks_of_cards(contest: Contest) -> list[tuple[JudgingClass, str]]:
    """Every class and group that cards are due from, in the contest's order."""
    people = contest.contestants.filter(present=True).order_by().values_list("division", "group").distinct()
    groups: defaultdict[int, set[str]] = defaultdict(set)
    for division, group in people:
        groups[division].add(group)
    stacks = []
    for judged in contest.classes.filter(places=True).prefetch_related("class_divisions"):
        due = set().union(*(groups[row.division_id] for row in judged.class_divisions.all()))
        stacks += [(judged, group) for group in sorted(due)]
    return stacks
