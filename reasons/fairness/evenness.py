"""Does a shift favour anybody? Not where all who are ranked together were heard by the same official equally often.

Asked of each ranked list by itself: Seniors heard by one official and Juniors by another are never ranked together, and
a category counts fewer classes than the overall list. Contestants of a list are compared with those heard on the same
classes, so that nobody who gave no set makes others uneven; and one score that is missing from a set that several
officials heard is let pass.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import NamedTuple

from reasons.fairness.shifts import Heard


class Ranked(NamedTuple):
    """A list of results: its name, whose they are, and the classes whose reasons count in it."""

    name: str
    numbers: frozenset[int]
    classes: frozenset[int]


Hearing = tuple[tuple[int, str], ...]
"""On which classes and by whom somebody was heard."""


def uneven(heard: Iterable[Heard], lists: Sequence[Ranked]) -> dict[str, tuple[str, ...]]:
    """By official, the names of the lists in which a shift of theirs favours somebody, in the order of `lists`."""
    of: defaultdict[int, list[tuple[int, str]]] = defaultdict(list)
    for score in sorted(heard):
        of[score.number].append((score.class_number, score.by))
    found: defaultdict[str, tuple[str, ...]] = defaultdict(tuple)
    for ranked in lists:
        hearings = Counter(
            tuple([pair for pair in of[number] if pair[0] in ranked.classes])
            for number in ranked.numbers
            if number in of
        )
        for by in {by for hearing in hearings for _class, by in hearing}:
            if not _is_even(by, hearings):
                found[by] += (ranked.name,)
    return dict(found)


def _is_even(by: str, hearings: Counter[Hearing]) -> bool:
    groups: defaultdict[frozenset[int], list[Hearing]] = defaultdict(list)
    for hearing in hearings:
        groups[frozenset(number for number, _by in hearing)].append(hearing)
    otherwise: list[tuple[Hearing, int]] = []
    for group in groups.values():
        shares: Counter[Fraction] = Counter()
        for hearing in group:
            shares[_share(by, hearing)] += hearings[hearing]
        ((usual, _times),) = shares.most_common(1)
        whole = max(map(len, group))
        otherwise += [(hearing, whole) for hearing in group if _share(by, hearing) != usual]
    if not otherwise:
        return True
    ((hearing, whole),) = otherwise[:1]
    return len(otherwise) == 1 and hearings[hearing] == 1 and len(hearing) == whole - 1


def _share(by: str, hearing: Hearing) -> Fraction:
    """What an official weighs in somebody's total: of each set, one part of as many as heard it."""
    officials = Counter(number for number, _by in hearing)
    return sum((Fraction(1, officials[number]) for number, who in hearing if who == by), Fraction(0))
