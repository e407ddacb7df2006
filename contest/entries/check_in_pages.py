"""What check-in shows: who is found by what is typed, and who has arrived.

The page finds people by itself (`static/js/check-in-people.js`), so that the line at the door goes on when the network
does not; `found` is the same for a browser without scripts.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable
from typing import Any, NamedTuple

from django.db.models import F
from django.utils.timezone import localtime

from contest.book.text import LARGEST_NUMBER, whole_number
from contest.models import Contest, Contestant
from contest.web.searching import plain
from scoring.core.people import whole_name

MOST_ROWS = 8
"""People and teams that are shown of all that are found: what fits on a phone under a field."""

LONGEST_SEARCH = 60


class TeamFound(NamedTuple):
    """A team, with its members in the order of their numbers, and those of them who are expected still."""

    name: str
    division: str
    members: list[Contestant]

    @property
    def expected(self) -> list[Contestant]:
        return [member for member in self.members if member.present and not member.checked_in_at]


class Found(NamedTuple):
    """The rows shown, teams first, and how many there are besides."""

    rows: list[TeamFound | Contestant]
    more: int


def known(contest: Contest) -> dict[str, Any]:
    """All whom check-in may be asked for, as the page's script takes it: `people` are number, name, place, time of
    arrival and whether they are expected; `places` are team and division. `version` changes with any of it."""
    rows = contest.contestants.order_by("number").values_list(
        *("number", "first_name", "last_name", "team__name", "division__name", "checked_in_at", "present")
    )
    places: dict[tuple[str, str], int] = {}
    people = []
    for number, first, last, team, division, arrived, present in rows:
        place = places.setdefault((team or "", division), len(places))
        at = localtime(arrived).strftime("%H:%M") if arrived else ""
        people.append([number, whole_name(first, last), place, at, int(present)])
    shown: dict[str, Any] = {"people": people, "places": list(places)}
    return shown | {"version": hashlib.sha256(json.dumps(shown).encode()).hexdigest()[:16]}


def check_in_page(contest: Contest, typed: str, done: Iterable[str]) -> dict[str, Any]:
    """Whoever was asked for, or was just checked in; and how many are still to come."""
    present = contest.contestants.filter(present=True)
    one = _numbered(contest, [typed]).first()
    return {
        "typed": typed.strip(),
        "found": one,
        "rows": found(contest, typed) if typed.strip() and not one else None,
        "done": list(_numbered(contest, done)),
        "arrived": present.filter(checked_in_at__isnull=False).count(),
        "expected": present.count(),
    }


def found(contest: Contest, typed: str) -> Found:
    """Teams and people of whose name, or number, every word that was typed begins a word."""
    words = plain(typed[:LONGEST_SEARCH]).split()
    everybody = contest.contestants.select_related("division", "team").order_by(
        "division__position", "division_id", F("team__name").asc(nulls_last=True), "number"
    )
    people: list[Contestant] = []
    teams: defaultdict[int, list[Contestant]] = defaultdict(list)
    for person in everybody:
        if _begins(words, f"{person.number} {person.first_name} {person.last_name}"):
            people.append(person)
        if person.team and _begins(words, person.team.name):
            teams[person.team.pk].append(person)
    people.sort(key=lambda person: person.number)
    teams_found = [TeamFound(str(members[0].team), members[0].division.name, members) for members in teams.values()]
    rows: list[TeamFound | Contestant] = [*teams_found, *people]
    return Found(rows[:MOST_ROWS], len(rows[MOST_ROWS:]))


def number_of(text: str) -> int | None:
    """The number that somebody may have and that was typed; None where it is none."""
    number = whole_number(text.strip())
    return number if number and number <= LARGEST_NUMBER else None


def _begins(words: Iterable[str], text: str) -> bool:
    begun = plain(text).split()
    return all(any(word.startswith(typed) for word in begun) for typed in words)


def _numbered(contest: Contest, texts: Iterable[str]) -> Any:
    numbers = [number for text in texts if (number := number_of(text)) is not None]
    people = contest.contestants.select_related("division", "team")
    return people.filter(number__in=numbers).order_by("number")
