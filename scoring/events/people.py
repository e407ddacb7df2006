"""Who is in which contests of a day: found by name, checked in for all of them in one press, and told where two names
may be one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.entries.arrivals import check_in_together, undo_together
from contest.entries.matching import nearly
from contest.models import Contest, Contestant, Team
from contest.web.searching import plain
from scoring.core.people import fold
from scoring.core.sweepstakes import person_key

MOST_SHOWN = 50


class Entry(NamedTuple):
    """Somebody in one contest; `arrived` is the time, empty for who is not in."""

    pk: int
    contest: Contest
    number: int
    present: bool
    arrived: str


class Attending(NamedTuple):
    """A person of the day: one name and team, in one contest or several."""

    name: str
    team: str
    entries: list[Entry]

    @property
    def expected(self) -> list[Entry]:
        return [entry for entry in self.entries if entry.present and not entry.arrived]

    @property
    def is_in(self) -> list[Entry]:
        return [entry for entry in self.entries if entry.arrived]


class SameClub(NamedTuple):
    """A club that may be the one that another contest knows as `other`."""

    team: Team
    contest: Contest
    other: Team
    other_contest: Contest


def people_of(contests: Sequence[Contest]) -> list[Attending]:
    """Everybody of the day by team and name; whoever has no name, or one that two of a contest have, stands alone."""
    by_key: dict[str, Attending] = {}
    for contest in contests:
        taken: set[str] = set()
        for one in contest.contestants.select_related("team").order_by("number"):
            team = one.team.name if one.team else ""
            key = person_key(one.first_name, one.last_name, team)
            if not key or key in taken:
                key = f"#{one.pk}"
            taken.add(key)
            name = " ".join(filter(None, (one.first_name, one.last_name)))
            who = by_key.setdefault(key, Attending(name, team, []))
            arrived = localtime(one.checked_in_at).strftime("%H:%M") if one.checked_in_at else ""
            who.entries.append(Entry(one.pk, contest, one.number, one.present, arrived))
    return sorted(by_key.values(), key=lambda who: (fold(who.team), fold(who.name)))


def found(people: Iterable[Attending], wanted: str) -> list[Attending]:
    """Those whose name, team or numbers hold each word of what was typed; without words, those who are expected."""
    words = plain(wanted).split()
    if not words:
        return [who for who in people if who.expected]
    return [
        who
        for who in people
        if all(word in plain(f"{who.name} {who.team} {' '.join(str(e.number) for e in who.entries)}") for word in words)
    ]


@changes
def arrive(contests: Sequence[Contest], keys: Collection[int], by: str, undo: bool = False) -> int:
    """Note in every contest of the day that these entries' people are here, or take it back; return how many entries.

    Contests are changed in the order of their keys, so that two desks never wait for each other. Raises NotPossible
    where nothing is left to do.
    """
    numbers: dict[int, list[int]] = defaultdict(list)
    rows = Contestant.objects.filter(pk__in=keys, contest__in=contests)
    for row in rows.filter(checked_in_at__isnull=False) if undo else rows.filter(checked_in_at=None, present=True):
        numbers[row.contest_id].append(row.number)
    if not numbers:
        raise NotPossible(_("none of them is checked in") if undo else _("all of them are in already"))
    together = undo_together if undo else check_in_together
    of = {contest.pk: contest for contest in contests}
    return sum(len(together(of[pk], numbers[pk], by)) for pk in sorted(numbers))


def nearly_the_same(contests: Sequence[Contest]) -> list[SameClub]:
    """Clubs whose name is nearly, and not quite, that of a club of an earlier contest."""
    known: dict[str, tuple[Team, Contest]] = {}
    made = []
    for contest in contests:
        teams = list(Team.objects.filter(division__contest=contest).select_related("division"))
        there = {fold(team.name) for team in teams}
        others = {team.name: (team, of) for key, (team, of) in known.items() if key not in there}
        for team in teams:
            if fold(team.name) not in known and (other := nearly(team.name, others)):
                made.append(SameClub(team, contest, *others[other]))
        for team in teams:
            known.setdefault(fold(team.name), (team, contest))
    return made
