"""One list as a page shows it: searched and sorted, with how each tie fell and what may still change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple, TypeVar
from urllib.parse import urlencode

from contest.web.searching import plain
from scoring.core.due import IN_DOUBT, MISSING, READ_ONCE, Unsettled
from scoring.core.explain import how_ties_fell, list_names, listed, standardised_note
from scoring.core.items import items_of
from scoring.core.people import shown_name
from scoring.core.points import figure, in_thousands
from scoring.core.record import Record
from scoring.core.result import OVERALL, Result, Standing
from scoring.core.sets import list_in_its_set, plain_division
from scoring.core.standardising import is_standardising
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop, ngettext, ngettext_noop
from scoring.standings.rows import short_by, waiting_for_keys

INDIVIDUAL_SORTS = {
    "rank": gettext_noop("Rank"),
    "number": gettext_noop("No."),
    "name": gettext_noop("Name"),
    "team": gettext_noop("Team"),
    "total": gettext_noop("Total"),
}
TEAM_SORTS = {name: INDIVIDUAL_SORTS[name] for name in ("rank", "team", "total")}
STYLES = {"number": "no"}
"""What the style sheet calls a column, where it is not the column's own name."""

KINDS_OPEN = {
    "class": ngettext_noop("{count} card", "{count} cards"),
    "reasons": ngettext_noop("{count} reasons score", "{count} reasons scores"),
    "part": ngettext_noop("{count} mark", "{count} marks"),
}
WHY_OPEN = {
    ("class", IN_DOUBT): ngettext_noop("{count} card is in doubt", "{count} cards are in doubt"),
    ("class", MISSING): ngettext_noop("{count} card is missing", "{count} cards are missing"),
    ("class", READ_ONCE): ngettext_noop("{count} card is read once", "{count} cards are read once"),
    ("reasons", IN_DOUBT): ngettext_noop("{count} reasons score is in doubt", "{count} reasons scores are in doubt"),
    ("reasons", MISSING): ngettext_noop("{count} reasons score is missing", "{count} reasons scores are missing"),
    ("reasons", READ_ONCE): ngettext_noop("{count} reasons score is read once", "{count} reasons scores are read once"),
    ("part", IN_DOUBT): ngettext_noop("{count} mark is in doubt", "{count} marks are in doubt"),
    ("part", MISSING): ngettext_noop("{count} mark is missing", "{count} marks are missing"),
    ("part", READ_ONCE): ngettext_noop("{count} mark is read once", "{count} marks are read once"),
}
"""By what it is of and how far it is, why a list may still change."""


class IndividualLine(NamedTuple):
    """A row of a list. `short` is the total's `short_by`; `tie` how a tie fell; `open` what may still change; `hidden`
    whether it is not what is looked for.

    A plain tuple: a list may be long, and a template unpacks it several times faster than it looks names up.
    """

    rank: int
    number: int
    name: str
    team: str
    total: str
    short: int
    tie: str
    open: str
    hidden: bool = False


class TeamLine(NamedTuple):
    """A row of a list of teams: who counts in it, and who does not. `pk` is for whoever links to the team's scores."""

    rank: int
    team: str
    counting: str
    others: str
    total: str
    short: int
    tie: str
    open: str
    hidden: bool = False
    pk: int = 0


Line = TypeVar("Line", IndividualLine, TeamLine)


@dataclass(frozen=True, slots=True)
class View:
    """How somebody looks at a list: what they search, and the columns they sort individuals and teams by.

    `wanted` is searched in numbers and teams' names, not in names of people: it stands in an address.
    """

    wanted: str = ""
    sort: str = "rank"
    down: bool = False
    team_sort: str = "rank"
    team_down: bool = False

    @property
    def query(self) -> dict[str, str]:
        """What of it differs from the plainest view, as an address has it."""
        values = {
            "find": self.wanted,
            "sort": self.sort if self.sort != "rank" else "",
            "down": "1" if self.down else "",
            "teams": self.team_sort if self.team_sort != "rank" else "",
            "teams-down": "1" if self.team_down else "",
        }
        return {name: value for name, value in values.items() if value}


class Head(NamedTuple):
    """A column's head: `query` sorts by it, or turns it round; `sorted` is what `aria-sort` says."""

    style: str
    label: str
    query: str
    sorted: str


SORTED = {
    "ascending": gettext_noop(", sorted by {column}"),
    "descending": gettext_noop(", sorted by {column}, the other way round"),
}
"""How a table's caption says it."""


def standings_page(
    record: Record,
    result: Result,
    standing: Standing | None,
    address: Callable[[str, str], str],
    unsettled: Unsettled | None = None,
    view: View | None = None,
) -> dict[str, Any]:
    """One list: its rows, the way to every other list, and why it may still change.

    `address` says where the list of a division and a code stands. Without a `view` the columns cannot be sorted.
    """
    if standing is None:
        return {"standing": None}
    unsettled = unsettled or Unsettled()
    by = view or View()
    divisions = record.division_names
    title = list_names(record)[standing.code]
    individuals, teams = lines_of(record, result, standing, unsettled)
    individuals = _sorted(_found(individuals, by.wanted, lambda row: f"{row.number} {row.team}"), by.sort, by.down)
    teams = _found(teams, by.wanted, lambda row: f"{row.team} {row.counting} {row.others}")
    teams = _sorted(teams, by.team_sort, by.team_down)
    heads, team_heads = _heads(view, individuals), _team_heads(view)
    looked_for = f"?{urlencode(by.query)}" if by.query else ""
    # A column that would be empty in every row is left out.
    names, in_teams = any(row.name for row in individuals), any(row.team for row in individuals)
    notes = any(row.tie or row.open for row in individuals)
    team_notes = any(row.tie or row.open for row in teams)
    return {
        "standing": standing,
        "division": divisions[standing.division],
        "title": title,
        "division_links": _division_links(record, result, standing, lambda *of: address(*of) + looked_for),
        "list_links": [
            {
                "name": list_names(record)[s.code],
                "address": address(s.division, s.code) + looked_for,
                "here": s is standing,
            }
            for s in result.standings
            if s.division == standing.division
        ],
        "provisional": why_provisional(record, unsettled, standing),
        "standardised": standardised_note() if is_standardised(record, standing) else "",
        "view": view,
        "individuals": individuals,
        "individuals_counted": _of(individuals, _contestants),
        "none_found": all(row.hidden for row in individuals),
        "names": names,
        "in_teams": in_teams,
        "notes": notes,
        "heads": heads,
        "sorted": _said(heads),
        "columns": len(heads) + notes,
        "teams": teams,
        "teams_counted": _of(teams, _teams),
        "no_team_found": all(row.hidden for row in teams),
        "team_notes": team_notes,
        "team_heads": team_heads,
        "teams_sorted": _said(team_heads),
        "team_columns": len(team_heads) + team_notes,
        "show_all": f"?{urlencode(replace(by, wanted='').query)}",
    }


def lines_of(
    record: Record, result: Result, standing: Standing, unsettled: Unsettled
) -> tuple[list[IndividualLine], list[TeamLine]]:
    """Every row of a list, individuals and teams, best first."""
    fell, teams_fell = how_ties_fell(record, result, standing)
    record, result, standing = list_in_its_set(record, result, standing)
    here = [c for c in record.contestants if c.division == standing.division]
    names = {c.number: shown_name(c, record.rules.show_people_as) for c in here}
    items = items_of(record, standing.division, standing.code)
    open_of: dict[int, list[str]] = {}
    for (number, item), _word in unsettled.items.items():
        if item in items:
            open_of.setdefault(number, []).append(item)
    members: dict[str, list[int]] = {}
    for contestant in here:
        if contestant.team and contestant.present:
            members.setdefault(contestant.team, []).append(contestant.number)
    totals = [figure(row.total) for row in standing.individuals]
    individuals = [
        IndividualLine(row.rank, row.number, names[row.number], row.team, total, short, tie, may_change)
        for row, total, short, tie in zip(standing.individuals, totals, short_by(totals), fell, strict=True)
        for may_change in [open_in_words(open_of.get(row.number, ()))]
    ]
    own: dict[str, list[str]] = {}
    for (division, team, item), _word in unsettled.team_items.items():
        if division == standing.division and item in items:
            own.setdefault(team, []).append(item)
    totals = [figure(row.total) for row in standing.teams]
    teams = []
    for row, total, short, tie in zip(standing.teams, totals, short_by(totals), teams_fell, strict=True):
        open_items = own.get(row.team, []) + [item for number in members[row.team] for item in open_of.get(number, ())]
        others = sorted(set(members[row.team]).difference(row.counting))
        counting, not_counting = ", ".join(map(str, row.counting)), ", ".join(map(str, others))
        may_change = open_in_words(open_items)
        teams.append(TeamLine(row.rank, row.team, counting, not_counting, total, short, tie, may_change))
    return individuals, teams


def is_standardised(record: Record, standing: Standing) -> bool:
    """Whether standardised reasons count in a list."""
    items, division = items_of(record, standing.division, standing.code), plain_division(standing.division)
    counting = [judged for judged in record.classes if division in judged.counting_reasons and judged.counts_reasons]
    return is_standardising(record) and any(f"reasons:{judged.number}" in items for judged in counting)


def why_provisional(record: Record, unsettled: Unsettled, standing: Standing) -> list[str]:
    """Why a list may still change, in words; empty if nothing is known to be open."""
    items = items_of(record, standing.division, standing.code)
    here = {row.number for row in (*standing.individuals, *standing.apart)}
    words = Counter(
        (item.partition(":")[0], word)
        for (number, item), word in unsettled.items.items()
        if number in here and item in items
    )
    words.update(
        ("part", word)
        for (division, _team, item), word in unsettled.team_items.items()
        if division == plain_division(standing.division) and item in items
    )
    reasons = [
        ngettext(*WHY_OPEN[kind, word], count).format(count=in_thousands(count))
        for kind in KINDS_OPEN
        for (of, word), count in sorted(words.items())
        if of == kind
    ]
    reasons.append(keys_in_words([number for number in unsettled.keys if f"class:{number}" in items]))
    return [*filter(None, reasons), *waiting_for_keys(record, standing.division, items)]


def open_in_words(items: Collection[str]) -> str:
    """What of a total is not settled: `2 cards and 1 mark not settled`; empty if all of it is."""
    counts = Counter(item.partition(":")[0] for item in items)
    words = listed(
        ngettext(*KINDS_OPEN[kind], counts[kind]).format(count=in_thousands(counts[kind]))
        for kind in KINDS_OPEN
        if counts[kind]
    )
    return _("{what} not settled").format(what=words) if words else ""


def keys_in_words(classes: Sequence[int]) -> str:
    """Which keys are not confirmed: `the keys of classes 1 and 2 are not confirmed`; empty if all are."""
    if not classes:
        return ""
    return ngettext(
        "the key of class {classes} is not confirmed", "the keys of classes {classes} are not confirmed", len(classes)
    ).format(classes=listed(map(str, sorted(classes))))


def _heads(view: View | None, rows: list[IndividualLine]) -> list[Head]:
    """The heads of the individuals' columns, of those that are not empty."""
    named = [by for by in ("name", "team") if any(getattr(row, by) for row in rows)]
    heads = []
    for by in ("rank", "number", *named, "total"):
        query, is_sorted = "", ""
        if view:
            turned = view.sort == by and not view.down
            query = _address(replace(view, sort=by, down=turned), "individuals")
            is_sorted = _sorted_word(view.sort == by, view.down)
        heads.append(Head(STYLES.get(by, by), _(INDIVIDUAL_SORTS[by]), query, is_sorted))
    return heads


def _team_heads(view: View | None) -> list[Head]:
    heads = []
    for by, label in TEAM_SORTS.items():
        query, is_sorted = "", ""
        if view:
            turned = view.team_sort == by and not view.team_down
            query = _address(replace(view, team_sort=by, team_down=turned), "teams")
            is_sorted = _sorted_word(view.team_sort == by, view.team_down)
        heads.append(Head(by, _(label), query, is_sorted))
    return [*heads[:2], Head("counting", _("Who counts"), "", ""), *heads[2:]]


def _address(view: View, part: str) -> str:
    """Leads back to the same part of the page, where whoever sorts by keyboard goes on."""
    return f"?{urlencode(view.query)}#{part}"


def _said(heads: list[Head]) -> str:
    """How a table is sorted, as its caption says it; nothing of a table that cannot be sorted."""
    return next((_(SORTED[head.sorted]).format(column=head.label) for head in heads if head.sorted), "")


def _sorted_word(is_sorted: bool, down: bool) -> str:
    return ("descending" if down else "ascending") if is_sorted else ""


def _of(rows: Sequence[Line], of_all: Callable[[int], str]) -> str:
    """How many rows there are, and how many of them are not hidden; `of_all` says the former."""
    shown = sum(not row.hidden for row in rows)
    if shown == len(rows):
        return of_all(len(rows))
    return _("{shown} of {all}").format(shown=in_thousands(shown), all=of_all(len(rows)))


def _contestants(count: int) -> str:
    return ngettext("{count} contestant", "{count} contestants", count).format(count=in_thousands(count))


def _teams(count: int) -> str:
    return ngettext("{count} team", "{count} teams", count).format(count=in_thousands(count))


def _found(rows: list[Line], wanted: str, text: Callable[[Line], str]) -> list[Line]:
    """The rows with those hidden that are not what is wanted: they are all on the page, so that a script can search
    on without asking."""
    words = plain(wanted).split()
    if not words:
        return rows
    return [row._replace(hidden=not all(word in plain(text(row)) for word in words)) for row in rows]


def _sorted(rows: list[Line], by: str, down: bool) -> list[Line]:
    """Rows by a column; where that is equal, as they were. A total is sorted as the rank is, the best first."""
    if by in ("name", "team"):
        rows = sorted(rows, key=lambda row: (not getattr(row, by), plain(getattr(row, by))))
    elif by == "number":
        rows = sorted(rows, key=lambda row: getattr(row, by))
    return rows[::-1] if down else rows


def _division_links(
    record: Record, result: Result, standing: Standing, address: Callable[[str, str], str]
) -> list[dict[str, Any]]:
    """Every division, at the list that is shown now if it has that one, else at its overall list."""
    lists = {(s.division, s.code) for s in result.standings}
    links = []
    for division in record.listed_divisions:
        code = standing.code if (division.code, standing.code) in lists else OVERALL
        here = division.code == standing.division
        links.append({"name": division.name, "address": address(division.code, code), "here": here})
    return links
