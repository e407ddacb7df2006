"""What changed since the results were announced last, and the rows that a correction moves, in words and figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from contest.models import Contest
from contest.records.day import without_marks_of_nobody
from contest.records.tallying import Tallied
from scoring.announced.released import released
from scoring.board.awards import LISTS
from scoring.core.differences import Differences, ListDifference, Moved, Place, differences
from scoring.core.explain import list_names
from scoring.core.points import figure
from scoring.core.record import Record


@dataclass(frozen=True, slots=True)
class MovedRow:
    """A row as a table of changes shows it: from where to where."""

    whose: str
    old_rank: str
    new_rank: str
    old_total: str
    new_total: str
    counting: str
    direction: str


@dataclass(frozen=True, slots=True)
class MovedList:
    """The rows of one list that move, and how many of them change their rank."""

    title: str
    kind: str
    rows: tuple[MovedRow, ...]
    ranks: int

    @property
    def ranked(self) -> str:
        """Whom the list ranks, in a word."""
        return _(LISTS[self.kind])


def unannounced(contest: Contest, shown: Tallied) -> Differences:
    """How the contest as it is now differs from what was announced last; nothing before the first release."""
    announced = released(contest)
    if announced is None:
        return Differences()
    return differences(announced.whole, announced.result, without_marks_of_nobody(shown.record), shown.result)


def moved_lists(lists: Iterable[ListDifference], record: Record) -> Iterator[MovedList]:
    """The lists as a table shows them; `record` knows what they are called."""
    names = list_names(record)
    divisions = record.division_names
    for moved in lists:
        title = f"{divisions.get(moved.division, moved.division)}, {names.get(moved.code, moved.code)}"
        rows = tuple(map(_row, moved.rows))
        yield MovedList(title, moved.kind, rows, sum(row.direction != "same" for row in rows))


def _row(row: Moved) -> MovedRow:
    old, new = row.old, row.new
    counting = ""
    if old and new and old.counting != new.counting:
        counting = _("counting {counting}, not {before}").format(
            counting=", ".join(map(str, new.counting)), before=", ".join(map(str, old.counting))
        )
    return MovedRow(str(row.whose), _rank(old), _rank(new), _total(old), _total(new), counting, _direction(old, new))


def _rank(place: Place | None) -> str:
    return str(place.rank) if place else "–"


def _total(place: Place | None) -> str:
    return figure(place.total) if place else "–"


def _direction(old: Place | None, new: Place | None) -> str:
    if old is None or new is None:
        return "new" if old is None else "gone"
    return "up" if new.rank < old.rank else "down" if new.rank > old.rank else "same"
