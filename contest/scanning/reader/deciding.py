"""What marks say: from the ink in each box to a placing, to what is kept, or to a number, and why not.

All boxes are judged together. Of all that a card may say, what the darkest marks say is meant: a place for each animal
and an animal for each place, or each animal kept or culled, and so many kept. It is certain if all of them are marks
and nothing else can be one: an eraser leaves less than a pencil, a cup what is wider than a line. How dark anything is
counts for more against the card's own marks than by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import combinations, permutations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from contest.scanning.reader.found import Trouble
from contest.scanning.reader.measuring import SHADE, Ink

LEAST, DARK = 0.06, 0.1
"""A mark has so much ink, in mm² of black, and is so dark at its darkest: all below are parts from paper to black."""
ALIKE = 0.5
"""A mark of one card is at least so dark as part of the middle one: one that is far paler may be what was erased."""
PALE_LINE, CLEAR_LINE = 0.02, 0.1
"""Marks may have less ink, and be less dark, if each has a line so dark, and no other box one that is so dark as part
of it: what a copier has left of a pale pencil."""
BARE = 0.056
"""A box is bare where no line in it is darker than this."""
BARE_WASHED_OUT, STANDS_OUT = 0.0075, 1.5
"""One that a copier has made white is bare up to this, or up to so many times what other bare boxes have."""
BARE_DIGIT = 0.03
"""Of a number on such a copy: its boxes are small, and between them lies what JPEG smears."""
PALER = 0.25
"""A line in a bare box is so dark at most, as part of the palest mark."""
PATCH = 0.09
"""A box is bare if no patch in it is darker than this, unless it is a stain that reaches beyond the box."""
STAIN = 0.7
"""A stain is so dark at most, as part of the palest mark."""
MARKED = 0.24
"""mm² of black from which on a box of a doubtful card is said to be marked: only to say what is wrong with it."""
HEAVIER = 4.0
"""One mark of two that has so many times the ink of the other was struck out, likely."""


KEEP, CULL = 0, 1
"""The boxes of an animal."""
Allowed = NDArray[np.intp]
"""All that a card may say, each a row: which box is marked of each of the card's own rows."""


class Decided(NamedTuple):
    """What the marks say, empty where that is not sure, how sure (`FoundCard.confidence`), and what is in doubt."""

    text: str
    confidence: float
    troubles: tuple[Trouble, ...]


def placing_of(inks: Sequence[Sequence[Ink]], animals: str, washed_out: bool = False) -> Decided:
    """The placing by the ink of each place, by animal."""
    meant, confidence, troubles = _one_in_each_row(inks, _orders(len(inks)), washed_out)
    return Decided("" if troubles else "".join(animals[at] for at in meant), confidence, troubles)


_OF_KEEPING = {
    Trouble.TWO_MARKS: Trouble.KEPT_AND_CULLED,
    Trouble.BLANK_POSITION: Trouble.NEITHER,
    Trouble.IMPOSSIBLE: Trouble.WRONG_COUNT,
}
"""What is the matter with a row, where rows are animals that are kept or culled."""


def kept_of(inks: Sequence[Sequence[Ink]], animals: str, keep: int, washed_out: bool = False) -> Decided:
    """The animals that are kept, of which there are to be so many, by the ink in the two boxes of each."""
    meant, confidence, found = _one_in_each_row(inks, _choices(len(inks), keep), washed_out)
    troubles = tuple(_OF_KEEPING.get(trouble, trouble) for trouble in found)
    kept = "".join(label for label, at in zip(animals, meant, strict=True) if at == KEEP)
    return Decided("" if troubles else kept, confidence, troubles)


def number_of(inks: Sequence[Sequence[Ink]], washed_out: bool = False) -> Decided:
    """A spare's number by the ink of each position, by digit. Positions before the first digit may be left bare."""
    meant = [int(np.argmax([ink.ink for ink in row])) for row in inks]
    most = [row[digit] for row, digit in zip(inks, meant, strict=True)]
    paler = ALIKE * max(ink.dark for ink in most)
    begins = next(at for at, ink in enumerate(most) if is_mark(ink) or ink.dark >= paler)
    used: list[int | None] = [None if at < begins else digit for at, digit in enumerate(meant)]
    confidence = _confidence(inks, used, BARE_DIGIT if washed_out else BARE)
    number = int("0" + "".join(str(digit) for digit in meant[begins:]))
    if confidence < 0.5 or not number:
        return Decided("", min(confidence, 0.49), (Trouble.NUMBER_UNSURE,))
    return Decided(str(number), confidence, ())


def _one_in_each_row(
    inks: Sequence[Sequence[Ink]], allowed: Allowed, washed_out: bool
) -> tuple[list[int], float, tuple[Trouble, ...]]:
    """The box of each row that is meant, of all that is allowed; how sure that is, and what is in doubt."""
    meant = _most_ink(inks, allowed)
    line = bare_washed_out(inks, meant) if washed_out else BARE
    confidence = _confidence(inks, meant, line)
    troubles = [] if confidence >= 0.5 else _troubles(inks, meant, line, allowed)
    return meant, confidence, tuple(dict.fromkeys(troubles))


def _most_ink(inks: Sequence[Sequence[Ink]], allowed: Allowed) -> list[int]:
    """By row the box, of all that is allowed those that hold the most ink; roots, lest one blot decide for all. Lines
    tell where there is next to none."""
    roots = np.sqrt([[ink.ink for ink in row] for row in inks]) + [[ink.line for ink in row] for row in inks]
    best: list[int] = allowed[roots[np.arange(len(inks)), allowed].sum(axis=1).argmax()].tolist()
    return best


@cache
def _orders(animals: int) -> Allowed:
    """By place the animal: each once."""
    return np.array(list(permutations(range(animals))), dtype=np.intp)


@cache
def _choices(animals: int, keep: int) -> Allowed:
    """By animal whether it is kept or culled: so many are kept."""
    kept = combinations(range(animals), keep)
    return np.array([[KEEP if at in some else CULL for at in range(animals)] for some in kept], dtype=np.intp)


def is_mark(ink: Ink) -> bool:
    return ink.ink >= LEAST and ink.dark >= DARK


def _confidence(inks: Sequence[Sequence[Ink]], meant: Sequence[int | None], line: float) -> float:
    """How far the box that is nearest to its limits is from them: 0.5 on one, towards 1 the further it is."""
    marks = [row[at] for row, at in zip(inks, meant, strict=True) if at is not None]
    if not marks:
        return 0.0
    others = _others(inks, meant)
    palest = min(mark.dark for mark in marks)
    bare = [
        *((min(line if other.white else BARE, PALER * palest), other.line) for other in others),
        *((PATCH, other.patch) for other in others),
        *((SHADE, other.shade) for other in others),
    ]
    return round(min(_margin(bare), max(_margin(way) for way in _ways_to_be_marks(marks, others))), 3)


def _ways_to_be_marks(marks: Sequence[Ink], others: Sequence[Ink]) -> Iterator[list[tuple[float, float]]]:
    """What each of the marks has, and how much of it they need: enough of any one way will do."""
    darks = sorted(mark.dark for mark in marks)
    yield [
        *((mark.ink, LEAST) for mark in marks),
        (darks[0], DARK),
        (darks[0], ALIKE * float(np.median(darks))),
        (STAIN * min(mark.deep for mark in marks), max(other.deep for other in others)),
    ]
    # Pale, as what fills a box evenly is, but all alike, and next to them nothing is anywhere in another box.
    darkest = max(other.dark for other in others)
    yield [(darks[0], DARK), (darks[0], ALIKE * darks[-1]), (PALER * darks[0], darkest)]
    lines = sorted(mark.line for mark in marks)
    yield [
        (lines[0], PALE_LINE),
        (lines[0], ALIKE * lines[-1]),
        (CLEAR_LINE * lines[0], max(other.line for other in others)),
    ]


def _margin(above: Iterable[tuple[float, float]]) -> float:
    """How far what is there is from what is needed, where that is nearest: 0.5 where it is just enough."""
    return min(have / (have + max(0.0, limit)) if have > 0 else 0.0 for have, limit in above)


def _others(inks: Sequence[Sequence[Ink]], meant: Sequence[int | None]) -> list[Ink]:
    return [ink for row, of in zip(inks, meant, strict=True) for at, ink in enumerate(row) if at != of]


def bare_washed_out(inks: Sequence[Sequence[Ink]], meant: Sequence[int | None]) -> float:
    """Up to where a box of a washed out copy is bare: no mark leaves three boxes with the same."""
    *_, third, _second, _first = sorted(other.line for other in _others(inks, meant))
    return min(BARE, max(BARE_WASHED_OUT, STANDS_OUT * third))


def _troubles(inks: Sequence[Sequence[Ink]], meant: Sequence[int], line: float, allowed: Allowed) -> list[Trouble]:
    """What is the matter with a card that is not certain: at least one trouble."""
    seen = [[ink.ink >= MARKED and ink.line > line for ink in place] for place in inks]
    for row, inks_of, chosen in zip(seen, inks, meant, strict=True):
        row[chosen] = row[chosen] or inks_of[chosen].ink >= MARKED
    marked = [[at for at, is_marked in enumerate(place) if is_marked] for place in seen]
    doubtful = any(
        (ink.line > line or ink.patch > PATCH or ink.shade > SHADE) and at not in of
        for place, of in zip(inks, marked, strict=True)
        for at, ink in enumerate(place)
    )
    if not any(marked) and not doubtful:
        return [Trouble.BLANK]
    troubles = [Trouble.FAINT] if doubtful else []
    for place, of in zip(inks, marked, strict=True):
        if len(of) > 1:
            troubles.append(Trouble.TWO_MARKS)
            heavy, *_, light = sorted((place[at].ink for at in of), reverse=True)
            if heavy > HEAVIER * light:
                troubles.append(Trouble.CROSSED_OUT)
        elif not of:
            troubles.append(Trouble.BLANK_POSITION)
    rows = [at for at, of in enumerate(marked) if len(of) == 1]
    if not (allowed[:, rows] == [marked[at][0] for at in rows]).all(axis=1).any():
        troubles.append(Trouble.IMPOSSIBLE)
    return troubles or [Trouble.FAINT]
