"""When the people of a contest are taken up by the other contests of its event, so that nobody is in two places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from typing import NamedTuple

from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.entries.across import people_of
from contest.entries.rotation import rotation
from contest.models import Contest
from contest.models.events import beside
from reasons.day.hours import day_of
from reasons.models import ReasonsDay, Room, Slot
from reasons.planning import PlannedSet
from reasons.planning.clock import DAY
from scoring.core.people import fold

Times = tuple[tuple[int, int], ...]
"""Pairs of minutes after midnight of the contest's day, from and to."""


class Busy(NamedTuple):
    """A time that somebody is taken up, by the clock of the place, and by what."""

    starts: datetime
    ends: datetime
    what: str


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """When contestants, by number, and rooms, by key, cannot be had, as somebody is in one of the `contests`."""

    contests: tuple[str, ...] = ()
    people: Mapping[int, Times] = field(default_factory=dict)
    rooms: Mapping[int, Times] = field(default_factory=dict)

    def clashing(self, sets: Sequence[PlannedSet]) -> list[PlannedSet]:
        """The sets that overlap such a time all the same: of those that had begun, or waited at a door."""
        return [
            planned
            for planned in sets
            if any(
                planned.start < end and begin < planned.end
                for begin, end in (*self.people.get(planned.number, ()), *self.rooms.get(int(planned.room), ()))
            )
        ]


def busy_in(contest: Contest) -> dict[int, list[Busy]]:
    """When each contestant is taken up, by their key: their group's turns at the classes that their division judges,
    where the contest has a date and a time to begin, and their reasons as they are planned."""
    taken: dict[int, list[Busy]] = defaultdict(list)
    slots = Slot.objects.filter(room__contest=contest).exclude(state=Slot.State.ABSENT)
    for key, starts, ends, number in slots.values_list("contestant", "starts_at", "ends_at", "judging_class__number"):
        what = _("reasons on class {number}").format(number=number)
        taken[key].append(Busy(_by_the_clock(starts), _by_the_clock(ends), what))
    day = contest.held_on
    if day is None or contest.starts_at is None:
        return taken
    people = list(contest.contestants.filter(present=True).exclude(group=""))
    letters = sorted({person.group for person in people})
    classes = [judged for judged in contest.classes.prefetch_related("divisions") if not judged.void]
    judges = {judged.pk: {division.pk for division in judged.divisions.all()} for judged in classes}
    for turn in rotation(len(letters), classes, contest.starts_at, contest.minutes_of):
        assert turn.starts is not None and turn.ends is not None  # the contest has a time to begin
        starts, ends = datetime.combine(day, turn.starts), datetime.combine(day, turn.ends)
        at = dict(zip(letters, turn.places, strict=True))
        for person in people:
            judged = at[person.group]
            if judged is not None and person.division_id in judges[judged.pk]:
                what = _("class {number}").format(number=judged.number)
                taken[person.pk].append(Busy(starts, ends, what))
    return taken


def hearing_in(contest: Contest) -> dict[str, list[tuple[datetime, datetime]]]:
    """When each official of a contest hears a set, by their folded name."""
    taken: dict[str, list[tuple[datetime, datetime]]] = defaultdict(list)
    slots = Slot.objects.filter(room__contest=contest).exclude(state=Slot.State.ABSENT)
    for name, starts, ends in slots.values_list("room__officials__name", "starts_at", "ends_at"):
        if name:
            taken[fold(name)].append((_by_the_clock(starts), _by_the_clock(ends)))
    return taken


def elsewhere(contest: Contest) -> Elsewhere:
    """What the other contests of the event leave of everybody's day. Between a set elsewhere and one here everybody has
    the time that they have between two sets; officials, known by name, need none."""
    others = beside(contest)
    if not others:
        return Elsewhere()
    day: ReasonsDay | None = ReasonsDay.objects.filter(contest=contest).first()
    rest = day.minutes_between_sets if day else 0
    busy: dict[int, list[Busy]] = {}
    hearing: dict[str, list[tuple[datetime, datetime]]] = defaultdict(list)
    for other in others:
        busy |= busy_in(other)
        for name, times in hearing_in(other).items():
            hearing[name] += times
    people: dict[int, Times] = {}
    for who in people_of([contest, *others]):
        here = next((entry for entry in who.entries if entry.contest == contest), None)
        taken = [one for entry in who.entries if entry is not here for one in busy.get(entry.pk, ())]
        if here and taken:
            people[here.number] = _times(contest, [(one.starts, one.ends) for one in taken], rest)
    rooms: dict[int, Times] = {}
    for room in Room.objects.filter(contest=contest).prefetch_related("officials"):
        heard = [one for official in room.officials.all() for one in hearing.get(fold(official.name), ())]
        if heard:
            rooms[room.pk] = _times(contest, heard, 0)
    return Elsewhere(tuple(map(str, others)), people, rooms)


def _times(contest: Contest, taken: Sequence[tuple[datetime, datetime]], rest: int) -> Times:
    """As minutes of the contest's day, those of other days left out."""
    midnight = datetime.combine(day_of(contest), time())

    def minute(when: datetime) -> int:
        return (when - midnight) // timedelta(minutes=1)

    up = timedelta(seconds=59)
    times = {(minute(starts) - rest, minute(ends + up) + rest) for starts, ends in taken}
    return tuple(sorted((max(begin, 0), end) for begin, end in times if end > 0 and begin < DAY))


def _by_the_clock(at: datetime) -> datetime:
    return localtime(at).replace(tzinfo=None)
