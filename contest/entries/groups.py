"""Dealing contestants into groups: sizes even, team-mates apart. Plain Python: no database, no mutation.

People are first dealt like cards, team after team, each to the smallest group, and among equals to the one with the
fewest team-mates. From nothing that is already the best there is: with four groups and teams of three, no team-mates
meet and sizes differ by one at most. Where some people keep the groups they have, it may not be. So whoever was dealt
is then moved round, along any circle of groups that leaves fewer pairs of team-mates together and every size as even
as it was, until there is no such circle. That is how a cheapest flow is found, so the end is the best possible one.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase
from typing import TypeVar

Person = TypeVar("Person", bound=Hashable)
MOST_GROUPS = len(ascii_uppercase)


def letters(count: int) -> list[str]:
    """The names of that many groups: A, B, C."""
    return list(ascii_uppercase[:count])


def deal(
    people: Sequence[tuple[Person, Hashable]], groups: Sequence[str], kept: Mapping[Person, str] | None = None
) -> dict[Person, str]:
    """The group of everybody in `people`, who come as (person, team); None is no team.

    Those in `kept` stay where they are. Sizes are as even as those kept allow: without any they differ by at most one.
    Under that, as few pairs of team-mates as possible are in one group. Raises ValueError without groups, and where
    somebody is kept in a group that is not among them.
    """
    kept = {person: group for person, group in (kept or {}).items() if person in {who for who, _team in people}}
    if not groups or not set(kept.values()) <= set(groups):
        raise ValueError("people can only be in the groups that there are")
    table = _Table.of(people, groups, kept)
    while circle := table.better_circle():
        table.turn(circle)
    return {person: table.group[person] for person, _team in people}


def together(people: Sequence[tuple[Person, Hashable]], group: Mapping[Person, str]) -> int:
    """How many pairs of team-mates are in one group."""
    mates = Counter((team, group[person]) for person, team in people if team is not None)
    return sum(count * (count - 1) // 2 for count in mates.values())


@dataclass(slots=True)
class _Table:
    """Who sits where while people are dealt."""

    groups: Sequence[str]
    team: dict[Hashable, Hashable]
    group: dict[Hashable, str]
    size: Counter[str]
    mates: Counter[tuple[Hashable, str]]
    free: dict[str, dict[Hashable, list[Hashable]]]  # who may be moved: group -> team -> people

    @classmethod
    def of(cls, people: Sequence[tuple[Person, Hashable]], groups: Sequence[str], kept: Mapping[Person, str]) -> _Table:
        team: dict[Hashable, Hashable] = {who: ("alone", who) if its is None else ("team", its) for who, its in people}
        group: dict[Hashable, str] = dict(kept.items())
        table = cls(groups, team, group, Counter(kept.values()), Counter(), {})
        table.free = {name: defaultdict(list) for name in groups}
        table.mates.update((team[person], name) for person, name in kept.items())
        by_team: dict[Hashable, list[Person]] = defaultdict(list)
        for person, _its in people:
            if person not in kept:
                by_team[team[person]].append(person)
        for members in by_team.values():
            for person in members:
                best = min(groups, key=lambda group: (table.size[group], table.mates[team[person], group]))
                table._seat(person, best)
                table.size[best] += 1
        return table

    def better_circle(self) -> list[tuple[str, str, Hashable]]:
        """Moves (from, to, team) that together leave fewer pairs of team-mates; empty where there are none.

        Found as a circle of negative length among the groups, after Bellman and Ford.
        """
        moves = list(self._moves())
        length = dict.fromkeys(self.groups, 0)
        reached: dict[str, tuple[str, str, Hashable]] = {}
        last = ""
        for _ in self.groups:
            last = ""
            for source, target, team, change in moves:
                if length[source] + change < length[target]:
                    length[target] = length[source] + change
                    reached[target] = (source, target, team)
                    last = target
            if not last:
                return []
        for _ in self.groups:  # far enough back to be on the circle itself
            last = reached[last][0]
        circle = [reached[last]]
        while circle[-1][0] != last:
            circle.append(reached[circle[-1][0]])
        return [move for move in circle if move[2] is not None]

    def turn(self, circle: list[tuple[str, str, Hashable]]) -> None:
        risen = [(self._rise(source, team), target) for source, target, team in circle]
        for person, target in risen:
            self._seat(person, target)
        for source, target, _team in circle:
            self.size[source] -= 1
            self.size[target] += 1

    def _moves(self) -> Iterator[tuple[str, str, Hashable, int]]:
        """The cheapest move between every two groups, and what it changes in pairs of team-mates.

        A move without a team moves nobody: it closes a path that leaves one group smaller and another larger, which
        keeps sizes as even as they were where the first had one more than the second.
        """
        for source in self.groups:
            movable = [team for team, people in self.free[source].items() if people]
            for target in self.groups:
                if source == target:
                    continue
                if self.size[target] == self.size[source] + 1:
                    yield source, target, None, 0
                if movable:
                    change, position = min(
                        (self.mates[team, target] - self.mates[team, source] + 1, position)
                        for position, team in enumerate(movable)
                    )
                    yield source, target, movable[position], change

    def _rise(self, source: str, team: Hashable) -> Hashable:
        person = self.free[source][team].pop()
        self.mates[team, source] -= 1
        return person

    def _seat(self, person: Hashable, group: str) -> None:
        self.group[person] = group
        self.free[group][self.team[person]].append(person)
        self.mates[self.team[person], group] += 1
