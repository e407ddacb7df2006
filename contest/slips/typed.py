"""What is typed in one line, read generously: what a doubtful card or score counts as. Plain Python."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from scoring.core.placing import ANIMALS, is_placing, why_not_a_placing
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE
from scoring.core.texts import gettext as _

GAPS = "_?-.*xX"
"""What people write for an animal that cannot be read; an X only where no animal is called so."""

NO_CARD_WORDS = {"n", "no", "none", "no card", "nothing"}
NO_SCORE_WORDS = {"n", "no", "none", "no score", "nothing"}
UNREADABLE_WORDS = {"u", "unreadable"}


class Unclear(ValueError):
    """Raised for something typed that cannot be understood, in words for whoever typed it."""


@dataclass(frozen=True, slots=True)
class TypedDecision:
    """What counts, and what is on the card where it says less than that."""

    placing: str
    on_card: str = ""


def parse_decision(text: str, readings: Sequence[str] = (), animals: str = ANIMALS) -> TypedDecision:
    """Read what a card is to count as.

    All animals, in either case, or all but the last, which follows; a letter `a`, `b`... for one of the `readings`; `u`
    for unreadable, `n` for no card; or a card with one gap, such as `312_`, which the missing animal fills: what is on
    the card is then kept beside it. Raises Unclear.
    """
    typed = " ".join(text.split()).casefold()
    bare = typed.replace(" ", "").upper()
    if not typed:
        raise Unclear(_("type what counts: a placing, u for unreadable, n for no card"))
    if typed in NO_CARD_WORDS and len(bare) == len(animals) - 1 and set(bare) <= set(animals):
        raise Unclear(_("{card} could be a placing or no card: type all animals, or n alone").format(card=bare))
    if typed in NO_CARD_WORDS:
        return TypedDecision(NO_CARD)
    if typed in UNREADABLE_WORDS:
        return TypedDecision(UNREADABLE)
    if (reading := reading_called(typed, readings)) is not None:
        return TypedDecision(reading)
    if len(bare) == len(animals) and any(sign in _gaps(animals) for sign in bare):
        return TypedDecision(by_elimination(bare, animals), on_card=text.strip())
    if len(bare) == len(animals) - 1 and set(bare) <= set(animals):
        return TypedDecision(by_elimination(bare + "_", animals))
    if problem := why_not_a_placing(bare, animals):
        raise Unclear(problem)
    return TypedDecision(bare)


def reading_called(typed: str, readings: Sequence[str]) -> str | None:
    """The one of the readings that a letter `a`, `b`... stands for; None for anything but a letter. Raises Unclear
    where there is none."""
    if len(typed) != 1 or not "a" <= typed <= "z":
        return None
    place = ord(typed) - ord("a")
    if place < len(readings):
        return readings[place]
    raise Unclear(_("there is no reading {letter}").format(letter=typed.upper()))


def _gaps(animals: str) -> str:
    return "".join(sign for sign in GAPS if sign.upper() not in animals)


def by_elimination(card: str, animals: str = ANIMALS) -> str:
    """The placing of a card with one gap: the animal that is left fills it. Raises Unclear where that says nothing."""
    gaps = [sign for sign in card if sign in _gaps(animals)]
    if len(gaps) != 1:
        raise Unclear(
            _("{card} has {count} gaps; only one can be filled in by elimination").format(card=card, count=len(gaps))
        )
    left = [animal for animal in animals if animal not in card]
    filled = card.replace(gaps[0], left[0]) if left else card
    if not is_placing(filled, animals):
        raise Unclear(why_not_a_placing(filled, animals))
    return filled


def parse_points(text: str, readings: Sequence[int | None] = ()) -> int | None:
    """Read points with up to two decimals, in hundredths; `n` for no score; or a letter for one of the `readings`.

    Raises Unclear.
    """
    typed = " ".join(text.split()).casefold()
    if typed in NO_SCORE_WORDS:
        return None
    if len(typed) == 1 and "a" <= typed <= "z":
        place = ord(typed) - ord("a")
        if place < len(readings):
            return readings[place]
        raise Unclear(_("there is no reading {letter}").format(letter=typed.upper()))
    match = re.fullmatch(r"(\d{1,5})(?:[.,](\d{1,2}))?", typed)
    if not match:
        raise Unclear(_("type the points, such as 43 or 43.5, or n for no score"))
    whole, decimals = match.groups()
    return int(whole) * HUNDREDTHS + int((decimals or "0").ljust(2, "0"))
