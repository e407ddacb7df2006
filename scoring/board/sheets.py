"""Rows as a crowd sees them, and the sheets of rows that the board itself cuts into pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from scoring.core.points import in_thousands

MOST_ROWS = 100
"""Of one list: a hall that is shown a thousand waits for hours to see the first again. Phones are led to the rest."""


MOST_TIES = 20
"""Rows of a list whose ties are told in words: whoever shares the ninetieth place finds it on the public lists."""

MOST_MEMBERS = 12
"""Of one team, by number: more of them nobody can read from the back row."""


class Shown(NamedTuple):
    """A row as the crowd sees it: `who` is no more than the contest and the family allow, `short` is by `short_by`."""

    rank: int
    tied: bool
    number: int | None
    who: str
    team: str
    total: str
    short: int
    counting: tuple[int, ...]
    tie: str = ""

    @property
    def members(self) -> str:
        """Who counts for a team: `105, 107, 108`; of very large teams how many, `60 count`."""
        if len(self.counting) > MOST_MEMBERS:
            count = len(self.counting)
            return ngettext("{count} counts", "{count} count", count).format(count=in_thousands(count))
        return ", ".join(map(str, self.counting))


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of a list that are shown; `rows` is how many it has in all."""

    lines: Sequence[Shown]
    rows: int

    @property
    def is_cut(self) -> bool:
        return len(self.lines) < self.rows

    @property
    def part(self) -> str:
        """`the first 100 of 1,500`"""
        return _("the first {shown} of {all}").format(shown=len(self.lines), all=in_thousands(self.rows))
