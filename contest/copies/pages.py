"""What the page of copies shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.copies.places import all_copies, chosen_shelf, is_there, on_same_disk, present_shelf, shelves
from contest.copies.report import KeeperReport, last_copy, read_report
from contest.copies.shelf import ContestInCopy, Copy, said_why
from contest.disk.room import megabytes
from scoring.core.points import in_thousands

MOST_SHOWN = 100


@dataclass(frozen=True)
class CopyRow:
    copy: Copy
    size: str
    why: str
    on: str
    holds: tuple[str, ...]


def copies_page() -> dict[str, Any]:
    """The newest copies of all shelves that are there, where copies go, and what is in the way."""
    copies = all_copies()
    told = read_report()
    chosen = chosen_shelf()
    shelf = present_shelf()
    return {
        "rows": [_row(copy) for copy in copies[:MOST_SHOWN]],
        "more": max(0, len(copies) - MOST_SHOWN),
        "all_of_them": len(copies),
        "told": told,
        "last": last_copy(told),
        "shelf": shelf,
        "away": chosen.parent if chosen and not is_there(chosen) else None,
        "same_disk": on_same_disk(shelf),
        "shelves": shelves(),
        "version": version(told, copies),
    }


def version(told: KeeperReport | None, copies: list[Copy]) -> str:
    newest = copies[0].number if copies else 0
    return f"{newest}-{len(copies)}-{int(bool(told and told.making))}-{int(bool(told and told.trouble))}"


def _row(copy: Copy) -> CopyRow:
    return CopyRow(
        copy=copy,
        size=megabytes(copy.size),
        why=said_why(copy),
        on=_("the laptop") if on_same_disk(copy.path) else str(copy.path.parent),
        holds=tuple(map(_held, copy.contests)),
    )


def _held(contest: ContestInCopy) -> str:
    people = ngettext("{count} contestant", "{count} contestants", contest.contestants)
    cards = ngettext("{count} card read", "{count} cards read", contest.readings)
    text = _("{name}, revision {revision}, {people}, {cards}")
    if contest.in_bin:
        text = _("{name}, revision {revision}, {people}, {cards}, in the bin")
    return text.format(
        name=contest.name,
        revision=contest.revision,
        people=people.format(count=in_thousands(contest.contestants)),
        cards=cards.format(count=in_thousands(contest.readings)),
    )
