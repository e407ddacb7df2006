"""The contest as it was at a revision, made of the rows as they are and of what they were before each change since."""

from __future__ import annotations

from collections.abc import Iterable
from operator import itemgetter
from typing import Any

from django.utils.translation import gettext as _

from contest.changes.snapshot import one_snapshot
from contest.models import Contest, RowChange
from contest.records.loading import record_from_rows
from contest.records.sources import CHUNK, WAYS
from contest.row_changes.values import RowValues, row_of
from scoring.core.record import Record


class NotKept(Exception):
    """Raised for a revision that the contest does not have, or that nothing is known of."""


@one_snapshot()
def as_of(contest_id: int, revision: int) -> Record:
    """The contest's record as it was at a revision. Raises NotKept, and Contest.DoesNotExist."""
    contest = Contest.objects.get(pk=contest_id)
    first = contest.trail.order_by("revision").values_list("revision", flat=True).first() or 0
    earliest = max(first, contest.rows_kept_since)
    if not earliest <= revision <= contest.revision:
        text = _("it can be seen as it was from revision {first} to {last}")
        raise NotKept(text.format(first=earliest, last=contest.revision))
    return record_from_rows(RowsThen(contest_id, revision))


class RowsThen:
    """The rows of one contest as they were at a revision, in memory."""

    def __init__(self, contest_id: int, revision: int) -> None:
        self._tables: dict[str, dict[int, RowValues]] = {
            model._meta.db_table: _rows_now(model, contest_id) for model in WAYS
        }
        self._walk_back(contest_id, revision)

    def of(self, model: Any, *columns: str, order: tuple[str, ...] = ("pk",)) -> Iterable[tuple[Any, ...]]:
        rows = self._tables[model._meta.db_table].values()
        rows_then = sorted(rows, key=itemgetter(*(_column(name) for name in order)))
        return [tuple(row[_column(name)] for name in columns) for row in rows_then]

    def _walk_back(self, contest_id: int, revision: int) -> None:
        """Undo each change of a row, the last one first."""
        models = {model._meta.db_table: model for model in WAYS}
        changes = RowChange.objects.filter(contest=contest_id, revision__gt=revision, of_table__in=models)
        newest_first = changes.order_by("-pk").values_list("of_table", "row", "before")
        for table, key, before in newest_first.iterator(CHUNK):
            rows = self._tables[table]
            if before is None:
                del rows[key]
            else:  # what is not kept of a row, such as the contest's revision, stays as it is
                rows[key] = {**rows.get(key, {}), **row_of(models[table], before)}


def _rows_now(model: Any, contest_id: int) -> dict[int, RowValues]:
    columns = [field.attname for field in model._meta.local_concrete_fields]
    rows = model._base_manager.filter(**{WAYS[model]: contest_id}).values(*columns)
    return {row["id"]: row for row in rows.iterator(CHUNK)}


def _column(name: str) -> str:
    return "id" if name == "pk" else name
