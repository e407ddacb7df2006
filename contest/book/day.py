"""What a day leaves behind, as the columns of a book say it: who arrived, who read what, and what was decided."""

from __future__ import annotations

from datetime import datetime

from contest.book.tables import Row
from contest.book.text import LONGEST_NAME
from scoring.core.record import HowRead, PersonsDay

PERSONS_DAY = ("arrived", "say_name", "ineligible")
HOW_READ = ("by", "second", "second_by", "decided")


def persons_day(row: Row, number: int, was_there: bool) -> PersonsDay | None:
    """What an entry says of the contestant's day; None where it says nothing."""
    day = PersonsDay(number, row["arrived"], row["say_name"], row["ineligible"], was_there)
    if day.arrived and not _is_time(day.arrived):
        row.problem(f"arrived is {day.arrived!r}; it must be a day and a time, such as 2026-10-17T08:12:00")
        day = day._replace(arrived="")
    return day if any((day.arrived, day.say_name, day.ineligible)) else None


def how_read(row: Row, second: str = "") -> HowRead | None:
    """Who read a row's card or score and what was decided; None where nothing says so. `second` is sound already."""
    how = HowRead(row["by"], second, row["second_by"], row["decided"])
    for column, name in (("by", how.by), ("second_by", how.second_by)):
        if len(name) > LONGEST_NAME:
            row.problem(f"{column} has {len(name)} characters; {LONGEST_NAME} is the most a name can have")
    if how.second_by and not row["second"]:
        row.problem("second_by names a reader, and second does not say what they read")
    return how if any(how) else None


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is None and "T" in text
    except ValueError:
        return False
