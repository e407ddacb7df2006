"""One list as a page shows it: searched and sorted, with how each tie fell and what may still change."""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple, TypeVar
from urllib.parse import urlencode

from scoring.due import Unsettled
from scoring.explain import STANDARDISED, counted, figure, how_ties_fell, list_names, listed
from scoring.pages import short_by, waiting_for_keys
from scoring.people import shown_name
from scoring.record import Record
from scoring.result import OVERALL, PLACING, REASONS, Result, Standing

INDIVIDUAL_SORTS = {"rank": "Rank", "number": "No.", "name": "Name", "team": "Team", "total": "Total"}
TEAM_SORTS = {"rank": "Rank", "team": "Team", "total": "Total"}
STYLES = {"number": "no"}
"""What the style sheet calls a column, where it is not the column's own name."""

KINDS_OPEN = {"class": "card", "reasons": "reasons score", "part": "mark"}


class IndividualLine(NamedTuple):
    """A row of a list. `short` is the total's `short_by`; `tie` how a tie fell; `open` what may still change.

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
    divisions = {division.code: division.name for division in record.divisions}
    title = list_names(record)[standing.code]
    individuals, teams = lines_of(record, result, standing, unsettled)
    everything = len(individuals), len(teams)
    individuals = _found(individuals, by.wanted, lambda row: f"{row.number} {row.team}")
    individuals = _sorted(individuals, by.sort, by.down)
    teams = _found(teams, by.wanted, lambda row: f"{row.team} {row.counting} {row.others}")
    teams = _sorted(teams, by.team_sort, by.team_down)
    # A column that would be empty in every row is left out.
    names, in_teams = any(row.name for row in individuals), any(row.team for row in individuals)
    notes = any(row.tie or row.open for row in individuals)
    team_notes = any(row.tie or row.open for row in teams)
    return {
        "standing": standing,
        "division": divisions[standing.division],
        "title": title,
        "division_links": _division_links(record, result, standing, address),
        "list_links": [
            {"name": list_names(record)[s.code], "address": address(s.division, s.code), "here": s is standing}
            for s in result.standings
            if s.division == standing.division
        ],
        "provisional": why_provisional(record, unsettled, standing),
        "standardised": STANDARDISED if is_standardised(record, standing) else "",
        "view": view,
        "individuals": individuals,
        "individuals_counted": _of(len(individuals), everything[0], "contestant"),
        "has_individuals": everything[0] > 0,
        "names": names,
        "in_teams": in_teams,
        "notes": notes,
        "heads": _heads(view, [*names * ["name"], *in_teams * ["team"]]),
        "columns": 3 + names + in_teams + notes,
        "teams": teams,
        "teams_counted": _of(len(teams), everything[1], "team"),
        "has_teams": everything[1] > 0,
        "team_notes": team_notes,
        "team_heads": _team_heads(view),
        "team_columns": 4 + team_notes,
    }


def lines_of(
    record: Record, result: Result, standing: Standing, unsettled: Unsettled
) -> tuple[list[IndividualLine], list[TeamLine]]:
    """Every row of a list, individuals and teams, best first."""
    fell, teams_fell = how_ties_fell(record, result, standing)
    here = [c for c in record.contestants if c.division == standing.division]
    names = {c.number: shown_name(c, record.rules.show_people_as) for c in here}
    items = items_of(record, standing.code)
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
        IndividualLine(
            row.rank, row.number, names[row.number], row.team, total, short, tie, _open(open_of.get(row.number, ()))
        )
        for row, total, short, tie in zip(standing.individuals, totals, short_by(totals), fell, strict=True)
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
        counting = ", ".join(map(str, row.counting))
        teams.append(
            TeamLine(row.rank, row.team, counting, ", ".join(map(str, others)), total, short, tie, _open(open_items))
        )
    return individuals, teams


def items_of(record: Record, code: str) -> set[str]:
    """The items, such as `class:3`, that a list is made of."""
    found = set()
    for judged in record.classes:
        if code in (OVERALL, PLACING, judged.category):
            found.add(f"class:{judged.number}")
        if code in (OVERALL, REASONS) or (code == judged.category and record.rules.reasons_in_category):
            found.add(f"reasons:{judged.number}")
    return found | {f"part:{part.code}" for part in record.parts if code in (OVERALL, part.category)}


def is_standardised(record: Record, standing: Standing) -> bool:
    """Whether standardised reasons count in a list."""
    items = items_of(record, standing.code)
    given = [judged for judged in record.classes if standing.division in judged.reasons and judged.counts_reasons]
    return record.rules.reasons_standardised and any(f"reasons:{judged.number}" in items for judged in given)


def why_provisional(record: Record, unsettled: Unsettled, standing: Standing) -> list[str]:
    """Why a list may still change, in words; empty if nothing is known to be open."""
    items = items_of(record, standing.code)
    here = {c.number for c in record.contestants if c.division == standing.division}
    words = Counter(
        (item.partition(":")[0], word)
        for (number, item), word in unsettled.items.items()
        if number in here and item in items
    )
    words.update(
        ("part", word)
        for (division, _team, item), word in unsettled.team_items.items()
        if division == standing.division and item in items
    )
    reasons = [
        f"{counted(count, f'{KINDS_OPEN[kind]} is {word}', f'{KINDS_OPEN[kind]}s are {word}')}"
        for kind in KINDS_OPEN
        for (of, word), count in sorted(words.items())
        if of == kind
    ]
    judged_here = [c for c in record.classes if standing.division in c.divisions and f"class:{c.number}" in items]
    once = [str(judged.number) for judged in judged_here if judged.number in unsettled.keys]
    if once:
        is_not = "is not confirmed" if len(once) == 1 else "are not confirmed"
        reasons.append(f"the key{'s' if len(once) > 1 else ''} of {_classes(once)} {is_not}")
    return reasons + waiting_for_keys(record, standing.division)


def _heads(view: View | None, named: list[str]) -> list[Head]:
    """The heads of the individuals' columns; `named` are those between number and total that are not empty."""
    found = []
    for by in ("rank", "number", *named, "total"):
        query, is_sorted = "", ""
        if view:
            turned = view.sort == by and not view.down
            query, is_sorted = _address(replace(view, sort=by, down=turned)), _sorted_word(view.sort == by, view.down)
        found.append(Head(STYLES.get(by, by), INDIVIDUAL_SORTS[by], query, is_sorted))
    return found


def _team_heads(view: View | None) -> list[Head]:
    found = []
    for by, label in TEAM_SORTS.items():
        query, is_sorted = "", ""
        if view:
            turned = view.team_sort == by and not view.team_down
            query = _address(replace(view, team_sort=by, team_down=turned))
            is_sorted = _sorted_word(view.team_sort == by, view.team_down)
        found.append(Head(by, label, query, is_sorted))
    return [*found[:2], Head("counting", "Who counts", "", ""), *found[2:]]


def _address(view: View) -> str:
    return f"?{urlencode(view.query)}"


def _sorted_word(is_sorted: bool, down: bool) -> str:
    return ("descending" if down else "ascending") if is_sorted else ""


def _classes(numbers: Sequence[str]) -> str:
    return f"class {numbers[0]}" if len(numbers) == 1 else f"classes {listed(numbers)}"


def _open(items: Collection[str]) -> str:
    """What of a row is not settled: `2 cards and 1 mark not settled`."""
    counts = Counter(item.partition(":")[0] for item in items)
    words = listed(counted(counts[kind], KINDS_OPEN[kind]) for kind in KINDS_OPEN if counts[kind])
    return f"{words} not settled" if words else ""


def _of(shown: int, of: int, noun: str) -> str:
    return counted(of, noun) if shown == of else f"{shown:,} of {counted(of, noun)}"


def _found(rows: list[Line], wanted: str, text: Callable[[Line], str]) -> list[Line]:
    words = _plain(wanted).split()
    return [row for row in rows if all(word in _plain(text(row)) for word in words)] if words else rows


def _plain(text: str) -> str:
    """Without accents and capitals, so that whoever types "otztal" finds Ötztal."""
    parts = unicodedata.normalize("NFKD", text)
    return "".join(sign for sign in parts if not unicodedata.combining(sign)).casefold()


def _sorted(rows: list[Line], by: str, down: bool) -> list[Line]:
    """Rows by a column; where that is equal, as they were. A total is sorted as the rank is, the best first."""
    if by in ("name", "team"):
        rows = sorted(rows, key=lambda row: (not getattr(row, by), _plain(getattr(row, by))))
    elif by == "number":
        rows = sorted(rows, key=lambda row: getattr(row, by))
    return rows[::-1] if down else rows


def _division_links(
    record: Record, result: Result, standing: Standing, address: Callable[[str, str], str]
) -> list[dict[str, Any]]:
    """Every division, at the list that is shown now if it has that one, else at its overall list."""
    lists = {(s.division, s.code) for s in result.standings}
    found = []
    for division in record.divisions:
        code = standing.code if (division.code, standing.code) in lists else OVERALL
        here = division.code == standing.division
        found.append({"name": division.name, "address": address(division.code, code), "here": here})
    return found
