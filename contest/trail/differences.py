"""What an entry changed, as rows that people read: what, how it was, how it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from contest.book.entry_columns import FIELDS, shown
from contest.trail.labels import LABELS
from contest.trail.sentences import is_sentence, say
from scoring.core.texts import gettext as _

CALLED = LABELS | FIELDS


@dataclass(frozen=True, slots=True)
class ChangedValue:
    """One thing that changed; `old` or `new` is empty where there was or is nothing to tell."""

    what: str
    old: str = ""
    new: str = ""


def rows_of(before: Any, after: Any) -> list[ChangedValue]:
    """Everything that an entry's before and after tell, in the order in which they tell it."""
    pairs = list(_pairs(after))
    single = dict(_single(after))
    was = dict(_single(before))
    rows = [ChangedValue(what, was.get(what, ""), single.get(what, "")) for what in dict.fromkeys([*single, *was])]
    return rows + pairs


def _pairs(value: Any, path: tuple[str, ...] = ()) -> Iterator[ChangedValue]:
    """What is written as an old and a new value side by side, below `fields`."""
    for label, held in _parts(value):
        if label == "fields" and isinstance(held, Mapping):
            for name, (old, new) in held.items():
                yield ChangedValue(_label((*path, name)), _text(old), _text(new))
        else:
            yield from _pairs(held, (*path, label))


def _single(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    if not isinstance(value, Mapping | list) or is_sentence(value):
        if value is not None:
            yield _label(path), _text(value)
        return
    if isinstance(value, list) and not any(
        isinstance(held, Mapping | list) and not is_sentence(held) for held in value
    ):
        yield _label(path), ", ".join(map(_text, value)) or shown("")
        return
    for label, held in _parts(value):
        if label == "fields" or (label == "number" and path):
            continue  # old and new stand side by side; a number is who it is of
        yield from _single(held, (*path, label))


def _parts(value: Any) -> Iterator[tuple[str, Any]]:
    if is_sentence(value):
        return
    if isinstance(value, Mapping):
        yield from value.items()
    elif isinstance(value, list):
        for place, held in enumerate(value, start=1):
            number = held.get("number") if isinstance(held, Mapping) else None
            called = str(place) if number is None else _("contestant {number}").format(number=number)
            yield called, held


def _label(path: tuple[str, ...]) -> str:
    return ", ".join(_(CALLED[part]) if part in CALLED else part.replace("_", " ") for part in path)


def _text(value: Any) -> str:
    return say(**value) if is_sentence(value) else shown("" if value is None else value)
