"""The team that a rule such as “the best four of the last six” picks. Pure and exact."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class PickedRow:
    """A member with what counts of them: the mean of the best so many results, where a missing one counts 0. `counts`
    are the days that count, in their order. Of equal means all have the same rank."""

    who: Hashable
    rank: int
    mean: Fraction
    counts: tuple[Hashable, ...]
    missing: int


@dataclass(frozen=True, slots=True)
class Picked:
    """Everybody by rank; `team` are those who are in whatever is decided of ties, and `tied` those of equal means of
    whom `open_places` are to be chosen by somebody."""

    rows: tuple[PickedRow, ...]
    team: tuple[Hashable, ...]
    tied: tuple[Hashable, ...]
    open_places: int


def pick(
    results: Mapping[Hashable, Mapping[Hashable, Fraction]], days: Sequence[Hashable], best: int, last: int, size: int
) -> Picked:
    """Pick a team of `size` by the best `best` of the last `last` of `days`, which are in their order.

    Who was at none of those days is in no list. Equal results of one member count from the latest.
    """
    recent = list(days)[-last:]
    rows = []
    for who, own in results.items():
        had = [(own[day], at) for at, day in enumerate(recent) if day in own]
        if had:
            counted = sorted(had, reverse=True)[:best]
            mean = sum((points for points, _at in counted), Fraction(0)) / best
            counts = tuple(recent[at] for at in sorted(at for _points, at in counted))
            rows.append((who, mean, counts, best - len(counted)))
    ranked = tuple(
        PickedRow(who, 1 + sum(other > mean for _who, other, *_more in rows), mean, counts, missing)
        for who, mean, counts, missing in sorted(rows, key=lambda row: -row[1])
    )
    line = ranked[size - 1].mean if len(ranked) > size else None
    team = tuple(row.who for row in ranked if line is None or row.mean > line)
    tied = tuple(row.who for row in ranked if row.mean == line)
    open_places = size - len(team)
    if line is None or len(tied) == open_places:
        return Picked(ranked, (*team, *tied), (), 0)
    return Picked(ranked, team, tied, open_places)
