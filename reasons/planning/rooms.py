"""Which rooms hear which classes, where every class keeps to its rooms."""

from __future__ import annotations

import math
from collections.abc import Mapping


def keep_classes(loads: Mapping[int, int], rooms: int) -> list[frozenset[int]]:
    """The classes of each room, so that a class is heard in as few rooms as can be and the fullest room hears least.

    `loads` is the number of sets on each class. With more rooms than classes, the fullest class gets another room
    until none is left; with fewer, a room keeps several classes, the largest loads dealt out first.
    """
    if not loads:
        return [frozenset()] * rooms
    if rooms <= len(loads):
        kept: list[set[int]] = [set() for _ in range(rooms)]
        heard = [0] * rooms
        for number in sorted(loads, key=lambda number: (-loads[number], number)):
            room = heard.index(min(heard))
            kept[room].add(number)
            heard[room] += loads[number]
        return [frozenset(classes) for classes in kept]
    having = dict.fromkeys(sorted(loads), 1)
    for _ in range(rooms - len(loads)):
        fullest = max(having, key=lambda number: math.ceil(loads[number] / having[number]))
        having[fullest] += 1
    return [frozenset({number}) for number, count in having.items() for _ in range(count)]
