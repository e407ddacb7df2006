"""The task in the form the search works on: contestants, classes, rooms and slots of time as whole numbers.

All sets take equally long, so time is a row of slots that every room shares. A break is not a slot: the slot after it
is the next one. Rests are asked of the clock, not of the slots, so a break counts as rest.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from itertools import islice

from reasons.planning.plan import PlannedSet
from reasons.planning.task import CannotPlan, Speaker, Task, check
from scoring.core.texts import ngettext

NOBODY = -1
RATHER_WAIT = 30
"""Minutes by which the day may grow longer to keep one pair of team-mates from following one another."""


class Puzzle:
    """A task, numbered. Nothing changes once it is made.

    Set s is given by contestant `who[s]` on class `on[s]`; `sets_of[c]` are a contestant's sets. Slot t runs from
    `starts[t]` for as long as a set takes; whoever spoke in it may speak again in slot `after[t]`. `hop[k][t]` is the
    slot in which somebody who speaks in slot t can be through with k further sets. Room r is open in the slots
    `opens[r] <= t < closes[r]`, but for `shut[r]`; in those of `away[c]` a contestant is elsewhere. Teams are numbers;
    NOBODY for somebody without team-mates.
    """

    def __init__(self, task: Task):
        check(task)
        self.task = task
        speakers = sorted(task.speakers, key=lambda speaker: speaker.number)
        self.classes = sorted({number for speaker in speakers for number in speaker.classes})
        class_index = {number: index for index, number in enumerate(self.classes)}
        self.numbers = [speaker.number for speaker in speakers]
        self.who: list[int] = []
        self.on: list[int] = []
        self.sets_of: list[list[int]] = []
        for place, speaker in enumerate(speakers):
            self.sets_of.append([])
            for number in sorted(speaker.classes):
                self.sets_of[place].append(len(self.who))
                self.who.append(place)
                self.on.append(class_index[number])
        self.count = len(self.who)
        self.most_sets = max((len(sets) for sets in self.sets_of), default=0)
        self._number_teams(speakers)
        self._set_out_slots()
        self.rooms = len(task.rooms)
        self.ready = [self.first_slot(speaker.ready) for speaker in speakers]
        self.opens = [self.first_slot(room.opens) for room in task.rooms]
        self.closes = [self.first_end_past(room.closes) for room in task.rooms]
        self.away = [self._slots_within(speaker.busy) for speaker in speakers]
        self.shut = [self._slots_within(room.busy) for room in task.rooms]
        self.hears = [
            frozenset(index for index, number in enumerate(self.classes) if room.hears(number)) for room in task.rooms
        ]
        self.rooms_of = [
            [room for room in range(self.rooms) if index in self.hears[room]] for index in range(len(self.classes))
        ]

    def _number_teams(self, speakers: list[Speaker]) -> None:
        members = Counter(speaker.team for speaker in speakers)
        names: dict[str, int] = {}

        def number(team: str) -> int:
            # Who has no team-mate here follows none, however many sets they give one after the other.
            return names.setdefault(team, len(names)) if team and members[team] > 1 else NOBODY

        self.team = [number(speaker.team) for speaker in speakers]
        self.last_team = [number(room.last_team) for room in self.task.rooms]
        self.set_team = [self.team[place] for place in self.who]

    def _set_out_slots(self) -> None:
        timing = self.task.timing
        rest_slots = math.ceil(timing.gap / timing.minutes)
        self.rather_wait = math.ceil(RATHER_WAIT / timing.minutes)
        latest = max((speaker.ready for speaker in self.task.speakers), default=0)
        busy = [*(one.busy for one in self.task.speakers), *(room.busy for room in self.task.rooms)]
        latest = max(
            [latest, *(room.opens for room in self.task.rooms), *(end for times in busy for _begin, end in times)]
        )
        until_then = max(0, latest - timing.first) // timing.minutes + 1
        # Before the last set of a sensible timetable somebody else speaks, or a room waits lest a team-mate follows,
        # or its contestant rests.
        each = 2 + min(rest_slots, self.rather_wait)
        self.horizon = until_then + (self.count + 1) * each + self.most_sets * (rest_slots + 1) + self.rather_wait
        self.starts = list(islice(timing.starts(), self.horizon))
        self.first = self.starts[0]
        self.after = [self.horizon] * (self.horizon + 1)
        slot = 0
        for before, start in enumerate(self.starts):
            again = start + timing.minutes + timing.gap
            while slot < self.horizon and self.starts[slot] < again:
                slot += 1
            self.after[before] = slot
        self.hop = [list(range(self.horizon + 1))]
        for _ in range(self.most_sets):
            self.hop.append([self.after[slot] for slot in self.hop[-1]])
        self.before = _inverse(self.after, self.horizon)
        self.no_rest = all(again == slot + 1 for slot, again in enumerate(self.after[: self.horizon]))

    def first_slot(self, minute: int) -> int:
        """The first slot that begins at the minute or later."""
        low, high = 0, self.horizon
        while low < high:
            middle = (low + high) // 2
            if self.starts[middle] < minute:
                low = middle + 1
            else:
                high = middle
        return low

    def first_end_past(self, minute: int | None) -> int:
        """The first slot that is not over by the minute."""
        if minute is None:
            return self.horizon
        return self.first_slot(minute - self.task.timing.minutes + 1)

    def _slots_within(self, times: Iterable[tuple[int, int]]) -> frozenset[int]:
        """The slots that overlap one of these times."""
        return frozenset(
            slot for begin, end in times for slot in range(self.first_end_past(begin), self.first_slot(end))
        )

    def is_open(self, room: int, slot: int) -> bool:
        return self.opens[room] <= slot < self.closes[room] and slot not in self.shut[room]

    def can_speak(self, place: int, slot: int) -> bool:
        """Has the contestant come by this slot, and is not elsewhere in it?"""
        return slot >= self.ready[place] and slot not in self.away[place]

    def ends(self, slots: int) -> int:
        """The minute at which the last of so many slots ends."""
        return self.starts[slots - 1] + self.task.timing.minutes if slots else self.first

    def planned(self, rooms: list[int], slots: list[int]) -> tuple[PlannedSet, ...]:
        """The sets, each in its room and slot, as people read them."""
        minutes = self.task.timing.minutes
        sets = [
            PlannedSet(
                self.starts[slots[set_]],
                self.task.rooms[rooms[set_]].name,
                self.numbers[self.who[set_]],
                self.classes[self.on[set_]],
                self.starts[slots[set_]] + minutes,
            )
            for set_ in range(self.count)
        ]
        order = {room.name: place for place, room in enumerate(self.task.rooms)}
        return tuple(sorted(sets, key=lambda planned: (planned.start, order[planned.room])))

    def loads(self) -> dict[frozenset[int], int]:
        """How many sets wait for each group of rooms that alone can hear them."""
        waiting: defaultdict[frozenset[int], int] = defaultdict(int)
        for on in self.on:
            waiting[frozenset(self.rooms_of[on])] += 1
        return dict(waiting)


def no_room_left(left: int) -> CannotPlan:
    """That so many sets are more than the open rooms can hear, whatever the order."""
    text = ngettext(
        "the rooms close before everybody is heard: {count} set would be left",
        "the rooms close before everybody is heard: {count} sets would be left",
        left,
    )
    return CannotPlan(text.format(count=left))


def _inverse(after: list[int], horizon: int) -> list[int]:
    """For each slot the last one from which it can be reached, NOBODY if none; and so for NOBODY, which is the last."""
    inverse, earlier = [], NOBODY
    for slot in range(horizon):
        while after[earlier + 1] <= slot:
            earlier += 1
        inverse.append(earlier)
    return [*inverse, NOBODY]
