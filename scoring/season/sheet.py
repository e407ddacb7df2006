"""What a season says of its members: worked out each time from the rows that are kept, all members' together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from scoring.core.record import HUNDREDTHS, MOST_REASONS
from scoring.core.season.advice import Advice, what_next
from scoring.core.season.gains import FEWEST_DAYS, Day, Slope, slopes
from scoring.core.season.lost import (
    CategoryMean,
    Lost,
    Placed,
    ReasonsMean,
    by_category,
    by_pair,
    by_size,
    mean,
    placing_and_reasons,
)
from scoring.core.season.picked import Picked, pick
from scoring.models import Season, SeasonEntry, SeasonMember, SeasonPlacing, SeasonReasons, SeasonSource


@dataclass
class Attended:
    """What a member did in one contest or practice: what they earned, of how much that could be."""

    source: SeasonSource
    placed: list[Placed] = field(default_factory=list)
    earned: Fraction = Fraction(0)
    most: int = 0

    @property
    def percent(self) -> Fraction:
        return 100 * self.earned / self.most

    @property
    def day(self) -> Day | None:
        """How far ahead of the others, where that is known of any class."""
        known = [one.points - one.others for one in self.placed if one.placing and one.others is not None]
        if not known:
            return None
        return Day(self.source.held_on.toordinal(), float(mean([Fraction(one) for one in known])), len(known))


@dataclass(frozen=True)
class MemberSheet:
    """All that is said of one member. `slope` is None where they, or the club, have been at too little to say."""

    member: SeasonMember
    attended: Sequence[Attended]
    slope: Slope | None

    @cached_property
    def placed(self) -> list[Placed]:
        return [one for there in self.attended for one in there.placed]

    @property
    def pairs(self) -> list[tuple[int, list[Lost]]]:
        """The neighbouring pairs by how many animals their classes had, four first."""
        sizes = sorted({len(one.official) for one in self.placed if one.placing}, key=lambda size: (size != 4, size))
        return [(size, by_pair(self.placed, size)) for size in sizes]

    @property
    def sizes(self) -> list[Lost]:
        return by_size(self.placed)

    @property
    def categories(self) -> list[CategoryMean]:
        return by_category(self.placed)

    @property
    def both(self) -> ReasonsMean | None:
        return placing_and_reasons(self.placed)

    @property
    def advice(self) -> list[Advice]:
        return what_next(self.placed)

    @property
    def days_missing(self) -> int:
        """Days on which the member still has to place beside others before anything is said of progress."""
        return max(0, FEWEST_DAYS - len({there.day.day for there in self.attended if there.day}))


class SeasonSheets:
    """Every member of a season with what they did, by a few queries however many there are."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.members = list(season.members.all())
        self.sources = list(season.sources.all())
        self.attended = _attended(season)

    @cached_property
    def slopes(self) -> dict[Hashable, Slope]:
        days = {pk: [there.day for there in rows if there.day] for pk, rows in self.attended.items()}
        return slopes({pk: own for pk, own in days.items() if own})

    def of(self, member: SeasonMember) -> MemberSheet:
        return MemberSheet(member, self.attended.get(member.pk, ()), self.slopes.get(member.pk))

    @cached_property
    def picked(self) -> Picked:
        """By per cent of what could be earned, in the contests and practices that count."""
        days = [source.pk for source in self.sources if source.counts]
        results: dict[Hashable, dict[Hashable, Fraction]] = {
            pk: {there.source.pk: there.percent for there in rows if there.most} for pk, rows in self.attended.items()
        }
        season = self.season
        return pick(results, days, season.best, season.last, season.size)


def _attended(season: Season) -> dict[int, list[Attended]]:
    entries = SeasonEntry.objects.filter(source__season=season).select_related("source")
    made = {entry.pk: (entry, Attended(entry.source)) for entry in entries.order_by("source__held_on", "source")}
    reasons = {
        (row.entry_id, row.judged_id): row
        for row in SeasonReasons.objects.filter(entry__source__season=season).select_related("judged")
    }
    for row in SeasonPlacing.objects.filter(entry__source__season=season).select_related("judged"):
        there = made[row.entry_id][1]
        there.earned += row.points
        there.most += row.judged.perfect
        there.placed.append(_placed(row, reasons.get((row.entry_id, row.judged_id))))
    for said in reasons.values():
        there = made[said.entry_id][1]
        there.earned += Fraction(said.points, HUNDREDTHS)
        there.most += MOST_REASONS
    by_member: dict[int, list[Attended]] = defaultdict(list)
    for entry, there in made.values():
        by_member[entry.member_id].append(there)
    return by_member


def _placed(row: SeasonPlacing, said: SeasonReasons | None) -> Placed:
    judged = row.judged
    reasons = Fraction(said.points, HUNDREDTHS) if said and said.given else None
    own = row.points if row.placing else None
    return Placed(
        category=judged.category,
        official=judged.official,
        cuts=tuple(judged.cuts),
        perfect=judged.perfect,
        placing=row.placing,
        points=row.points,
        others=_mean_of_others(judged.placed, Fraction(judged.placed_sum), own),
        reasons=reasons,
        other_reasons=_mean_of_others(judged.heard, Fraction(judged.heard_sum, HUNDREDTHS), reasons),
    )


def _mean_of_others(count: int, total: Fraction, own: Fraction | int | None) -> Fraction | None:
    if not count:
        return None
    return total / count if own is None else (total - own) / (count - 1)
