"""The grid math of a class of four: what a placing scores against an official placing and its three cuts.

For each of the six pairs that a placing puts the other way round than the official placing, the score loses the sum of
the cuts that lie between the two animals in the official order (Colorado State fact sheet 1.619; Nebraska NebGuide
G2092; Maryland "Scoring of Contests").
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, permutations
from numbers import Integral

from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop, ngettext, pgettext

ANIMALS = "1234"
PLACINGS = tuple("".join(order) for order in permutations(ANIMALS))
"""All 24 ways to place four animals, in ascending order of their digits."""

PAIRS = ("top", "middle", "bottom")
"""The neighbouring pairs of a key, the best first, as codes; `pair_names` says them."""
PERFECT = 50

LIMITS = {
    "limit_no_cuts": gettext_noop("every cut is 0, so every placing scores the same"),
    "limit_sum": gettext_noop("the cuts add up to {total}, more than 15"),
    "limit_top": gettext_noop("the top cut is {cut}, more than 8"),
    "limit_middle": gettext_noop("the middle cut is {cut}, more than 8"),
    "limit_bottom": gettext_noop("the bottom cut is {cut}, more than 8"),
    "limit_perfect": gettext_noop("some placing would score below zero: the full reversal loses {loss} of {perfect}"),
}
"""What is said of a key beyond each published limit."""

_PLACING_SET = frozenset(PLACINGS)


@dataclass(frozen=True, slots=True)
class LostPair:
    """A pair put the wrong way round: `above` should stand over `below`, and that cost `points`."""

    above: str
    below: str
    points: int


@dataclass(frozen=True, slots=True)
class Limit:
    """A published limit that a key exceeds. It warns and never forbids: the officials decide."""

    code: str
    values: Mapping[str, int]
    source: str

    @property
    def message(self) -> str:
        return _(LIMITS[self.code]).format(**self.values)


def pair_names() -> tuple[str, str, str]:
    """What the neighbouring pairs of a key, and their cuts, are called, the best first."""
    return (
        pgettext("of a pair or a cut", "top"),
        pgettext("of a pair or a cut", "middle"),
        pgettext("of a pair or a cut", "bottom"),
    )


def is_placing(text: object) -> bool:
    """Whether the text is four different animals, best first, such as `3124`."""
    return isinstance(text, str) and text in _PLACING_SET


def why_not_a_placing(text: object) -> str:
    """What is wrong with a text that is not a placing, in words; empty if nothing is."""
    if is_placing(text):
        return ""
    if not isinstance(text, str):
        return _("{text} is not text; write the placing in quotes, such as '3124'").format(text=repr(text))
    if len(text) != len(ANIMALS):
        words = ngettext(
            "{text} has {count} character; a placing is four animals, best first, such as 3124",
            "{text} has {count} characters; a placing is four animals, best first, such as 3124",
            len(text),
        )
        return words.format(text=repr(text), count=len(text))
    for animal in text:
        if animal not in ANIMALS:
            return _("{text} names {animal}; the animals are 1, 2, 3 and 4").format(
                text=repr(text), animal=repr(animal)
            )
        if text.count(animal) > 1:
            return _("{text} places animal {animal} more than once").format(text=repr(text), animal=animal)
    raise AssertionError(text)


def why_not_cuts(cuts: object) -> str:
    """What is wrong with three cuts, in words; empty if nothing is."""
    if not isinstance(cuts, Iterable) or isinstance(cuts, str):
        return _("{cuts} is not three cuts, such as (3, 5, 2)").format(cuts=repr(cuts))
    cuts = tuple(cuts)
    if len(cuts) != len(ANIMALS) - 1:
        return _("there are three cuts (top, middle, bottom), not {count}").format(count=len(cuts))
    for place, cut in enumerate(cuts):
        if not _is_whole(cut):
            return _("the {name} cut is {cut}; a cut is a whole number").format(name=pair_names()[place], cut=repr(cut))
        if cut < 0:
            return _("the {name} cut is {cut}; a cut is 0 or more").format(name=pair_names()[place], cut=cut)
    return ""


def lost_pairs(official: str, cuts: Sequence[int], placing: str) -> tuple[LostPair, ...]:
    """The pairs that `placing` has the wrong way round, in the official order.

    Raises ValueError when the official placing, the cuts or the placing are impossible.
    """
    _check(official, cuts)
    _refuse(why_not_a_placing(placing), "placing")
    return tuple(_lost_pairs(official, cuts, placing))


def score(official: str, cuts: Sequence[int], placing: str, perfect: int = PERFECT) -> int:
    """The points that `placing` earns; below 0 where a key breaks the published limits.

    Raises ValueError when the official placing, the cuts, the placing or the perfect score are impossible.
    """
    _check(official, cuts, perfect)
    _refuse(why_not_a_placing(placing), "placing")
    return int(perfect - sum(pair.points for pair in _lost_pairs(official, cuts, placing)))


def grid(official: str, cuts: Sequence[int], perfect: int = PERFECT) -> tuple[tuple[str, int], ...]:
    """All 24 placings with their scores, best first; equal scores in ascending order of the placing.

    The official placing comes first even when a cut of 0 lets another placing score as much.
    Raises ValueError when the official placing, the cuts or the perfect score are impossible.
    """
    _check(official, cuts, perfect)
    return _grid(official, (int(cuts[0]), int(cuts[1]), int(cuts[2])), int(perfect))


def limits(cuts: Sequence[int], perfect: int = PERFECT) -> tuple[Limit, ...]:
    """The published limits that these cuts exceed, as warnings that name their source.

    Raises ValueError when the cuts or the perfect score are impossible.
    """
    _refuse(why_not_cuts(cuts), "cuts")
    _check_perfect(perfect)
    total, middle = sum(cuts), cuts[1]
    broken = []
    if total == 0:
        broken.append(Limit("limit_no_cuts", {}, _("arithmetic")))
    if total > 15:
        broken.append(
            Limit(
                "limit_sum",
                {"total": int(total)},
                "Colorado State 1.619; Nebraska G2092; Florida 4H334; Maryland Scoring of Contests",
            )
        )
    for name, cut in zip(PAIRS, cuts, strict=True):
        if cut > 8:
            broken.append(Limit(f"limit_{name}", {"cut": int(cut)}, "Nebraska G2092"))
    largest_loss = 3 * total + middle
    if largest_loss > perfect:
        broken.append(
            Limit(
                "limit_perfect",
                {"loss": int(largest_loss), "perfect": int(perfect)},
                _("arithmetic; Colorado State 1.619 and Maryland limit the middle cut for this reason"),
            )
        )
    return tuple(broken)


@lru_cache(maxsize=1024)
def _grid(official: str, cuts: tuple[int, int, int], perfect: int) -> tuple[tuple[str, int], ...]:
    scores = {
        placing: perfect - sum(pair.points for pair in _lost_pairs(official, cuts, placing)) for placing in PLACINGS
    }
    return tuple(sorted(scores.items(), key=lambda row: (-row[1], row[0] != official)))  # as PLACINGS stand


def _lost_pairs(official: str, cuts: Sequence[int], placing: str) -> Iterator[LostPair]:
    for above, below in combinations(range(len(ANIMALS)), 2):
        if placing.index(official[above]) > placing.index(official[below]):
            yield LostPair(official[above], official[below], sum(cuts[above:below]))


def _check(official: str, cuts: Sequence[int], perfect: int = PERFECT) -> None:
    _refuse(why_not_a_placing(official), "official placing")
    _refuse(why_not_cuts(cuts), "cuts")
    _check_perfect(perfect)


def _check_perfect(perfect: int) -> None:
    if not _is_whole(perfect) or perfect < 1:
        raise ValueError(f"perfect score: {perfect!r} is not a whole number of 1 or more")


def _is_whole(value: object) -> bool:
    """Whether it is a whole number; another library's counts, True and False do not."""
    return isinstance(value, Integral) and not isinstance(value, bool)


def _refuse(reason: str, value: str) -> None:
    if reason:
        raise ValueError(f"{value}: {reason}")
