"""Where people come from, and the teams of one name that come from several places. Plain Python."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from contest.book import entry_columns as column
from contest.book.text import why_not_text
from scoring.core.people import fold
from scoring.core.texts import gettext as _

if TYPE_CHECKING:
    from contest.entries.plan import Draft, Person


def may_be_same(origin: str, other: str) -> bool:
    """Whether somebody from one place may be somebody from the other: nobody said where from, or it is one place."""
    return not origin or not other or fold(origin) == fold(other)


class Origins:
    """From which places each team is known, by division and name.

    A team that is entered keeps its name. One of the same name that comes from elsewhere is called `Barley Hill
    (Perry)`, each time that it comes; where several are new at once, each of them is.
    """

    def __init__(self, entered: Iterable[tuple[str, str, str]]) -> None:
        self._entered: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
        self._heard: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
        for division, team, origin in entered:
            if team:
                self._entered[division, fold(team)].add(fold(origin))

    def hear(self, division: str, team: str, origin: str) -> None:
        """A list names the team, as coming from there."""
        self._heard[division, fold(team)].add(fold(origin))

    def name_of(self, division: str, team: str, origin: str) -> str:
        """What the team that comes from there is called in this contest."""
        if not origin:
            return team
        apart = f"{team} ({origin})"
        if (division, fold(apart)) in self._entered:
            return apart
        there, heard = self._entered.get((division, fold(team))), self._heard[division, fold(team)]
        if there:
            return team if {"", fold(origin)} & there else apart
        return apart if len(heard - {""}) > 1 else team


def tell_teams_apart(drafts: Sequence[Draft], people: Iterable[Person]) -> None:
    """Give the teams of one name that come from several places names of their own."""
    origins = Origins((person.values.division, person.values.team, person.values.came_from) for person in people)
    named = [draft for draft in drafts if not draft.refused and draft.get(column.TEAM)]
    for draft in named:
        origins.hear(draft.division, draft.get(column.TEAM), draft.came_from)
    for draft in named:
        team = draft.get(column.TEAM)
        draft.given[column.TEAM] = called = origins.name_of(draft.division, team, draft.came_from)
        if reason := why_not_text(called, column.called(column.TEAM).lower()):
            draft.refused.append(reason)
        elif called != team:
            told = _("another {team} comes from elsewhere, so it is called {name} here")
            draft.remarks.append(told.format(team=team, name=called))


def remark_namesakes(drafts: Iterable[Draft], people: Iterable[Person]) -> None:
    """Say of whoever is new that somebody of the same name comes from elsewhere: they may be one person."""
    entered: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
    for person in people:
        old = person.values
        where = _("{number}, from {place}").format(number=old.number, place=old.came_from or "–")
        entered[fold(old.first_name), fold(old.last_name)].append((fold(old.came_from), where))
    for draft in drafts:
        if draft.refused or draft.person or not draft.name or not draft.came_from:
            continue
        origin = fold(draft.came_from)
        if others := [where for other, where in entered[draft.name] if other != origin]:
            draft.remarks.append(_("the same name as {who}: look whether they are one person").format(who=others[0]))
        where = _("line {line}, from {place}").format(line=draft.line.number, place=draft.came_from)
        entered[draft.name].append((origin, where))
