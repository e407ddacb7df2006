"""Who goes on, list by list, in words: for the page and for paper."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from scoring.board.awards import ListKey
from scoring.core.explain import listed
from scoring.core.going_on import ALTERNATE, DECLINED, GOES, WITH_TEAM, Chosen, Row
from scoring.core.points import figure
from scoring.core.record import Contestant
from scoring.next_level.choosing import Choice

SIGNS = {GOES: "✓", ALTERNATE: "◐", DECLINED: "✕", WITH_TEAM: "–"}
STATES = {
    DECLINED: gettext_lazy("does not go"),
    WITH_TEAM: gettext_lazy("goes with the team"),
}


class Line(NamedTuple):
    """A row in words. `who` is what a form names the row by; `reason` says why somebody does not go, and `pk` is the
    row that says so, 0 where there is none."""

    rank: int
    number: int | None
    name: str
    team: str
    total: str
    sign: str
    state: str
    who: str
    goes: bool
    reason: str = ""
    pk: int = 0


class Section(NamedTuple):
    key: ListKey
    title: str
    lines: list[Line]
    notes: list[str]


def sections(choice: Choice, name_of: Callable[[Contestant], str]) -> list[Section]:
    """Each list with who goes, who stands in and who is passed over; `name_of` says a contestant's name."""
    return [_section(choice, chosen, name_of) for chosen in choice.chosen]


def _section(choice: Choice, chosen: Chosen, name_of: Callable[[Contestant], str]) -> Section:
    key = ListKey(*chosen.wanted[:3])
    title = choice.titles.get(key, " ".join(key))
    lines = [_line(choice, chosen, row, name_of) for row in chosen.rows]
    return Section(key, title, lines, list(_notes(chosen)))


def _line(choice: Choice, chosen: Chosen, row: Row, name_of: Callable[[Contestant], str]) -> Line:
    division = chosen.wanted.division
    is_person = isinstance(row.who, int)
    why = next(
        (one for one in choice.not_coming if one.who == row.who and (is_person or one.division == division)), None
    )
    here = [person for person in choice.record.contestants if person.division == division and person.present]
    common = (figure(row.total), SIGNS[row.state], _state(row), str(row.who), row.state in (GOES, ALTERNATE))
    told = (why.reason, why.pk) if why else ("", 0)
    if isinstance(row.who, int):
        person = next(person for person in choice.record.contestants if person.number == row.who)
        return Line(row.rank, row.who, name_of(person), person.team, *common, *told)
    going = [one for one in here if one.team == row.who and one.number not in choice.declined.people]
    members = ", ".join(name_of(person) or str(person.number) for person in going)
    return Line(row.rank, None, members, row.who, *common, *told)


def _state(row: Row) -> str:
    if row.state == GOES:
        return _("goes, moved up") if row.moved_up else _("goes")
    if row.state == ALTERNATE:
        return _("alternate {place}").format(place=row.at)
    return str(STATES[row.state])


def _notes(chosen: Chosen) -> list[str]:
    notes = []
    if chosen.shared:
        notes.append(_("The last who goes and the first who does not share a rank. Decide the tie, or let both go."))
    if lacking := chosen.lacking:
        text = ngettext("Nobody is left for {count} place.", "Nobody is left for {count} places.", lacking)
        notes.append(text.format(count=lacking))
    return notes


def going_in_words(choice: Choice) -> str:
    """How many go on: `2 teams and 11 contestants`."""
    teams = sum(len(chosen.going) for chosen in choice.chosen if chosen.wanted.kind == "teams")
    people = len(choice.people)
    told = [ngettext("{count} contestant", "{count} contestants", people).format(count=people)]
    if teams:
        told.insert(0, ngettext("{count} team", "{count} teams", teams).format(count=teams))
    return listed(told)
