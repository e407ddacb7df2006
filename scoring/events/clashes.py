"""Who would have to be in two places at once: at a class or giving reasons in two contests of the day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from itertools import combinations
from typing import NamedTuple

from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.entries.rotation import rotation
from contest.models import Contest
from reasons.models import Slot
from scoring.events.people import Attending, Entry


class Busy(NamedTuple):
    """A time that somebody is taken up, by the clock of the place, and by what."""

    starts: datetime
    ends: datetime
    what: str


class Clash(NamedTuple):
    """Two things that one person would do at once, the earlier first."""

    who: Attending
    first: tuple[Entry, Busy]
    second: tuple[Entry, Busy]

    @property
    def both(self) -> tuple[tuple[Entry, Busy], tuple[Entry, Busy]]:
        return self.first, self.second


def busy_in(contest: Contest) -> dict[int, list[Busy]]:
    """When each contestant is taken up, by their key: their group's turns at the classes that their division judges,
    where the contest has a date and a time to begin, and their reasons as they are planned."""
    taken: dict[int, list[Busy]] = defaultdict(list)
    slots = Slot.objects.filter(room__contest=contest).values_list(
        "contestant", "starts_at", "ends_at", "judging_class__number"
    )
    for key, starts, ends, number in slots:
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


def _by_the_clock(at: datetime) -> datetime:
    return localtime(at).replace(tzinfo=None)
