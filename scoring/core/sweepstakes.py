"""The sweepstakes of a day of several contests: one table of clubs, or of contestants, over all of them.

Each contest gives whoever stands in its overall list that list's total, or points for the rank (`points[0]` for the
first, nothing past the last; who shares a rank has the points of it). A table is of one division. Whoever is in no list
of a contest has nothing from it, or with `needs_all` no place in the table. Equal sums are parted by the total in one
named contest, then by the number of firsts; still equal, they share the rank.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Literal, NamedTuple

from scoring.core.people import fold, shown_name
from scoring.core.ranking import ranked
from scoring.core.record import Record
from scoring.core.result import OVERALL, Result

Kind = Literal["teams", "individuals"]
USUAL_POINTS = (10, 9, 8, 7, 6, 5, 4, 3, 2, 1)
FIRSTS = "firsts"


@dataclass(frozen=True, slots=True)
class Rule:
    """How a table is made. `tie_contest` is the place, from 0, of the contest whose total parts equal sums."""

    by: Literal["total", "ranks"] = "total"
    points: tuple[int, ...] = USUAL_POINTS
    tie_contest: int | None = None
    needs_all: bool = False


class Placed(NamedTuple):
    """A row of a contest's overall list. `key` tells who it is in every contest of the day, `name` how they may be
    shown, and `number` is a contestant's in this contest."""

    division: str
    key: str
    name: str
    rank: int
    total: Fraction
    number: int | None = None


class Row(NamedTuple):
    """A row of the table. `parts` are what each contest gave, None where it gave nothing; `numbers` a contestant's in
    each. `tie` is empty where no other row has the same sum, else what parted them, or `shared`."""

    rank: int
    key: str
    name: str
    total: Fraction
    parts: tuple[Fraction | None, ...]
    numbers: tuple[int | None, ...]
    firsts: int
    tie: str


def placed(
    record: Record,
    result: Result,
    kind: Kind,
    shown: Record | None = None,
    said: Mapping[tuple[int, str], str] | None = None,
) -> list[Placed]:
    """Everybody in a contest's overall lists.

    A team is known by its name, a contestant by name and team; whoever has no name, or has it from somebody else of the
    same list, by their number in this contest alone. `shown` is the record with no more of names than may be shown;
    `said` are the keys of whoever it was said who they are, by number and `person_key`.
    """
    shown_people = {person.number: person for person in (shown or record).contestants}
    people = {person.number: person for person in record.contestants}
    made: list[Placed] = []
    taken: set[tuple[str, str]] = set()
    for standing in result.of_everybody:
        if standing.code != OVERALL:
            continue
        for row in standing.teams if kind == "teams" else ():
            made.append(Placed(standing.division, fold(row.team), row.team, row.rank, row.total))
        for one in standing.individuals if kind == "individuals" else ():
            person = people[one.number]
            key = person_key(person.first_name, person.last_name, person.team)
            key = (said or {}).get((one.number, key), key)
            if not key or (standing.division, key) in taken:
                key = f"{record.rules.name}#{one.number}"
            taken.add((standing.division, key))
            name = shown_name(shown_people[one.number], record.rules.show_people_as)
            made.append(Placed(standing.division, key, name, one.rank, one.total, one.number))
    return made


def person_key(first: str, last: str, team: str) -> str:
    """A contestant as every contest of the day knows them; empty without a name."""
    name = fold(f"{first} {last}")
    return f"{name}|{fold(team)}" if name else ""


def sweepstakes(contests: Sequence[Sequence[Placed]], division: str, rule: Rule) -> list[Row]:
    """The table of one division, best first; equal rows in the order of their keys."""
    of_contest = [{row.key: row for row in contest if row.division == division} for contest in contests]
    keys = sorted({key for rows in of_contest for key in rows})
    if rule.needs_all:
        keys = [key for key in keys if all(key in rows for rows in of_contest)]
    parts = {key: tuple(_part(rows.get(key), rule) for rows in of_contest) for key in keys}
    sums = {key: sum((part for part in parts[key] if part is not None), Fraction(0)) for key in keys}
    firsts = {key: sum(key in rows and rows[key].rank == 1 for rows in of_contest) for key in keys}
    steps: list[str] = []
    values: list[Mapping[str, Fraction | int]] = [sums]
    if rule.tie_contest is not None and rule.tie_contest < len(of_contest):
        by = of_contest[rule.tie_contest]
        steps.append(f"contest:{rule.tie_contest + 1}")
        values.append({key: by[key].total if key in by else Fraction(-(10**9)) for key in keys})
    steps.append(FIRSTS)
    values.append(firsts)
    scale = lcm(*(Fraction(value[key]).denominator for value in values for key in keys))
    ranking = ranked([tuple(int(value[key] * scale) for value in values) for key in keys], steps)
    made = []
    for at, rank, tie in zip(ranking.order, ranking.ranks, ranking.ties, strict=True):
        key = keys[at]
        there = [rows.get(key) for rows in of_contest]
        names = [row.name for row in there if row]
        name = min(names, key=len)  # no more of it than the most careful of the contests shows
        numbers = tuple(row.number if row else None for row in there)
        made.append(Row(rank, key, name, sums[key], parts[key], numbers, firsts[key], tie))
    return made


def divisions_of(contests: Sequence[Sequence[Placed]]) -> list[str]:
    """The divisions that somebody is placed in, in the order of the contests."""
    return list(dict.fromkeys(row.division for contest in contests for row in contest))


def _part(row: Placed | None, rule: Rule) -> Fraction | None:
    if row is None:
        return None
    if rule.by == "total":
        return row.total
    return Fraction(rule.points[row.rank - 1] if row.rank <= len(rule.points) else 0)
