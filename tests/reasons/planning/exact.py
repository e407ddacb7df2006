"""The fewest moves of planning again, by whole-number programming: shares no code with the planner."""

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp


def least(task, earlier, minutes_of_day=60):
    """The least number of slots, and the fewest of `earlier` who move then; of a task without teams and breaks.

    A set s in room r and slot t is a variable of 0 or 1: each set once, a room one set at a time, rests kept.
    """
    timing = task.timing
    starts = [timing.first + timing.minutes * slot for slot in range(minutes_of_day // timing.minutes)]
    sets = [(speaker, on) for speaker in task.speakers for on in speaker.classes]
    had = {(one.number, one.class_number): (one.room, one.start) for one in earlier}
    at = [
        (s, room.name, slot)
        for s, (speaker, on) in enumerate(sets)
        for room in task.rooms
        for slot, start in enumerate(starts)
        if room.hears(on) and start >= max(room.opens, speaker.ready)
        if room.closes is None or start + timing.minutes <= room.closes
    ]
    for slots in range(1, len(starts) + 1):
        fewest = _fewest([place for place in at if place[2] < slots], sets, starts, timing, had)
        if fewest is not None:
            return slots, fewest
    raise AssertionError("the day is too short")


def _fewest(at, sets, starts, timing, had):
    once, rows, most = [], [], []
    for s in range(len(sets)):
        once.append([place[0] == s for place in at])
    if not all(map(any, once)):
        return None
    for room in {place[1] for place in at}:
        for slot in range(len(starts)):
            rows.append([place[1] == room and place[2] == slot for place in at])
    for number in {speaker.number for speaker, _ in sets}:
        own = {s for s, (speaker, _) in enumerate(sets) if speaker.number == number}
        for first, last in _windows(starts, timing):
            rows.append([place[0] in own and first <= place[2] <= last for place in at])
    most = [1] * len(rows)
    moves = [had.get(key(sets[s])) not in (None, (room, starts[slot])) for s, room, slot in at]
    found = milp(
        numpy.array(moves, dtype=float),
        integrality=numpy.ones(len(at)),
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(numpy.array(once, dtype=float), 1, 1),
            LinearConstraint(numpy.array(rows, dtype=float), -numpy.inf, most),
        ],
    )
    return None if found.x is None else round(found.fun)


def _windows(starts, timing):
    """Runs of slots of which nobody may have two."""
    for first, start in enumerate(starts):
        near = [slot for slot, other in enumerate(starts) if start <= other < start + timing.minutes + timing.gap]
        yield first, near[-1]


def key(set_):
    speaker, on = set_
    return speaker.number, on


def ends_in(plan, timing):
    """How many slots a plan takes."""
    return max((one.end - timing.first for one in plan.sets), default=0) // timing.minutes
