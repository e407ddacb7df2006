"""Taking the names of people out of a contest's tables: which columns hold any, each model says in `holds_names`.

Somebody who acted stays one and the same: who read a card first and who second must stay two. So each name becomes
`person 1`, `person 2` and so on throughout the contest. What somebody typed in their own words may tell of anybody.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.apps import apps
from django.db.models import Case, Value, When

from contest.models import Contest
from contest.models.names import Names
from contest.models.one_contest import way_to_contest

GONE = "made anonymous"


class People:
    """Who is who: the same person for the same name, however it is written."""

    def __init__(self, kept: Iterable[str]) -> None:
        self._called: dict[str, str] = {name.casefold(): name for name in kept}
        self._count = 0

    def called(self, name: str) -> str:
        if not name:
            return name
        if name.casefold() not in self._called:
            self._count += 1
            self._called[name.casefold()] = f"person {self._count}"
        return self._called[name.casefold()]


def rewrite_rows(contest: Contest, people: People) -> None:
    """Take the names out of the rows as they are."""
    for model in apps.get_models():
        if names := _names_of(model):
            _rewrite(model, model._base_manager.filter(**{way_to_contest(model): contest.pk}).order_by(), names, people)


def _rewrite(model: Any, rows: Any, names: Names, people: People) -> None:
    for column in names.people:
        called = {name: people.called(name) for name in rows.values_list(column, flat=True).distinct()}
        if any(name != other for name, other in called.items()):
            cases = [When(**{column: name}, then=Value(other)) for name, other in called.items()]
            _of(model, rows).update(**{column: Case(*cases)})  # once through the rows, however many people
    if names.emptied:
        _of(model, rows).update(**dict.fromkeys(names.emptied, ""))
    for column in names.words:
        _of(model, rows.exclude(**{column: ""})).update(**{column: GONE})


def rewritten(model: Any, row: dict[str, Any], people: People) -> dict[str, Any]:
    """A row's columns without names."""
    names = _names_of(model) or Names()
    made = dict(row)
    made |= {column: people.called(row[column]) for column in names.people if row.get(column)}
    made |= {column: "" for column in names.emptied if row.get(column)}
    return made | {column: GONE for column in names.words if row.get(column)}


def holds_names(model: Any) -> bool:
    return _names_of(model) is not None


def _names_of(model: Any) -> Names | None:
    return getattr(model, "holds_names", None)


def _of(model: Any, rows: Any) -> Any:
    """By key: an update across tables would be refused."""
    return model._base_manager.filter(pk__in=rows.values("pk"))
