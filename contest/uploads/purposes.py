"""What files are brought for: known by a name, so that any process can do it, and no thread need wait for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from contest.other_apps import OTHER_APPS


@dataclass(frozen=True, slots=True)
class Purpose:
    """The name of what is done with a file once it is read, and what that is told besides, as JSON can hold it."""

    name: str
    arguments: Mapping[str, Any] = field(default_factory=dict)


def function_of(name: str) -> Callable[..., None]:
    """What an app does for a purpose, see `contest.other_apps`. Raises LookupError."""
    for app in OTHER_APPS:
        if name in app.purposes:
            return app.purposes[name]
    raise LookupError(f"no app knows what to do for {name!r}")
