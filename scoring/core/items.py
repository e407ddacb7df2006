"""What a list is made of."""

from __future__ import annotations

from scoring.core.record import Record
from scoring.core.result import OVERALL, PLACING, REASONS
from scoring.core.sets import plain_division


def items_of(record: Record, division: str, code: str) -> set[str]:
    """The items, such as `class:3`, that a list of a division, or of one as a set has it, is made of."""
    division = plain_division(division)
    items = set()
    for judged in record.classes:
        if division in judged.divisions and judged.places and code in (OVERALL, PLACING, judged.category):
            items.add(f"class:{judged.number}")
        in_category = code == judged.category and record.rules.reasons_in_category
        if division in judged.reasons and (code in (OVERALL, REASONS) or in_category):
            items.add(f"reasons:{judged.number}")
    parts = (part for part in record.parts if division in part.divisions and code in (OVERALL, part.category))
    return items | {f"part:{part.code}" for part in parts}
