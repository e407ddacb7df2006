"""The database holds organisations apart where rows of two trees meet, as `one_contest` holds contests.

A day and its contests are of one organisation, and so are a membership and the contests that it may: triggers refuse
the row between them where they are not. Every row stays in its organisation, so that nothing that hangs on it is left
behind in another's.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps as installed
from django.apps.registry import Apps
from django.db import connections
from django.db.models import ForeignKey, Model

from contest.models.triggers import drop_triggers_there, refusing, run_together

PREFIX = "one_organisation_"
REFUSED = "would be of two organisations"
COLUMN = "organisation_id"


def drop_triggers(using: str, **_signal: Any) -> None:
    """Before a migration."""
    drop_triggers_there(connections[using], PREFIX)


def make_triggers(using: str, apps: Apps = installed, plan: Any = None, **_signal: Any) -> None:
    """After a migration. `apps` is what the database holds then; there is no `plan` after a flush, which drops none."""
    if plan is not None:
        connection = connections[using]
        run_together(connection, statements(connection.vendor, apps))


def owned(apps: Apps = installed) -> list[type[Model]]:
    """The models whose rows are an organisation's."""
    return [model for model in apps.get_models() if any(field.column == COLUMN for field in _columns(model))]


def between(apps: Apps = installed) -> dict[type[Model], list[ForeignKey[Any, Any]]]:
    """The models whose rows stand between two that are owned, each with the keys that lead there."""
    tops = set(owned(apps))
    ways = {model: [key for key in _keys(model) if key.remote_field.model in tops] for model in apps.get_models()}
    return {model: keys for model, keys in ways.items() if len(keys) > 1}


def statements(vendor: str, apps: Apps = installed) -> Iterator[str]:
    """The statements that make all triggers, in a database that has none of them."""
    differs = {"sqlite": "IS NOT", "postgresql": "IS DISTINCT FROM"}[vendor]
    for model in owned(apps):
        moved = f'NEW."{COLUMN}" {differs} OLD."{COLUMN}"'
        yield from _refusing(vendor, model, "update", f"UPDATE OF {COLUMN}", moved)
    for model, (first, *others) in between(apps).items():
        apart = " OR ".join(f"{_owner(key)} {differs} {_owner(first)}" for key in others)
        columns = ", ".join(f'"{key.column}"' for key in (first, *others))
        yield from _refusing(vendor, model, "insert", "INSERT", apart)
        yield from _refusing(vendor, model, "update", f"UPDATE OF {columns}", apart)


def _refusing(vendor: str, model: type[Model], kind: str, event: str, where: str) -> list[str]:
    table = model._meta.db_table
    return refusing(vendor, f"{PREFIX}{kind}_{table}", table, event, where, REFUSED)


def _owner(key: ForeignKey[Any, Any]) -> str:
    """SQL for the organisation that a new row's key leads to."""
    table = key.remote_field.model._meta.db_table
    return f'(SELECT "{COLUMN}" FROM "{table}" WHERE "id" = NEW."{key.column}")'  # noqa: S608 -- our own names


def _columns(model: type[Model]) -> list[Any]:
    return list(model._meta.local_concrete_fields)


def _keys(model: type[Model]) -> list[ForeignKey[Any, Any]]:
    return [field for field in _columns(model) if isinstance(field, ForeignKey)]
