"""The entries that one contest hands on to the next: entries.csv without what is of this one alone, and where they
came from."""

from __future__ import annotations

from collections.abc import Iterable

from contest.book.text import as_text
from contest.book.write import csv_text, yes_no
from scoring.core.record import Contestant

COLUMNS = ("number", "division", "team", "first_name", "last_name", "role", "show_name", "came_from")


def next_entries(people: Iterable[Contestant], came_from: str) -> str:
    """The file's text. Groups, scores, arrivals and how names are said stay behind; a family's wish goes along."""
    return csv_text(
        COLUMNS,
        (
            (
                *(person.number, person.division, *map(as_text, (person.team, person.first_name, person.last_name))),
                *(person.role, yes_no(person.show_name), as_text(came_from)),
            )
            for person in people
        ),
    )
