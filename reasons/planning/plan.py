"""A finished timetable."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from reasons.planning.task import Timing
from scoring.core.texts import gettext as _
from scoring.core.texts import ngettext

Limit = Literal["nobody", "contestant", "rooms", "together"]


@dataclass(frozen=True, slots=True)
class Bound:
    """No timetable has fewer `slots`, nor ends before the minute `ends`; `limit`, `sets` and `of` say what makes it so.

    In none do team-mates follow one another fewer times than `following`.
    """

    slots: int
    ends: int
    limit: Limit
    sets: int = 0
    of: int = 0
    following: int = 0

    @property
    def because(self) -> str:
        """What makes it so, in words: `of` is the number of a contestant, or how many rooms."""
        sets = ngettext("{count} set", "{count} sets", self.sets).format(count=self.sets)
        if self.limit == "rooms":
            rooms = ngettext("{count} room", "{count} rooms", self.of).format(count=self.of)
            return _("{sets} in {rooms}").format(sets=sets, rooms=rooms)
        if self.limit == "contestant":
            text = _("the {sets} of contestant {number}, with the time between them")
            return text.format(sets=sets, number=self.of)
        if self.limit == "together":
            return _("the sets of all the contestants, with the time between each one's sets")
        return _("nobody owes a set")


def on_starts(timing: Timing) -> str:
    """What a bound does not say where the time between is no exact number of sets."""
    words = _("The bound is of sets that begin every {count} minutes; times between these might end sooner")
    return words.format(count=timing.minutes)


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
