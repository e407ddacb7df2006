"""The database holds contests apart: all that a row refers to is of one contest, and a row stays in its contest.

Triggers do it, made of the models' own foreign keys, so that none can be forgotten. A model is of a contest where one
of its keys leads there, at once or by way of others: a mark's by its part, a team's by its division. A row with two
such keys is refused where they lead to two contests, or to what is not there yet; one that others refer to is refused
where it would move to another contest and leave them behind. Foreign keys of two columns would say the same, but each
of 20 tables would need a column more, and Django knows no such keys.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from django.apps import apps as installed
from django.apps.registry import Apps
from django.db import connections
from django.db.models import ForeignKey, Model

from contest.models.triggers import drop_triggers_there, refusing, run_together

PREFIX = "one_contest_"
REFUSED = "would be of two contests"


def drop_triggers(using: str, **_signal: Any) -> None:
    """Before a migration."""
    drop_triggers_there(connections[using], PREFIX)


def make_triggers(using: str, apps: Apps = installed, plan: Any = None, **_signal: Any) -> None:
    """After a migration. `apps` is what the database holds then; there is no `plan` after a flush, which drops none."""
    if plan is not None:
        connection = connections[using]
        run_together(connection, statements(connection.vendor, apps))


def ways(model: type[Model]) -> list[ForeignKey[Any, Any]]:
    """A model's foreign keys that lead to a contest; the first is always set, if one is."""
    keys = [field for field in model._meta.local_concrete_fields if isinstance(field, ForeignKey)]
    leading = [key for key in keys if _is_contest(_parent(key)) or ways(_parent(key))]
    return sorted(leading, key=lambda key: (key.null, not _is_contest(_parent(key))))


@cache
def way_to_contest(model: type[Model]) -> str:
    """How a query goes from a row to its contest, such as `judging_class__contest`."""
    first = ways(model)[0]
    return first.name if _is_contest(_parent(first)) else f"{first.name}__{way_to_contest(_parent(first))}"


def tied(apps: Apps = installed) -> dict[type[Model], list[ForeignKey[Any, Any]]]:
    """The models whose rows could be of two contests, each with the keys that must lead to the same."""
    return {model: keys for model in apps.get_models(include_auto_created=True) if len(keys := ways(model)) > 1}


def staying(apps: Apps = installed) -> set[type[Model]]:
    """The models whose rows are referred to, and would leave what refers to them behind."""
    referred = {_parent(key) for model in apps.get_models(include_auto_created=True) for key in ways(model)}
    return {model for model in referred if not _is_contest(model)}


def statements(vendor: str, apps: Apps = installed) -> list[str]:
    """The statements that make all triggers, in a database that has none of them."""
    differs = {"sqlite": "IS NOT", "postgresql": "IS DISTINCT FROM"}[vendor]
    both, stay, made = tied(apps), staying(apps), []
    for model in sorted({*both, *stay}, key=lambda model: model._meta.db_table):
        first, *others = ways(model)
        own = _contest_by(first, "NEW")
        apart = [f"{own} IS NULL"] if others and not _is_contest(_parent(first)) else []
        for key in others:
            condition = f'NEW."{key.column}" IS NOT NULL AND ' if key.null else ""
            apart.append(f"{condition}{_contest_by(key, 'NEW')} {differs} {own}")
        moved = [f"{own} {differs} {_contest_by(first, 'OLD')}"] if model in stay else []
        columns = [f'"{key.column}"' for key in (first, *others)]
        changed = " OR ".join(f"NEW.{column} {differs} OLD.{column}" for column in columns)
        if apart:
            made += _refusing(vendor, model, "insert", "INSERT", "", apart)
        made += _refusing(vendor, model, "update", f"UPDATE OF {', '.join(columns)}", changed, [*apart, *moved])
    return made


def name_of(model: type[Model], kind: str) -> str:
    return f"{PREFIX}{kind}_{model._meta.db_table}"


def _is_contest(model: Any) -> bool:
    return bool(model._meta.label == "contest.Contest")


def _parent(key: ForeignKey[Any, Any]) -> type[Model]:
    return key.remote_field.model


def _contest_by(key: ForeignKey[Any, Any], row: str) -> str:
    """SQL for the contest that a row's key leads to; null where it leads nowhere."""
    column, model = f'{row}."{key.column}"', _parent(key)
    if _is_contest(model):
        return column
    table = f'"{model._meta.db_table}"'
    return f'(SELECT {_contest_by(ways(model)[0], table)} FROM {table} WHERE {table}."id" = {column})'  # noqa: S608


def _refusing(vendor: str, model: type[Model], kind: str, event: str, changed: str, refused: list[str]) -> list[str]:
    where = " OR ".join(f"({condition})" for condition in refused)
    return refusing(vendor, name_of(model, kind), model._meta.db_table, event, where, REFUSED, changed)
