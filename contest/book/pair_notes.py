"""What decided a pair of a class, as plain data."""

from __future__ import annotations

from typing import NamedTuple

LONGEST_NOTE = 2000
"""Characters of what decided a pair, of what is granted, and of what is faulted."""


class Note(NamedTuple):
    """What is noted on one pair; false where nothing is."""

    decided_by: str = ""
    grants: str = ""
    faults: str = ""

    def __bool__(self) -> bool:
        return any(self)
