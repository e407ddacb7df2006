"""Which officials hear which classes, as far as rooms and timetable say."""

from __future__ import annotations

from collections import defaultdict

from contest.models import Contest
from reasons.models import Room, Slot


class Hearing:
    """Known of one contest in a constant number of queries.

    A room hears the classes of which the timetable has a set in it. Before there is one it hears those it keeps or,
    where it keeps none, all; and so do officials without a room, of whom nothing is known.
    """

    def __init__(self, contest: Contest) -> None:
        rooms = Room.objects.filter(contest=contest)
        self._rooms = dict(rooms.filter(officials__isnull=False).values_list("officials", "pk"))
        sets = Slot.objects.filter(room__contest=contest).order_by()
        kept = list(sets.values_list("room", "judging_class").distinct())
        self._is_planned = bool(kept)
        if not kept:
            kept = list(rooms.filter(classes__isnull=False).values_list("pk", "classes"))
        self._classes: defaultdict[int, set[int]] = defaultdict(set)
        for room, judged in kept:
            self._classes[room].add(judged)

    def hears(self, official: int, judging_class: int) -> bool:
        room = self._rooms.get(official)
        if room is None:
            return True
        return judging_class in self._classes[room] or not (self._is_planned or self._classes[room])
