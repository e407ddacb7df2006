"""A number or a team, looked for in every list that was announced; never a name, as this stands in an address."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice

from django.http import QueryDict

from contest.web.searching import plain
from scoring.announced.released import Released
from scoring.board.awards import AwardRow, named_lists, rows_of
from scoring.core.people import shown_name

MOST_FOUND = 100
LONGEST_SEARCH = 60


@dataclass(frozen=True, slots=True)
class Found:
    """A row of a list: `of` is how many are in it, `whose` a number with what of a name may be shown, or a team."""

    title: str
    address: str
    rank: int
    of: int
    tied: bool
    whose: str
    team: str
    total: str


def wanted_in(asked: QueryDict) -> str:
    return asked.get("find", "")[:LONGEST_SEARCH].strip()


def found_in(announced: Released, wanted: str, address: Callable[[str, str], str]) -> list[Found]:
    """Every row of whoever has the number, or whose team is called so, list by list; at most `MOST_FOUND`."""
    return list(islice(_found(announced, plain(wanted), address), MOST_FOUND)) if wanted else []


def _found(announced: Released, wanted: str, address: Callable[[str, str], str]) -> Iterator[Found]:
    show_as = announced.record.rules.show_people_as
    names = {person.number: shown_name(person, show_as) for person in announced.record.contestants}

    def whose(row: AwardRow) -> str:
        return row.team if row.number is None else f"{row.number} {names.get(row.number, '')}".strip()

    for named in named_lists(announced.record, announced.result):
        rows = rows_of(announced.result, named.key)
        for row in rows:
            if wanted == str(row.number) or (wanted in plain(row.team) and not wanted.isdecimal()):
                team = row.team if row.number is not None else ""
                where = address(named.key.division, named.key.code)
                yield Found(str(named), where, row.rank, len(rows), row.tied, whose(row), team, row.total)
