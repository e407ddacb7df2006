"""Who is one person in several contests, said in a file: for a day that is made of books."""

from __future__ import annotations

from collections.abc import Sequence

from contest.book.problems import Problems
from contest.book.tables import Columns, Row, Rows
from contest.book.text import decoded, whole_number
from scoring.core.record import Record
from scoring.core.sweepstakes import person_key
from scoring.core.texts import gettext as _

Said = dict[tuple[int, str], str]
"""By number and `person_key`, as `scoring.core.sweepstakes.placed` takes it."""


def said_in_file(data: bytes, file: str, records: Sequence[Record]) -> list[Said]:
    """Of each record, who it was said that its contestants are.

    `data` is CSV with a column for each record, called `1`, `2` and so on, and a person a line: their number in each,
    or nothing where they are not. Whoever has a line alone is nobody else, whatever they are called. Raises
    BookProblems for a file that cannot be read, a number that its record does not have, and one that has two lines.
    """
    problems = Problems()
    names = tuple(str(at) for at, _record in enumerate(records, 1))
    people = [{one.number: one for one in record.contestants} for record in records]
    said: list[Said] = [{} for _record in records]
    taken: dict[tuple[str, int], int] = {}

    def take(row: Row, at: int) -> None:
        number, column = whole_number(row[names[at]]), names[at]
        one = people[at].get(number) if number is not None else None
        if number is None or one is None:
            row.problem(
                _("column {column}: {value!r} is no number of a contestant there").format(
                    column=column, value=row[column]
                )
            )
        elif (first := taken.setdefault((column, number), row.line)) != row.line:
            row.problem(
                _("column {column}: {number} stands in line {line} already").format(
                    column=column, number=number, line=first
                )
            )
        else:
            said[at][number, person_key(one.first_name, one.last_name, one.team)] = f"={row.line}"

    for row in Rows(file, decoded(data, file, problems), Columns(names), problems, lambda file, line, of: None):
        for at, column in enumerate(names):
            if row[column]:
                take(row, at)
    problems.raise_if_any()
    return said
