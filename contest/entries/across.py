"""Who is in which contests of an event: known by name and team, or as it was said."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from django.utils.timezone import localtime

from contest.models import Contest, EventPerson
from scoring.core.people import fold, whole_name
from scoring.core.sweepstakes import person_key


class Entry(NamedTuple):
    """Somebody in one contest; `arrived` is the time, empty for who is not in."""

    pk: int
    contest: Contest
    number: int
    present: bool
    arrived: str


class Attending(NamedTuple):
    """A person of the day, in one contest or several. `said` is whether it was said who they are."""

    key: str
    name: str
    team: str
    entries: list[Entry]
    said: bool = False

    @property
    def expected(self) -> list[Entry]:
        return [entry for entry in self.entries if entry.present and not entry.arrived]

    @property
    def is_in(self) -> list[Entry]:
        return [entry for entry in self.entries if entry.arrived]


def keys_said(contests: Sequence[Contest]) -> dict[int, str]:
    """By contestant, the key of whoever it was said that they are."""
    rows = EventPerson.objects.filter(place__contest__in=contests).values_list("contestant", "together")
    return {contestant: f"={together}" for contestant, together in rows}


def people_of(contests: Sequence[Contest]) -> list[Attending]:
    """Everybody of the day by team and name; whoever has no name, or one that two of a contest have, stands alone."""
    by_key: dict[str, Attending] = {}
    said = keys_said(contests)
    for contest in contests:
        taken: set[str] = set()
        for one in contest.contestants.select_related("team").order_by("number"):
            team = one.team.name if one.team else ""
            key = said.get(one.pk) or person_key(one.first_name, one.last_name, team)
            if not key or key in taken:
                key = f"#{one.pk}"
            taken.add(key)
            name = whole_name(one.first_name, one.last_name)
            who = by_key.setdefault(key, Attending(key, name, team, [], one.pk in said))
            arrived = localtime(one.checked_in_at).strftime("%H:%M") if one.checked_in_at else ""
            who.entries.append(Entry(one.pk, contest, one.number, one.present, arrived))
    return sorted(by_key.values(), key=lambda who: (fold(who.team), fold(who.name)))
