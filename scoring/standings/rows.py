"""The rows of a list as they are printed, and why a list may still change as far as its record says."""

from __future__ import annotations

import re
from collections.abc import Collection

from scoring.core.explain import how_ties_fell, listed
from scoring.core.people import shown_name
from scoring.core.points import figure, in_thousands
from scoring.core.record import Card, Record
from scoring.core.result import Result, Standing
from scoring.core.sets import plain_division, seen_in
from scoring.core.texts import gettext as _
from scoring.core.texts import ngettext

DECIMALS = re.compile(r"[.,]\d+$")
"""Of a figure for people to read, whose decimal mark is that of their language."""


def find_standing(result: Result, division: str | None, code: str | None) -> Standing | None:
    """The list asked for; the first one where none is asked for; None if there is no such list."""
    if division is None:
        return next(iter(result.standings), None)
    return next((s for s in result.standings if s.division == division and s.code == code), None)


def individual_rows(
    record: Record, result: Result, standing: Standing
) -> list[tuple[int, int, str, str, str, str, int]]:
    """Rank, number, name as the contest allows it, team, total, note and the total's `short_by` of every row.

    The note says how a tie fell: `ahead of 104 on reasons, 188 to 185`. Plain tuples: a list may be long, and a
    template unpacks them several times faster than it looks names up.
    """
    ties, _teams = how_ties_fell(record, result, standing, with_total=False)
    show_as = record.rules.show_people_as
    division = plain_division(standing.division)
    names = {c.number: shown_name(c, show_as) for c in record.contestants if c.division == division}
    doubtful = {card.number for card in _unsettled(record, result, standing.division)}
    totals = [figure(row.total) for row in standing.individuals]
    return [
        (
            row.rank,
            row.number,
            names[row.number],
            row.team,
            total,
            _note(tie, row.number in doubtful),
            short,
        )
        for row, total, tie, short in zip(standing.individuals, totals, ties, short_by(totals), strict=True)
    ]


def team_rows(record: Record, result: Result, standing: Standing) -> list[tuple[int, str, str, str, str, int]]:
    """Rank, team, who counts, total, note and the total's `short_by` of every row."""
    _people, ties = how_ties_fell(record, result, standing, with_total=False)
    totals = [figure(row.total) for row in standing.teams]
    return [
        (row.rank, row.team, ", ".join(map(str, row.counting)), total, tie, short)
        for row, total, tie, short in zip(standing.teams, totals, ties, short_by(totals), strict=True)
    ]


def short_by(totals: list[str]) -> list[int]:
    """By how many characters each total's decimals, with their point, are shorter than the longest: it is set in by
    as much, so that the points of a column stand below each other."""
    decimals = [len(found[0]) if (found := DECIMALS.search(total)) else 0 for total in totals]
    longest = max(decimals, default=0)
    return [longest - length for length in decimals]


def provisional(record: Record, result: Result, division: str) -> list[str]:
    """Why a division's lists may still change, in words; empty if nothing is known to be open."""
    reasons = []
    cards = len(_unsettled(record, result, division))
    if cards:
        not_settled = ngettext("{count} card is not settled", "{count} cards are not settled", cards)
        reasons.append(not_settled.format(count=in_thousands(cards)))
    return reasons + waiting_for_keys(record, division)


def waiting_for_keys(record: Record, division: str, items: Collection[str] | None = None) -> list[str]:
    """Which classes wait for their keys, in words; empty if none does. Of `items` alone if given."""
    division = plain_division(division)
    waiting = [
        str(judged.number)
        for judged in record.classes
        if division in judged.counting_divisions
        and (judged.needs_key and judged.official is None)
        and (items is None or {f"class:{judged.number}", f"reasons:{judged.number}"}.intersection(items))
    ]
    if not waiting:
        return []
    wait = ngettext(
        "class {classes} waits for its key and counts for nobody yet",
        "classes {classes} wait for their keys and count for nobody yet",
        len(waiting),
    )
    return [wait.format(classes=listed(waiting))]


def _unsettled(record: Record, result: Result, division: str) -> list[Card]:
    """The unsettled cards that the division's lists rest on: of contestants who are present, in classes that count."""
    record, result, division = seen_in(record, result, division)
    here = {c.number for c in record.contestants if c.present and c.division == division}
    counting = {judged.number for judged in record.classes if division in judged.card_divisions}
    return [card for card in result.unsettled if card.number in here and card.class_number in counting]


def _note(tie: str, doubtful: bool) -> str:
    if not doubtful:
        return tie
    return _("{tie}; card not settled").format(tie=tie) if tie else _("card not settled")
