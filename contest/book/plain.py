"""A book's record as lines of plain data, to be handed from one process to another, and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import date, time
from typing import Any

from scoring.core.record import (
    Card,
    CardRead,
    Category,
    Choice,
    ChoiceRead,
    Contestant,
    Day,
    DecidedTie,
    Division,
    HowRead,
    JudgingClass,
    Mark,
    MarkRead,
    NoMark,
    NoReasons,
    PanelKey,
    Part,
    PersonsDay,
    ReasonsRead,
    ReasonsScore,
    Record,
    ResultSet,
    Rules,
    SetMember,
)

ROWS: dict[str, Any] = {
    "contestants": Contestant,
    "cards": Card,
    "reasons": ReasonsScore,
    "marks": Mark,
    "no_reasons": NoReasons,
    "no_marks": NoMark,
    "choices": Choice,
    "panel": PanelKey,
    "members": SetMember,
}
OF_THE_DAY: dict[str, Any] = {
    "people": PersonsDay,
    "cards": CardRead,
    "reasons": ReasonsRead,
    "marks": MarkRead,
    "choices": ChoiceRead,
}
TIMES: dict[str, Any] = {"held_on": date, "starts_at": time}
A_LINE = 200
"""Rows on a line: whoever takes them in can do something else after each."""


def plain_lines(record: Record) -> Iterator[Any]:
    """The outline first, then lines of rows, each with what they are."""
    rules = asdict(record.rules)
    yield {
        "rules": {**rules, **{name: rules[name] and rules[name].isoformat() for name in TIMES}},
        "divisions": [asdict(division) for division in record.divisions],
        "categories": [asdict(category) for category in record.categories],
        "classes": [asdict(judged) for judged in record.classes],
        "parts": [asdict(part) for part in record.parts],
        "individual_ties": record.individual_ties,
        "team_ties": record.team_ties,
        "sets": [asdict(of) for of in record.sets],
        "decided": [asdict(decided) for decided in record.decided],
    }
    for of_the_day, kinds in enumerate((ROWS, OF_THE_DAY)):
        for name in kinds:
            rows = getattr(record.day if of_the_day else record, name)
            for start in range(0, len(rows), A_LINE):
                yield [of_the_day, name, rows[start : start + A_LINE]]


def record_from_lines(lines: Iterable[Any]) -> Record:
    """The record that `plain_lines` made the lines of, whether or not JSON lay between."""
    left = iter(lines)
    outline = next(left)
    rows: dict[str, list[Any]] = {name: [] for name in ROWS}
    days: dict[str, list[Any]] = {name: [] for name in OF_THE_DAY}
    for of_the_day, name, plain in left:
        if not of_the_day:
            rows[name] += [ROWS[name](*map(_with_tuple, row)) for row in plain]
        elif name == "people":
            days[name] += [PersonsDay(*row) for row in plain]
        else:
            days[name] += [OF_THE_DAY[name](*row, HowRead(*how)) for *row, how in plain]
    rules = outline["rules"]
    times = {name: rules[name] and made.fromisoformat(rules[name]) for name, made in TIMES.items()}
    return Record(
        rules=Rules(**{**rules, **times}),
        divisions=tuple(Division(**division) for division in outline["divisions"]),
        categories=tuple(Category(**category) for category in outline["categories"]),
        classes=tuple(JudgingClass(**_with_tuples(judged)) for judged in outline["classes"]),
        parts=tuple(Part(**_with_tuples(part)) for part in outline["parts"]),
        individual_ties=tuple(outline["individual_ties"]),
        team_ties=tuple(outline["team_ties"]),
        sets=tuple(ResultSet(**of) for of in outline["sets"]),
        decided=tuple(DecidedTie(**_with_tuples(decided)) for decided in outline["decided"]),
        day=Day(**{name: tuple(made) for name, made in days.items()}),
        **{name: tuple(made) for name, made in rows.items()},
    )


def _with_tuples(values: dict[str, Any]) -> dict[str, Any]:
    return {name: _with_tuple(value) for name, value in values.items()}


def _with_tuple(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value
