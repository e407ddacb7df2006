"""What the page of copies shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from contest.copies.places import all_copies, chosen_shelf, is_there, on_same_disk, present_shelf, shelves
from contest.copies.report import KeeperReport, last_copy, read_report
from contest.copies.shelf import Copy
from contest.disk.room import megabytes
from scoring.core.explain import counted

MOST_SHOWN = 100


@dataclass(frozen=True)
class CopyRow:
    copy: Copy
    size: str
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
        on="the laptop" if on_same_disk(copy.path) else str(copy.path.parent),
        holds=tuple(
            f"{contest.name}, revision {contest.revision}, {counted(contest.contestants, 'contestant')}, "
            f"{counted(contest.readings, 'card read', 'cards read')}{', in the bin' if contest.in_bin else ''}"
            for contest in copy.contests
        ),
    )
