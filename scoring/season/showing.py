"""What the pages and the paper of a season show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from scoring.core.points import figure
from scoring.core.season.lost import Lost
from scoring.core.season.picked import PickedRow
from scoring.models import Season, SeasonMember
from scoring.season.sheet import Attended, SeasonSheets
from scoring.season.words import (
    SIZE_NAMES,
    advice_in_words,
    both_in_words,
    name_of_pair,
    one_decimal,
    progress_in_words,
    signed,
)


@dataclass(frozen=True, slots=True)
class LostRow:
    name: str
    lost: Lost


def shown_season(season: Season) -> dict[str, Any]:
    sheets = SeasonSheets(season)
    picked = sheets.picked
    members = {member.pk: member for member in sheets.members}
    return {
        "season": season,
        "members": [(member, len(sheets.attended.get(member.pk, ()))) for member in sheets.members],
        "sources": [(source, source.entries.count()) for source in sheets.sources],
        "picked": [_picked(members[pk_of(row)], row, pk_of(row) in picked.team) for row in picked.rows],
        "tied": [members[pk] for pk in members if pk in picked.tied],
        "open_places": picked.open_places,
        "counting": sum(source.counts for source in sheets.sources),
    }


def pk_of(row: PickedRow) -> int:
    assert isinstance(row.who, int)
    return row.who


def _picked(member: SeasonMember, row: PickedRow, is_in: bool) -> dict[str, Any]:
    return {
        "member": member,
        "rank": row.rank,
        "mean": one_decimal(row.mean),
        "missing": row.missing,
        "is_in": is_in,
    }


def shown_member(member: SeasonMember) -> dict[str, Any]:
    sheet = SeasonSheets(member.season).of(member)
    return {
        "season": member.season,
        "member": member,
        "sheet": sheet,
        "attended": [_attended(there) for there in reversed(sheet.attended)],
        "pairs": [
            (animals, [LostRow(name_of_pair(animals, place), lost) for place, lost in enumerate(rows)])
            for animals, rows in sheet.pairs
        ],
        "sizes": [LostRow(str(SIZE_NAMES[str(lost.key)]), lost) for lost in sheet.sizes],
        "categories": [
            (one.category, one.classes, one_decimal(one.mean), "" if one.ahead is None else signed(one.ahead))
            for one in sheet.categories
        ],
        "both": both_in_words(sheet.both) if sheet.both else [],
        "advice": [advice_in_words(told) for told in sheet.advice],
        "progress": progress_in_words(sheet),
    }


def _attended(there: Attended) -> dict[str, Any]:
    return {
        "source": there.source,
        "classes": len(there.placed),
        "earned": figure(there.earned),
        "most": there.most,
        "percent": one_decimal(there.percent) if there.most else "",
    }
