"""Who would have to be in two places at once: at a class or giving reasons in two contests of the day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from contest.entries.across import Attending, Entry
from contest.models import Contest
from reasons.day.elsewhere import Busy, busy_in


class Clash(NamedTuple):
    """Two things that one person would do at once, the earlier first."""

    who: Attending
    first: tuple[Entry, Busy]
    second: tuple[Entry, Busy]

    @property
    def both(self) -> tuple[tuple[Entry, Busy], tuple[Entry, Busy]]:
        return self.first, self.second


def clashes(people: Sequence[Attending], busy: Mapping[int, Sequence[Busy]]) -> list[Clash]:
    """What overlaps of one person's in two contests, in the order of time. What ends as the other begins does not."""
    found = []
    for who in people:
        for one, other in combinations(who.entries, 2):
            for mine in busy.get(one.pk, ()):
                for theirs in busy.get(other.pk, ()):
                    if mine.starts < theirs.ends and theirs.starts < mine.ends:
                        both = sorted([(one, mine), (other, theirs)], key=lambda pair: pair[1].starts)
                        found.append(Clash(who, *both))
    return sorted(found, key=lambda clash: (clash.second[1].starts, clash.who.team, clash.who.name))


def clashes_of(contests: Sequence[Contest], people: Sequence[Attending]) -> list[Clash]:
    busy: dict[int, list[Busy]] = {}
    for contest in contests:
        busy |= busy_in(contest)
    return clashes(people, busy)
