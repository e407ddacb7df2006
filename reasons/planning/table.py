"""A timetable in the making: which set is where, and what may go where."""

from __future__ import annotations

from reasons.planning.puzzle import NOBODY, Puzzle

FREE = -1


class Table:
    """Sets in places, a place being a room and a slot. `at[room][slot]` is the set there or FREE.

    A table keeps every law but two: some sets may have no place yet, and team-mates may follow one another.
    """

    def __init__(self, puzzle: Puzzle):
        self.puzzle = puzzle
        self.at = [[FREE] * puzzle.horizon for _ in range(puzzle.rooms)]
        self.room = [FREE] * puzzle.count
        self.slot = [FREE] * puzzle.count
        self.reach = 0  # no set is in this slot or later

    def put(self, set_: int, room: int, slot: int) -> None:
        self.at[room][slot] = set_
        self.room[set_], self.slot[set_] = room, slot
        if slot >= self.reach:
            self.reach = slot + 1

    def take(self, set_: int) -> None:
        room, slot = self.room[set_], self.slot[set_]
        self.at[room][slot] = FREE
        self.room[set_] = self.slot[set_] = FREE

    def shrink(self) -> None:
        """Let `reach` be exact again after sets were moved to earlier slots."""
        self.reach = self.length

    @property
    def length(self) -> int:
        """How many slots the timetable takes."""
        return max(self.slot, default=FREE) + 1

    def rests(self, set_: int, slot: int, besides: int = FREE) -> bool:
        """Is its contestant there and rested in this slot, if the set `besides` were gone?"""
        puzzle = self.puzzle
        place = puzzle.who[set_]
        if not puzzle.can_speak(place, slot):
            return False
        after, slots = puzzle.after, self.slot
        for other in puzzle.sets_of[place]:
            if other != set_ and other != besides:
                taken = slots[other]
                if taken != FREE and (after[taken] > slot if taken < slot else after[slot] > taken):
                    return False
        return True

    def heard_in(self, set_: int, room: int, slot: int) -> bool:
        """Is the room open then, and does it hear the class?"""
        return self.puzzle.is_open(room, slot) and self.puzzle.on[set_] in self.puzzle.hears[room]

    def team_before(self, room: int, slot: int) -> int:
        row = self.at[room]
        while slot:
            slot -= 1
            if row[slot] != FREE:
                return self.puzzle.set_team[row[slot]]
        return self.puzzle.last_team[room]

    def team_after(self, room: int, slot: int) -> int:
        row = self.at[room]
        for later in range(slot + 1, self.reach):
            if row[later] != FREE:
                return self.puzzle.set_team[row[later]]
        return NOBODY

    def clashes(self, set_: int, room: int, slot: int) -> int:
        """How many neighbours of the place in its room are team-mates of the set's contestant."""
        team = self.puzzle.set_team[set_]
        if team == NOBODY:
            return 0
        return (self.team_before(room, slot) == team) + (self.team_after(room, slot) == team)

    def gap_clash(self, room: int, slot: int) -> int:
        """1 if leaving the place would make team-mates neighbours."""
        before = self.team_before(room, slot)
        return int(before != NOBODY and before == self.team_after(room, slot))

    def following(self) -> list[int]:
        """The sets whose contestant follows a team-mate."""
        followers = []
        teams = self.puzzle.set_team
        for room, row in enumerate(self.at):
            last = self.puzzle.last_team[room]
            for slot in range(self.reach):
                set_ = row[slot]
                if set_ != FREE:
                    if teams[set_] == last != NOBODY:
                        followers.append(set_)
                    last = teams[set_]
        return followers

    def cost(self) -> tuple[int, int]:
        """Smaller is better: the slots it takes, more for each who follows a team-mate, and then the waiting."""
        return self.length + self.puzzle.rather_wait * len(self.following()), sum(self.slot)

    def state(self) -> tuple[list[int], list[int]]:
        return self.room[:], self.slot[:]

    def restore(self, state: tuple[list[int], list[int]]) -> None:
        for set_ in range(self.puzzle.count):
            if self.slot[set_] != FREE:
                self.at[self.room[set_]][self.slot[set_]] = FREE
        self.reach = 0
        for set_, (room, slot) in enumerate(zip(*state, strict=True)):
            self.put(set_, room, slot)
