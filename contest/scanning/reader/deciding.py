"""What marks say: from the ink in each box to a placing or a number, and why not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from contest.scanning.reader.found import Trouble
from contest.scanning.reader.measuring import Ink

MARKED = 0.24
"""mm² of black: from so much ink on a box is marked."""
BARE = 0.03
"""mm² of black inside: up to so little a box is bare. In between nobody but a person says."""
DIGIT_MARKED, DIGIT_BARE = 0.2, 0.03
HEAVIER = 4.0
"""One mark of two that has so many times the ink of the other was struck out, likely."""


class Decided(NamedTuple):
    """What the marks say, empty where that is not sure, how sure (`FoundCard.confidence`), and what is in doubt."""

    text: str
    confidence: float
    troubles: tuple[Trouble, ...]


def placing_of(inks: Sequence[Sequence[Ink]], animals: str) -> Decided:
    """The placing by the ink of each place, by animal."""
    troubles: list[Trouble] = []
    marked = [[at for at, ink in enumerate(place) if ink.ink >= MARKED and ink.inside > BARE] for place in inks]
    doubtful = any(
        ink.inside > BARE and at not in of
        for place, of in zip(inks, marked, strict=True)
        for at, ink in enumerate(place)
    )
    if not any(marked) and not doubtful:
        return Decided("", 0.0, (Trouble.BLANK,))
    if doubtful:
        troubles.append(Trouble.FAINT)
    for place, of in zip(inks, marked, strict=True):
        if len(of) > 1:
            troubles.append(Trouble.TWO_MARKS)
            heavy, *_, light = sorted((place[at].ink for at in of), reverse=True)
            if heavy > HEAVIER * light:
                troubles.append(Trouble.CROSSED_OUT)
        elif not of:
            troubles.append(Trouble.BLANK_POSITION)
    once = [of[0] for of in marked if len(of) == 1]
    if len(set(once)) < len(once):
        troubles.append(Trouble.IMPOSSIBLE)
    if troubles:
        return Decided("", _confidence(inks, marked, MARKED, BARE), tuple(dict.fromkeys(troubles)))
    return Decided("".join(animals[at] for at in once), _confidence(inks, marked, MARKED, BARE), ())


def number_of(inks: Sequence[Sequence[Ink]]) -> Decided:
    """A spare's number by the ink of each position, by digit. Positions before the first digit may be left bare."""
    marked = [[at for at, ink in enumerate(of) if ink.ink >= DIGIT_MARKED and ink.inside > DIGIT_BARE] for of in inks]
    doubtful = any(
        ink.inside > DIGIT_BARE and at not in of
        for row, of in zip(inks, marked, strict=True)
        for at, ink in enumerate(row)
    )
    sure = _confidence(inks, marked, DIGIT_MARKED, DIGIT_BARE)
    begins = next((at for at, of in enumerate(marked) if of), len(marked))
    text = "".join(str(of[0]) for of in marked[begins:] if len(of) == 1)
    if doubtful or len(text) < len(marked) - begins or not text.strip("0"):
        return Decided("", min(sure, 0.49), (Trouble.NUMBER_UNSURE,))
    return Decided(str(int(text)), sure, ())


def _marks(inks: Sequence[Sequence[Ink]], least: float, most: float) -> tuple[list[list[int]], bool]:
    """Which boxes of each row are marked, and whether any is neither marked nor bare."""
    marked = [[at for at, ink in enumerate(row) if ink.ink >= least and ink.inside > most] for row in inks]
    neither = (
        ink.inside > most and at not in of for row, of in zip(inks, marked, strict=True) for at, ink in enumerate(row)
    )
    return marked, any(neither)


def _confidence(inks: Sequence[Sequence[Ink]], marked: Sequence[Sequence[int]], least: float, most: float) -> float:
    """How far the nearest box is from its limit: 0.5 on it, towards 1 the further it is on its side."""
    sure = 1.0
    for row, of in zip(inks, marked, strict=True):
        for at, ink in enumerate(row):
            here = ink.ink / (ink.ink + least) if at in of else most / (most + ink.inside)
            sure = min(sure, here)
    return round(sure, 3)
