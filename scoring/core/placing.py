"""The grid math of a class: what a placing scores against an official placing and its cuts, one fewer than animals.

Most classes have four animals, numbered 1 to 4; their 24 placings are known beforehand. Other classes have three to
eight, under any labels.

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

FEWEST_ANIMALS, MOST_ANIMALS = 3, 8
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


def is_placing(text: object, animals: str = ANIMALS) -> bool:
    """Whether the text is all the animals, each once, best first, such as `3124`."""
    if animals == ANIMALS:
        return isinstance(text, str) and text in _PLACING_SET
    return isinstance(text, str) and sorted(text) == sorted(animals)


def why_not_animals(text: str) -> str:
    """What is wrong with the labels of a class's animals, in words; empty if nothing is."""
    if not FEWEST_ANIMALS <= len(text) <= MOST_ANIMALS:
        words = _("{text} is {count} animals; a class has {fewest} to {most}")
        return words.format(text=repr(text), count=len(text), fewest=FEWEST_ANIMALS, most=MOST_ANIMALS)
    return why_not_labels(text)


def why_not_labels(text: str) -> str:
    """What is wrong with labels of animals, however many they are, in words; empty if nothing is."""
    if len(set(text)) < len(text):
        return _("{text} has a label twice").format(text=repr(text))
    if not all(label.isascii() and (label.isdigit() or label.isupper()) for label in text):
        return _("{text} has something else than digits and capital letters").format(text=repr(text))
    return ""


def why_not_a_placing(text: object, animals: str = ANIMALS) -> str:
    """What is wrong with a text that is not a placing, in words; empty if nothing is."""
    if is_placing(text, animals):
        return ""
    if not isinstance(text, str):
        return _("{text} is not text; write the placing in quotes, such as '3124'").format(text=repr(text))
    if animals != ANIMALS:
        words = _("{text} is no placing here; write each of {animals} once, best first")
        return words.format(text=repr(text), animals=", ".join(animals))
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


def why_not_cuts(cuts: object, animals: int = len(ANIMALS)) -> str:
    """What is wrong with the cuts of a class of so many animals, in words; empty if nothing is."""
    if not isinstance(cuts, Iterable) or isinstance(cuts, str):
        return _("{cuts} is not three cuts, such as (3, 5, 2)").format(cuts=repr(cuts))
    cuts = tuple(cuts)
    if len(cuts) != animals - 1:
        if animals == len(ANIMALS):
            return _("there are three cuts (top, middle, bottom), not {count}").format(count=len(cuts))
        words = _("there is a cut between each two neighbours of {animals} animals: {cuts} cuts, not {count}")
        return words.format(animals=animals, cuts=animals - 1, count=len(cuts))
    for place, cut in enumerate(cuts):
        if not _is_whole(cut):
            return _("the {name} cut is {cut}; a cut is a whole number").format(
                name=cut_name(place, animals), cut=repr(cut)
            )
        if cut < 0:
            return _("the {name} cut is {cut}; a cut is 0 or more").format(name=cut_name(place, animals), cut=cut)
    return ""


def cut_name(place: int, animals: int = len(ANIMALS)) -> str:
    """What a cut is called, the best pair's first: `top` of four animals, `1st` of more or fewer."""
    if animals == len(ANIMALS):
        return pair_names()[place]
    return f"{place + 1}."


def cut_names(animals: int = len(ANIMALS)) -> list[str]:
    """What the cuts of a class are called, and the pairs that they part, the best pair's first."""
    return [cut_name(place, animals) for place in range(animals - 1)]


def lost_pairs(official: str, cuts: Sequence[int], placing: str, animals: str = ANIMALS) -> tuple[LostPair, ...]:
    """The pairs that `placing` has the wrong way round, in the official order.

    Raises ValueError when the official placing, the cuts or the placing are impossible.
    """
    _check(official, cuts, animals=animals)
    _refuse(why_not_a_placing(placing, animals), "placing")
    return tuple(_lost_pairs(official, cuts, placing))


def lost_by(official: str, cuts: Sequence[int], placing: str) -> tuple[LostPair, ...]:
    """As `lost_pairs`, of whatever animals the official placing names."""
    return lost_pairs(official, cuts, placing, animals_of(official))


def animals_of(official: str) -> str:
    """The labels of a class's animals, of its official placing, in ascending order."""
    return ANIMALS if is_placing(official) else "".join(sorted(official))


def score(official: str, cuts: Sequence[int], placing: str, perfect: int = PERFECT, animals: str = ANIMALS) -> int:
    """The points that `placing` earns; below 0 where a key breaks the published limits.

    Raises ValueError when the official placing, the cuts, the placing or the perfect score are impossible.
    """
    _check(official, cuts, perfect, animals)
    _refuse(why_not_a_placing(placing, animals), "placing")
    return int(perfect - sum(pair.points for pair in _lost_pairs(official, cuts, placing)))


def grid(
    official: str, cuts: Sequence[int], perfect: int = PERFECT, animals: str = ANIMALS
) -> tuple[tuple[str, int], ...]:
    """All placings with their scores, best first; equal scores in ascending order of the placing. For four animals and
    fewer: of eight there are 40 320.

    The official placing comes first even when a cut of 0 lets another placing score as much.
    Raises ValueError when the official placing, the cuts or the perfect score are impossible.
    """
    _check(official, cuts, perfect, animals)
    return _grid(official, tuple(map(int, cuts)), int(perfect))


def limits(cuts: Sequence[int], perfect: int = PERFECT, animals: int = len(ANIMALS)) -> tuple[Limit, ...]:
    """The published limits that these cuts exceed, as warnings that name their source. Of any but four animals no
    limits are published, so nothing is said.

    Raises ValueError when the cuts or the perfect score are impossible.
    """
    _refuse(why_not_cuts(cuts, animals), "cuts")
    _check_perfect(perfect)
    if animals != len(ANIMALS):
        return ()
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
def _grid(official: str, cuts: tuple[int, ...], perfect: int) -> tuple[tuple[str, int], ...]:
    scores = {
        placing: perfect - sum(pair.points for pair in _lost_pairs(official, cuts, placing))
        for placing in map("".join, permutations(sorted(official)))
    }
    return tuple(sorted(scores.items(), key=lambda row: (-row[1], row[0] != official)))  # in ascending order else


def _lost_pairs(official: str, cuts: Sequence[int], placing: str) -> Iterator[LostPair]:
    for above, below in combinations(range(len(official)), 2):
        if placing.index(official[above]) > placing.index(official[below]):
            yield LostPair(official[above], official[below], sum(cuts[above:below]))


def _check(official: str, cuts: Sequence[int], perfect: int = PERFECT, animals: str = ANIMALS) -> None:
    _refuse(why_not_a_placing(official, animals), "official placing")
    _refuse(why_not_cuts(cuts, len(animals)), "cuts")
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
