"""Making a timetable better without starting again: filling holes, keeping team-mates apart, ending earlier.

A chain moves one set into the place of another, that one into the place of a third, and so on until one comes to a free
place or to the place that the first has left. Chains are searched for breadth first and kept only if they help.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from random import Random

from reasons.planning.table import FREE, Table

Place = tuple[int, int]
MOST_LOOKED_AT = 40
"""How many sets a search for a chain pushes out of their places before it gives up."""


def squeeze(table: Table) -> None:
    """Move sets into earlier free places until no single set can be moved so: then no room idles needlessly.

    The last set that fits goes into each hole, which ends the day sooner and moves few.
    """
    puzzle = table.puzzle
    moved = True
    while moved:
        moved = False
        table.shrink()
        late = sorted(range(puzzle.count), key=lambda set_: -table.slot[set_])
        for slot in range(table.reach):
            rested = [set_ for set_ in late if table.slot[set_] > slot and table.rests(set_, slot)]
            for room in range(puzzle.rooms) if rested else ():
                if table.at[room][slot] != FREE:
                    continue
                set_ = next((set_ for set_ in rested if _step_helps(table, set_, room, slot)), FREE)
                if set_ != FREE:
                    table.take(set_)
                    table.put(set_, room, slot)
                    moved = True


def _step_helps(table: Table, set_: int, room: int, slot: int) -> bool:
    """May the set move alone into this earlier free place without bringing more team-mates together?"""
    if slot >= table.slot[set_] or not table.heard_in(set_, room, slot) or not table.rests(set_, slot):
        return False
    old_room, old_slot = table.room[set_], table.slot[set_]
    before = table.clashes(set_, old_room, old_slot)
    table.take(set_)
    now = table.gap_clash(old_room, old_slot) - table.gap_clash(room, slot) + table.clashes(set_, room, slot)
    table.put(set_, old_room, old_slot)
    return now <= before


def mend(table: Table, shortest: int, random: Random | None, in_time: Callable[[], bool]) -> None:
    """Improve a timetable until team-mates are apart and it takes `shortest` slots, or nothing helps any more.

    Without `random`, sets change places with those nearest in time, so that nobody has to wait much longer.
    """
    better = True
    while better and in_time():
        better = _part_team_mates(table, random, in_time)
        while table.length > shortest and in_time() and _end_earlier(table, random):
            better = True
        squeeze(table)


def _part_team_mates(table: Table, random: Random | None, in_time: Callable[[], bool]) -> bool:
    better = False
    for set_ in table.following():
        if not in_time():
            break
        before = table.cost()
        room, slot = table.room[set_], table.slot[set_]
        earlier = next((other for other in reversed(table.at[room][:slot]) if other != FREE), FREE)
        # Either of the two may go, or whoever comes next.
        later = next((other for other in table.at[room][slot + 1 : table.reach] if other != FREE), FREE)
        for candidate in (set_, earlier, later):
            if candidate != FREE and _chain(table, candidate, table.reach, before, random):
                better = True
                break
    return better


def _end_earlier(table: Table, random: Random | None) -> bool:
    """Empty the last slot, set by set; the timetable stays as it was if that does not succeed."""
    target, kept = table.length - 1, table.state()
    while last := [set_ for set_ in range(table.puzzle.count) if table.slot[set_] >= target]:
        if not _chain(table, last[0], target, None, random):
            table.restore(kept)
            return False
    return True


def _chain(table: Table, first: int, target: int, below: tuple[int, int] | None, random: Random | None) -> bool:
    """Move the set by a chain through places before slot `target`. True, and done, if one was found.

    With `below`, the whole timetable must become cheaper than that and the last of the chain may take the place that
    the first has left; without it, the chain must end in a free place and bring no team-mates together.
    """
    puzzle = table.puzzle
    holes = _holes(table, target)
    others = [set_ for set_ in range(puzzle.count) if table.slot[set_] < target and set_ != first]
    if random:
        random.shuffle(others)
    else:
        others.sort(key=lambda set_: abs(table.slot[set_] - table.slot[first]))
        if below is not None:
            holes = [place for place in holes if abs(place[1] - table.slot[first]) <= puzzle.rather_wait]
    came_from: dict[int, int] = {first: FREE}
    queue = deque([first])
    looked_at = 0
    while queue and looked_at < MOST_LOOKED_AT:
        set_ = queue.popleft()
        looked_at += 1
        ends: Iterable[Place] = holes
        if below is not None and set_ != first:
            ends = [(table.room[first], table.slot[first]), *holes]
        for room, slot in ends:
            if _may_come(table, set_, room, slot, first) and _follow(table, set_, (room, slot), came_from, below):
                return True
        for other in others:
            if other not in came_from and _may_come(table, set_, table.room[other], table.slot[other], other):
                came_from[other] = set_
                queue.append(other)
    return False


def _may_come(table: Table, set_: int, room: int, slot: int, instead_of: int) -> bool:
    return (
        table.heard_in(set_, room, slot)
        and table.rests(set_, slot, besides=instead_of)
        and not table.clashes(set_, room, slot)
    )


def _follow(table: Table, last: int, end: Place, came_from: dict[int, int], below: tuple[int, int] | None) -> bool:
    """Make the moves of a chain, from its last set back to its first; undo them if the timetable is not sound so."""
    chain, set_ = [], last
    while set_ != FREE:
        chain.append(set_)
        set_ = came_from[set_]
    old = [(table.room[set_], table.slot[set_]) for set_ in chain]
    following = len(table.following()) if below is None else 0
    for set_ in chain:
        table.take(set_)
    places = [end, *old[:-1]]
    done = 0
    for set_, (room, slot) in zip(chain, places, strict=True):
        if not table.rests(set_, slot):
            break
        table.put(set_, room, slot)
        done += 1
    if done == len(chain) and (len(table.following()) <= following if below is None else table.cost() < below):
        return True
    for set_ in chain[:done]:
        table.take(set_)
    for set_, (room, slot) in zip(chain, old, strict=True):
        table.put(set_, room, slot)
    return False


def _holes(table: Table, before: int) -> list[Place]:
    """The free places of open rooms before a slot, in the order of time."""
    puzzle = table.puzzle
    return [
        (room, slot)
        for slot in range(before)
        for room in range(puzzle.rooms)
        if table.at[room][slot] == FREE and puzzle.is_open(room, slot)
    ]
