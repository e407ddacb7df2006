"""The kinds of slips. A new one is a module beside this one, with its name here; its two tables are in the models."""

from __future__ import annotations

from typing import Any

from contest.slips.cards import CardSlip
from contest.slips.choices import ChoiceSlip
from contest.slips.marks import MarkSlip
from contest.slips.reasons import ReasonsSlip
from contest.slips.slip import Slip

KINDS: tuple[type[Slip], ...] = (CardSlip, ReasonsSlip, MarkSlip, ChoiceSlip)

BY_NAME = {kind.name: kind for kind in KINDS}
_BY_TABLE = {table: kind for kind in KINDS for table in (kind.readings, kind.results)}


def slip_of(row: Any) -> Slip:
    """The slip that a reading, or what readings came to, is of."""
    return _BY_TABLE[type(row)].of_row(row)
