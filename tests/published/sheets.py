"""Small contests in a few lines, for the rules of rulebooks: one division, and what each contestant got."""

from __future__ import annotations

from collections.abc import Mapping

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
from scoring.core.result import Standing
from scoring.core.tally import tally

Sheet = tuple[str, Mapping[str, str | float]]
"""A contestant's team, and what they got by item: `class:1` a placing, `reasons:1` and `part:Q` points."""


def judged(number: int, category: str = "", official: str = "1234", cuts=(3, 5, 2), **more) -> JudgingClass:
    more = {"divisions": ("SR",), "reasons": ("SR",), **more}
    return JudgingClass(number, f"Class {number}", category=category, official=official, cuts=cuts, **more)


def part(code: str, category: str = "", most: int = 200) -> Part:
    return Part(code, code, ("SR",), most, "individual", category)


def contest(
    sheets: Mapping[int, Sheet],
    classes: tuple[JudgingClass, ...] = (),
    parts: tuple[Part, ...] = (),
    *,
    counting: int = 3,
    short_team: str = "zero",
    members: str = "fixed",
    individual: tuple[str, ...] = (),
    team: tuple[str, ...] = (),
    **rules,
) -> Record:
    cards, reasons, marks = [], [], []
    for number, (_, got) in sheets.items():
        for item, value in got.items():
            kind, _, name = item.partition(":")
            if kind == "class":
                cards.append(Card(int(name), number, str(value)))
            elif kind == "reasons":
                reasons.append(ReasonsScore(int(name), number, "A", round(float(value) * 100)))
            else:
                marks.append(Mark(name, round(float(value) * 100), number=number))
    codes = dict.fromkeys(one.category for one in (*classes, *parts) if one.category)
    return Record(
        Rules("From a rulebook", **rules),
        (Division("SR", "Senior", counting, short_team, members),),
        tuple(Category(code, code) for code in codes),
        classes,
        parts,
        individual,
        team,
        tuple(
            Contestant(number, "SR", name, role="member" if name else "individual")
            for number, (name, _) in sheets.items()
        ),
        tuple(cards),
        tuple(reasons),
        tuple(marks),
    )


def lists(record: Record) -> dict[str, Standing]:
    return {standing.code: standing for standing in tally(record).standings}


def individuals(record: Record, code: str = "overall") -> list[tuple[int, int, float, str]]:
    """Rank, number, total and tie."""
    return [(row.rank, row.number, float(row.total), row.tie) for row in lists(record)[code].individuals]


def teams(record: Record, code: str = "overall") -> list[tuple[int, str, float, str]]:
    """Rank, team, total and tie."""
    return [(row.rank, row.team, float(row.total), row.tie) for row in lists(record)[code].teams]


def counting(record: Record, code: str = "overall") -> dict[str, tuple[int, ...]]:
    return {row.team: row.counting for row in lists(record)[code].teams}
