"""Which group is at which class in which round. Plain Python: no database."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Generic, TypeVar

Place = TypeVar("Place", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Round(Generic[Place]):
    """One round: where each group is, in the order of the groups; None waits. `starts` is None without a first time."""

    number: int
    starts: time | None
    ends: time | None
    places: tuple[Place | None, ...]


def rotation(
    groups: int, classes: Sequence[Place], starts_at: time | None, minutes: Callable[[Place], int]
) -> list[Round[Place]]:
    """The rounds in which every group visits every class once, and no two groups are at one class at once.

    The groups stand in a circle of as many places as there are classes, or groups if these are more, and all move on
    by one place each round. So nobody waits while there are no more groups than classes, and otherwise each group
    waits as many rounds as there are groups too many. `minutes` is how long a class takes, and a round as long as the
    longest of the classes that somebody is at.
    """
    if not groups or not classes:
        return []
    circle: list[Place | None] = [*classes, *[None] * (groups - len(classes))]
    rounds, gone = [], 0
    for number in range(len(circle)):
        places = tuple(circle[(group + number) % len(circle)] for group in range(groups))
        after = gone + max(minutes(place) for place in places if place is not None)
        rounds.append(Round(number + 1, _later(starts_at, gone), _later(starts_at, after), places))
        gone = after
    return rounds


def _later(start: time | None, minutes: int) -> time | None:
    return start and (datetime.combine(datetime.min, start) + timedelta(minutes=minutes)).time()
