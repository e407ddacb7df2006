"""What a day leaves behind, as the columns of a book say it: who arrived, who read what, and what was decided."""

from __future__ import annotations

from datetime import datetime

from contest.book.tables import Row
from contest.book.text import LONGEST_NAME
from scoring.core.record import HowRead, PersonsDay
from scoring.core.texts import gettext as _

PERSONS_DAY = ("arrived", "say_name", "ineligible")
UNRANKED = "ranked"
"""The column of an entry that says `no` of who counts for their team and stands in no list of individuals."""
SETS = "sets"
"""The column of an entry that names the sets of results that somebody is in."""
HOW_READ = ("by", "second", "second_by", "decided")


def persons_day(row: Row, number: int, was_there: bool) -> PersonsDay | None:
    """What an entry says of the contestant's day; None where it says nothing."""
    day = PersonsDay(number, row["arrived"], row["say_name"], row["ineligible"], was_there)
    if day.arrived and not _is_time(day.arrived):
        told = _("arrived is {value!r}; it must be a day and a time, such as 2026-10-17T08:12:00")
        row.problem(told.format(value=day.arrived))
        day = day._replace(arrived="")
    return day if any((day.arrived, day.say_name, day.ineligible)) else None


def how_read(row: Row, second: str = "") -> HowRead | None:
    """Who read a row's card or score and what was decided; None where nothing says so. `second` is sound already."""
    how = HowRead(row["by"], second, row["second_by"], row["decided"])
    for column, name in (("by", how.by), ("second_by", how.second_by)):
        if len(name) > LONGEST_NAME:
            told = _("{column} has {count} characters; {most} is the most a name can have")
            row.problem(told.format(column=column, count=len(name), most=LONGEST_NAME))
    if how.second_by and not row["second"]:
        row.problem(_("second_by names a reader, and second does not say what they read"))
    return how if any(how) else None


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is None and "T" in text
    except ValueError:
        return False
