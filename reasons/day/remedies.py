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
from scoring.core.record import HUNDREDTHS, MOST_REASONS, Record
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


def of_officials(record: Record, added: dict[str, float]) -> dict[str, Any]:
    """What becomes of each official's scores under both remedies, which no card changes; empty without a score.
    `added` is the correction by official."""
    if not record.reasons:
        return {}
    ordered = _standardised(record, True)
    few = too_few_sets(ordered)
    return {
        "remedied": _remedied(ordered, added, few),
        "is_standardised": is_standardising(record),
        "refused": len(few),
        "least_sets": LEAST_SETS,
    }


def of_winners(known: Tallied, added: dict[str, float]) -> dict[str, Any]:
    """What both remedies change at the top of the lists; empty without a score."""
    record = known.record
    if not record.reasons:
        return {}
    as_given = _standardised(record, False)
    counts = known.result if record.rules.reasons_standardised else tally(_standardised(record, True))
    given = tally(as_given) if record.rules.reasons_standardised else known.result
    return {
        "standardised_changes": _changed(record, given, counts),
        "corrected_changes": _changed(record, given, tally(_corrected(as_given, added))),
    }


def _standardised(record: Record, whether: bool) -> Record:
    return replace(record, rules=replace(record.rules, reasons_standardised=whether))


def _corrected(record: Record, added: dict[str, float]) -> Record:
    hundredths = {official: round(points * HUNDREDTHS) for official, points in added.items()}
    most = MOST_REASONS * HUNDREDTHS

    known = {key: min(max(key[1] + hundredths[key[0]], 0), most) for key in {score[2:] for score in record.reasons}}
    return replace(record, reasons=tuple(score._replace(hundredths=known[score[2:]]) for score in record.reasons))


def _remedied(record: Record, added: dict[str, float], few: dict[str, int]) -> list[Remedied]:
    given: defaultdict[str, list[int]] = defaultdict(list)
    counts: defaultdict[str, list[int]] = defaultdict(list)
    heard: defaultdict[str, set[int]] = defaultdict(set)
    for score, then in zip(record.reasons, standardised(record), strict=True):
        given[score.official].append(score.hundredths)
        counts[score.official].append(then.hundredths)
        heard[score.official].add(score.number)
    division_of = {contestant.number: contestant.division for contestant in record.contestants}
    divisions = {official: set(map(division_of.__getitem__, numbers)) for official, numbers in heard.items()}
    names = record.division_names
    several = len(set().union(*divisions.values())) > 1
    lines = []
    for official, hundredths in sorted(given.items()):
        points, then_points = _in_points(hundredths), _in_points(counts[official])
        moved = fmean(then_points) - fmean(points)
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
                fmean(then_points),
                spread(points),
                spread(then_points),
                signed(added[official]),
                " ".join(remarks),
            )
        )
    return lines


def _in_points(hundredths: Sequence[int]) -> list[float]:
    return [each / HUNDREDTHS for each in hundredths]


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
