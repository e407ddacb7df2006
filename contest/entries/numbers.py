"""Contestant numbers, given to people who are known by any key. Plain Python: no database, no mutation."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from random import Random
from typing import TypeVar

from contest.book.text import LARGEST_NUMBER
from scoring.core.points import in_thousands
from scoring.core.texts import gettext as _

Person = TypeVar("Person", bound=Hashable)


class NoNumbers(ValueError):
    """Raised where the numbers asked for cannot be given, in words for whoever asked."""


def by_team(teams: Iterable[Sequence[Person]], alone: Sequence[Person], start: int, step: int) -> dict[Person, int]:
    """Numbers in blocks: the first team from `start`, the next one `step` further on, then those without a team.

    With 101 and 10: 101, 102, 103, 104; 111, 112, 113. A team of more than `step` takes as many blocks as it needs.
    Those without a team follow one by one from the next free block.
    """
    if start < 1 or step < 1:
        raise NoNumbers(_("the first number and the step must be 1 or more"))
    numbers: dict[Person, int] = {}
    block = start
    for members in teams:
        numbers.update(zip(members, range(block, block + len(members)), strict=True))
        block += step * max(1, -(-len(members) // step))
    numbers.update(zip(alone, range(block, block + len(alone)), strict=True))
    if numbers and max(numbers.values()) > LARGEST_NUMBER:
        told = _("the last number would be {number}; {most} is the most")
        raise NoNumbers(told.format(number=in_thousands(max(numbers.values())), most=in_thousands(LARGEST_NUMBER)))
    return numbers


def at_random(people: Sequence[Person], lowest: int, highest: int, seed: str) -> dict[Person, int]:
    """Different numbers from `lowest` to `highest`, drawn so that a number says nothing about a team.

    The same people in the same order with the same seed are given the same numbers, so that what was shown is what is
    applied; the seed is a secret and new for every draw.
    """
    if not 1 <= lowest <= highest <= LARGEST_NUMBER:
        told = _("numbers run from 1 to {most}, and the lowest comes before the highest")
        raise NoNumbers(told.format(most=in_thousands(LARGEST_NUMBER)))
    room = highest - lowest + 1
    if room < len(people):
        told = _("from {lowest} to {highest} there are {numbers} numbers for {people} contestants")
        counts = {"numbers": in_thousands(room), "people": in_thousands(len(people))}
        raise NoNumbers(told.format(lowest=lowest, highest=highest, **counts))
    drawn = Random(seed).sample(range(lowest, highest + 1), len(people))  # noqa: S311 -- the seed is what is secret
    return dict(zip(people, drawn, strict=True))


def free_from(start: int, taken: Iterable[int], count: int) -> list[int]:
    """The first `count` numbers from `start` on that nobody has."""
    held = set(taken)
    free: list[int] = []
    number = max(start, 1)
    while len(free) < count:
        if number not in held:
            free.append(number)
        number += 1
    return free


def changed(before: Mapping[Person, int], after: Mapping[Person, int]) -> dict[Person, int]:
    """The numbers that differ from those that people have."""
    return {person: number for person, number in after.items() if before.get(person) != number}
