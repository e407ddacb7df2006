"""What standardising does to the reasons scores, and what a milder correction would: to each official, and to the
winners.

The correction is shown and no rule: a contest book has no place for it, and a contest that moves by its book has to
keep its results.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from statistics import fmean
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.records.tallying import Tallied
from reasons.fairness import signed, spread
from scoring.core.explain import list_names, listed
from scoring.core.record import HUNDREDTHS, MOST_REASONS, ReasonsScore, Record
from scoring.core.result import IndividualRow, Result, TeamRow
from scoring.core.standardising import LEAST_SETS, is_standardising, standardised, too_few_sets
from scoring.core.tally import tally

MOST_SHOWN = 5
"""Lists with another winner that are named."""


class Remedied(NamedTuple):
    """What becomes of one official's scores: mean and spread as given and standardised, and the correction, as
    printed."""

    official: str
    sets: int
    mean: float
    mean_then: float
    spread: float | None
    spread_then: float | None
    correction: str
    remark: str


class Changed(NamedTuple):
    """What a remedy changes at the top of the lists: `winners` in words, at most MOST_SHOWN, and how many more."""

    lists: int
    winners: list[str]
    more: int


def shown(known: Tallied, added: dict[str, float]) -> dict[str, Any]:
    """What the page of fairness says of both remedies; empty without a score. `added` is the correction by official."""
    record = known.record
    if not record.reasons:
        return {}
    ordered = replace(record, rules=replace(record.rules, reasons_standardised=True))
    as_given = replace(record, rules=replace(record.rules, reasons_standardised=False))
    counts = known.result if record.rules.reasons_standardised else tally(ordered)
    given = tally(as_given) if record.rules.reasons_standardised else known.result
    return {
        "remedied": _remedied(ordered, added),
        "is_standardised": is_standardising(record),
        "refused": len(too_few_sets(ordered)),
        "least_sets": LEAST_SETS,
        "standardised_changes": _changed(record, given, counts),
        "corrected_changes": _changed(record, given, tally(_corrected(as_given, added))),
    }


def _corrected(record: Record, added: dict[str, float]) -> Record:
    hundredths = {official: round(points * HUNDREDTHS) for official, points in added.items()}
    most = MOST_REASONS * HUNDREDTHS

    def corrected(score: ReasonsScore) -> ReasonsScore:
        return score._replace(hundredths=min(max(score.hundredths + hundredths[score.official], 0), most))

    return replace(record, reasons=tuple(map(corrected, record.reasons)))


def _remedied(record: Record, added: dict[str, float]) -> list[Remedied]:
    given: defaultdict[str, list[float]] = defaultdict(list)
    counts: defaultdict[str, list[float]] = defaultdict(list)
    divisions: defaultdict[str, set[str]] = defaultdict(set)
    division_of = {contestant.number: contestant.division for contestant in record.contestants}
    for score, then in zip(record.reasons, standardised(record), strict=True):
        given[score.official].append(score.hundredths / HUNDREDTHS)
        counts[score.official].append(then.hundredths / HUNDREDTHS)
        divisions[score.official].add(division_of[score.number])
    names = record.division_names
    several = len(set().union(*divisions.values())) > 1
    few = too_few_sets(record)
    lines = []
    for official, points in sorted(given.items()):
        moved = fmean(counts[official]) - fmean(points)
        remarks = []
        if official in few:
            text = ngettext("Only {count} set: left as given.", "Only {count} sets: left as given.", few[official])
            remarks.append(text.format(count=few[official]))
        elif spread(points) == 0:
            remarks.append(_("Gave everybody alike: all get the mean of all officials."))
        if several and len(divisions[official]) == 1 and official not in few:
            remarks.append(_one_division(names[next(iter(divisions[official]))], moved, added[official]))
        lines.append(
            Remedied(
                official,
                len(points),
                fmean(points),
                fmean(counts[official]),
                spread(points),
                spread(counts[official]),
                signed(added[official]),
                " ".join(remarks),
            )
        )
    return lines


def _one_division(division: str, moved: float, added: float) -> str:
    text = _(
        "Heard {division} alone: standardising takes that division’s level for the official’s own and moves these "
        "sets {moved} on average, the correction {added}."
    )
    return text.format(division=division, moved=signed(moved), added=signed(added))


def _changed(record: Record, given: Result, then: Result) -> Changed:
    """The lists whose first place goes to others."""
    divisions = record.division_names
    names = list_names(record)
    before = {(s.division, s.code): s for s in given.standings}
    words, lists = [], 0
    for standing in then.standings:
        was = before[standing.division, standing.code]
        for rows, rows_before in ((standing.individuals, was.individuals), (standing.teams, was.teams)):
            if not rows:
                continue
            lists += 1
            if (first := _first(rows)) != (earlier := _first(rows_before)):
                text = _("{division}, {list}: {first} first instead of {earlier}")
                words.append(
                    text.format(
                        division=divisions[standing.division],
                        list=names[standing.code],
                        first=listed(first),
                        earlier=listed(earlier),
                    )
                )
    return Changed(lists, words[:MOST_SHOWN], len(words[MOST_SHOWN:]))


def _first(rows: Sequence[IndividualRow] | Sequence[TeamRow]) -> list[str]:
    return [row.team if isinstance(row, TeamRow) else str(row.number) for row in rows if row.rank == 1]
