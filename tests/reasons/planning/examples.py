"""Tasks to plan, drawn at random, and an account of a plan's laws and of the best plan that shares no code with it."""

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise, product
from math import inf

from hypothesis import strategies as st

from reasons.planning import Room, Speaker, Task, Timing, keep_classes, lower_bound, plan

RATHER_WAIT = 30  # minutes


def simple_task(people, sets, rooms, *, minutes=2, gap=0, keep=False, team_size=4, breaks=(), prepare=0):
    classes = tuple(range(1, sets + 1))
    kept = keep_classes(dict.fromkeys(classes, people), rooms) if keep else [None] * rooms
    return Task(
        tuple(
            Speaker(101 + place, classes, f"team {place // team_size}" if team_size else "") for place in range(people)
        ),
        tuple(Room(str(place), hears) for place, hears in enumerate(kept, start=1)),
        Timing(540, minutes, gap, prepare, tuple(breaks)),
    )


def in_one_room(task):
    """A sound plan that could be better: one room hears everybody."""
    made = plan(replace(task, rooms=task.rooms[:1]), budget_seconds=1)
    return replace(made, bound=lower_bound(task), proved=False)


@st.composite
def tasks(draw, most_people=14, most_sets=4, most_rooms=4, hours=True, away=False):
    classes = list(range(1, draw(st.integers(1, most_sets)) + 1))
    owed = st.lists(st.sampled_from(classes), unique=True, max_size=len(classes)).map(tuple)
    teams = st.sampled_from(["", "a", "b", "c", "d"])
    late = st.sampled_from([0, 0, 0, 0, 545, 556]) if hours else st.just(0)
    busy = st.sampled_from([(), (), (), ((542, 549),), ((538, 541), (551, 563))]) if away else st.just(())
    people = [
        Speaker(number, draw(owed), draw(teams), draw(late), draw(busy))
        for number in range(1, draw(st.integers(1, most_people)) + 1)
    ]
    count = draw(st.integers(1, most_rooms))
    hears = [draw(st.none() | st.sets(st.sampled_from(classes), min_size=1).map(frozenset)) for _ in range(count)]
    if all(kept is not None for kept in hears):
        hears[0] = None  # so that every class is heard
    rooms = [
        Room(
            f"room {place}",
            kept,
            draw(late),
            # One that hears everything stays open, so that there always is a plan.
            draw(st.sampled_from([None, None, 552, 570])) if hours and kept is not None else None,
            draw(teams),
            draw(busy),
        )
        for place, kept in enumerate(hears)
    ]
    return Task(tuple(people), tuple(rooms), draw(timings(hours)))


def timings(hours=True):
    breaks = st.sampled_from([(), (), ((550, 561),), ((541, 543), (560, 571))]) if hours else st.just(())
    return st.builds(
        Timing,
        start=st.just(535 if hours else 540),
        minutes=st.sampled_from([2, 3]),
        gap=st.sampled_from([0, 0, 1, 2, 5, 10]) if hours else st.sampled_from([0, 2, 4]),
        prepare=st.sampled_from([0, 5]) if hours else st.just(0),
        breaks=breaks,
    )


def broken_laws(task, plan):
    """Every law that the plan breaks, in words; the count of following team-mates aside."""
    timing, found = task.timing, []
    rooms = {room.name: room for room in task.rooms}
    due = sorted((speaker.number, number) for speaker in task.speakers for number in speaker.classes)
    if due != sorted((one.number, one.class_number) for one in plan.sets):
        found.append("not everybody is heard exactly once on each class")
    for one in plan.sets:
        found += out_of_hours(task, rooms[one.room], one)
    for speaker in task.speakers:
        own = sorted(one for one in plan.sets if one.number == speaker.number)
        if own and own[0].start < speaker.ready:
            found.append(f"{speaker.number} has not come yet")
        found += [f"{one}: they are elsewhere" for one in own if is_within(one, speaker.busy)]
        found += [f"{a} and {b} are too close" for a, b in pairwise(own) if b.start - a.end < timing.gap]
    for name in rooms:
        own = sorted(one for one in plan.sets if one.room == name)
        found += [f"{one}: whoever hears there is elsewhere" for one in own if is_within(one, rooms[name].busy)]
        found += [f"{a} and {b} overlap" for a, b in pairwise(own) if b.start < a.end]
    return found


def is_within(one, times):
    return any(one.start < end and begin < one.end for begin, end in times)


def out_of_hours(task, room, one):
    timing = task.timing
    if one.end - one.start != timing.minutes:
        yield f"{one} is not as long as a set"
    if one.start < max(timing.start + timing.prepare, room.opens):
        yield f"{one} is too early"
    if room.closes is not None and one.end > room.closes:
        yield f"{one} is after the room has closed"
    if any(one.start < end and begin < one.end for begin, end in timing.breaks):
        yield f"{one} is in a break"
    if room.classes is not None and one.class_number not in room.classes:
        yield f"{one} is in a room that does not hear its class"


def following(task, sets):
    """How many speak right after a team-mate in their room."""
    members = Counter(speaker.team for speaker in task.speakers)
    team = {speaker.number: speaker.team if members[speaker.team] > 1 else "" for speaker in task.speakers}
    count = 0
    for room in task.rooms:
        teams = [
            room.last_team if members[room.last_team] > 1 else "",
            *(team[one.number] for one in sorted(sets) if one.room == room.name),
        ]
        count += sum(a == b != "" for a, b in pairwise(teams))
    return count


def clock(task, until):
    """The minutes at which sets begin, as the breaks leave them."""
    timing = task.timing
    minute, found = timing.start + timing.prepare, []
    while minute < until:
        overlapped = [end for begin, end in timing.breaks if minute < end and begin < minute + timing.minutes]
        if overlapped:
            minute = max(overlapped)
            continue
        found.append(minute)
        minute += timing.minutes
    return found


def idle_while_somebody_could_speak(task, plan):
    """Sets that could be moved, alone and without bringing team-mates together, into an earlier free place."""
    taken = {(one.room, one.start) for one in plan.sets}
    free = [place for place in product([r.name for r in task.rooms], clock(task, plan.ends)) if place not in taken]
    found = []
    for one, (room, start) in product(plan.sets, free):
        if start < one.start:
            moved = one._replace(room=room, start=start, end=start + task.timing.minutes)
            others = [other for other in plan.sets if other != one]
            tried = type(plan)((*others, moved), plan.bound)
            if following(task, tried.sets) <= following(task, plan.sets) and not broken_laws(task, tried):
                found.append((one, room, start))
    return found


def least_cost(task, slots, below):
    """The least cost of a plan of at most so many slots, `below` if none costs less: slots, and a wait for each who
    follows a team-mate.

    Simple on purpose: place by place, each room in each slot stays empty or hears one of the sets that are left.
    """
    starts = clock(task, 540 + slots * task.timing.minutes)
    apart = task.timing.minutes + task.timing.gap
    wait = -(-RATHER_WAIT // task.timing.minutes)
    members = Counter(speaker.team for speaker in task.speakers)

    def team_of(name):  # who is alone in it has no team-mates
        return name if members[name] > 1 else ""

    sets = [(speaker, number) for speaker in task.speakers for number in speaker.classes]

    @cache
    def least(place, left, spoke, teams):
        """From this place on, with these sets left, the slot in which each spoke last, and each room's last team."""
        slot, at = divmod(place, len(task.rooms))
        if not left or slot == slots:
            return inf if left else 0
        best = least(place + 1, left, spoke, teams)
        for set_ in left:
            speaker, number = sets[set_]
            spoken = dict(spoke)
            rested = speaker not in spoken or starts[slot] - starts[spoken[speaker]] >= apart
            if not rested or not task.rooms[at].hears(number):
                continue
            elsewhere = *speaker.busy, *task.rooms[at].busy
            if any(starts[slot] < end and begin < starts[slot] + task.timing.minutes for begin, end in elsewhere):
                continue
            others = left - {set_}
            owing = {sets[other][0] for other in others}  # when the others spoke matters no more
            spoken = {who: last for who, last in {**spoken, speaker: slot}.items() if who in owing}
            after = frozenset(spoken.items()), (*teams[:at], team_of(speaker.team), *teams[at + 1 :])
            cost = wait * (team_of(speaker.team) == teams[at] != "")
            best = min(best, cost + (least(place + 1, others, *after) if others else slot + 1))
        return best

    teams = tuple(team_of(room.last_team) for room in task.rooms)
    return min(below, least(0, frozenset(range(len(sets))), frozenset(), teams))
