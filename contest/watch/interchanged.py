"""Two doubts that look as though two papers were interchanged: what one reader read of each, the other read of the
other. Plain Python."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_noop

from contest.watch.doubts import DIFFERS, Doubt

INTERCHANGED = gettext_noop("the two were interchanged")


@dataclass(frozen=True, slots=True)
class Way:
    """As one of two readers read both: `letter` picks it, and `values` are what the first and the second say."""

    letter: str
    by: str
    values: tuple[Any, Any]
    texts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two such doubts, the lower number first."""

    first: Doubt
    second: Doubt

    @property
    def ways(self) -> list[Way]:
        text = self.first.slip.value_text
        of_second = {row.by.casefold(): row.value for row in self.second.readings}
        ways = []
        for letter, row in zip("ab", self.first.readings, strict=True):
            values = row.value, of_second[row.by.casefold()]
            ways.append(Way(letter, row.by, values, (text(values[0]), text(values[1]))))
        return ways

    @property
    def shown(self) -> str:
        """Stands for all the readings that somebody saw of both."""
        return f"{self.first.fingerprint}/{self.second.fingerprint}"

    def other(self, doubt: Doubt) -> Doubt:
        return self.second if doubt.key == self.first.key else self.first


def interchanged(doubts: Iterable[Doubt]) -> dict[str, Pair]:
    """The pairs among them, by the keys of both doubts; none where more than two would fit together."""
    alike: defaultdict[tuple[Any, ...], list[Doubt]] = defaultdict(list)
    for doubt in doubts:
        if doubt.kind == DIFFERS and len(doubt.readings) == 2:
            alike[_of(doubt)].append(doubt)
    pairs = {}
    for (stack, read), some in alike.items():
        (one, value), (other, its_value) = sorted(read)
        partners = alike.get((stack, frozenset({(one, its_value), (other, value)})), [])
        if len(some) == len(partners) == 1:
            pair = Pair(*sorted((*some, *partners), key=lambda doubt: (doubt.number or 0, doubt.key)))
            pairs[some[0].key] = pair
    return pairs


def _of(doubt: Doubt) -> tuple[Any, ...]:
    """What both doubts of a pair have in common, but for who read what."""
    return doubt.slip.stack.key, frozenset((row.by.casefold(), row.value) for row in doubt.readings)
