"""A finished timetable."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Bound:
    """No timetable has fewer `slots`, nor ends before the minute `ends`; `because` says what makes it so.

    In none do team-mates follow one another fewer times than `following`.
    """

    slots: int
    ends: int
    because: str
    following: int = 0


class PlannedSet(NamedTuple):
    """One set of reasons: from `start` to `end`, in minutes after midnight."""

    start: int
    room: str
    number: int
    class_number: int
    end: int


@dataclass(frozen=True, slots=True)
class Plan:
    """A timetable in the order of time, and how good it is.

    `following` counts the pairs of team-mates who follow one another in a room. `proved` says that the search went to
    the end: no timetable of this task is better.
    """

    sets: tuple[PlannedSet, ...]
    bound: Bound
    following: int = 0
    proved: bool = False

    @property
    def ends(self) -> int:
        """The minute at which the last set ends; with no sets, the minute at which it would have begun."""
        return max((planned.end for planned in self.sets), default=self.bound.ends)

    @property
    def over(self) -> int:
        """How many minutes later it ends than the lower bound."""
        return self.ends - self.bound.ends
