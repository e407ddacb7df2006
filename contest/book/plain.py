"""A book's record as lines of plain data, to be handed from one process to another, and back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import date
from typing import Any

from scoring.core.record import (
    Card,
    Category,
    Contestant,
    Division,
    JudgingClass,
    Mark,
    Part,
    ReasonsScore,
    Record,
    Rules,
)

ROWS: dict[str, Any] = {"contestants": Contestant, "cards": Card, "reasons": ReasonsScore, "marks": Mark}
A_LINE = 200
"""Rows on a line: whoever takes them in can do something else after each."""


def plain_lines(record: Record) -> Iterator[Any]:
    """The outline first, then lines of rows, each with what they are."""
    held_on = record.rules.held_on
    yield {
        "rules": {**asdict(record.rules), "held_on": held_on and held_on.isoformat()},
        "divisions": [asdict(division) for division in record.divisions],
        "categories": [asdict(category) for category in record.categories],
        "classes": [asdict(judged) for judged in record.classes],
        "parts": [asdict(part) for part in record.parts],
        "individual_ties": record.individual_ties,
        "team_ties": record.team_ties,
    }
    for name in ROWS:
        rows = getattr(record, name)
        for start in range(0, len(rows), A_LINE):
            yield [name, rows[start : start + A_LINE]]


def record_from_lines(lines: Iterable[Any]) -> Record:
    """The record that `plain_lines` made the lines of, whether or not JSON lay between."""
    left = iter(lines)
    outline = next(left)
    rows: dict[str, list[Any]] = {name: [] for name in ROWS}
    for name, rows_of in left:
        rows[name] += [ROWS[name](*row) for row in rows_of]
    rules = outline["rules"]
    held_on = rules["held_on"]
    return Record(
        rules=Rules(**{**rules, "held_on": held_on and date.fromisoformat(held_on)}),
        divisions=tuple(Division(**division) for division in outline["divisions"]),
        categories=tuple(Category(**category) for category in outline["categories"]),
        classes=tuple(JudgingClass(**_with_tuples(judged)) for judged in outline["classes"]),
        parts=tuple(Part(**_with_tuples(part)) for part in outline["parts"]),
        individual_ties=tuple(outline["individual_ties"]),
        team_ties=tuple(outline["team_ties"]),
        **{name: tuple(made) for name, made in rows.items()},
    )


def _with_tuples(values: dict[str, Any]) -> dict[str, Any]:
    return {name: tuple(value) if isinstance(value, list) else value for name, value in values.items()}
