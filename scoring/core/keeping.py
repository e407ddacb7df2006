"""What a choice of keep/cull comes to, in words, and how often each animal was kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from scoring.core.points import figure
from scoring.core.record import NO_CARD, UNREADABLE, Part
from scoring.core.texts import gettext as _


class Instead(NamedTuple):
    """An animal that was kept where one that is worth more was not, with what each is worth."""

    kept: str
    worth: int
    missed: str
    worth_of_missed: int


def best_choice(part: Part, kept: str = "") -> str:
    """The animals that are worth most, in the part's order; of those that are worth the same, such as were `kept`."""
    if part.values is None:
        return ""
    worth = dict(zip(part.animals, part.values, strict=True))
    best = sorted(part.animals, key=lambda label: (-worth[label], label not in kept))[: part.keep]
    return part.in_order("".join(best))


def instead(part: Part, kept: str) -> list[Instead]:
    """What keeping these cost, the dearest first. Nothing where they are not so many as there should be."""
    if part.values is None or kept in (NO_CARD, UNREADABLE) or len(kept) != part.keep:
        return []
    worth = dict(zip(part.animals, part.values, strict=True))
    best = best_choice(part, kept)
    wrong = sorted((label for label in kept if label not in best), key=worth.__getitem__)
    missed = sorted((label for label in best if label not in kept), key=worth.__getitem__, reverse=True)
    return [Instead(label, worth[label], other, worth[other]) for label, other in zip(wrong, missed, strict=True)]


def choice_told(part: Part, kept: str) -> list[str]:
    """A choice as it is told to whoever made it: what was kept, what each wrong one cost, and what the best choice was.

    Such as `kept 3, worth 1 instead of 11`.
    """
    if part.values is None:
        return [_("the officials’ values are not in yet")]
    if kept == NO_CARD:
        told = [_("no card")]
    elif kept == UNREADABLE:
        told = [_("the card could not be read")]
    elif len(kept) != part.keep:
        words = _("kept {labels}: {count} instead of {keep}, which earns 0")
        told = [words.format(labels=", ".join(kept), count=len(kept), keep=part.keep)]
    else:
        told = [_("kept {labels}").format(labels=", ".join(kept))]
        words = _("kept {label}, worth {worth} instead of {missed}")
        told += [
            words.format(label=one.kept, worth=figure(one.worth), missed=figure(one.worth_of_missed))
            for one in instead(part, kept)
        ]
    best = best_choice(part, kept)
    words = _("best: {labels}, together {points}")
    return [*told, words.format(labels=", ".join(best), points=figure(part.worth(best)))]


class Kept(NamedTuple):
    """How often an animal was kept, of so many cards that can be read; `worth` is None until the values are in."""

    label: str
    worth: int | None
    times: int
    of: int
    is_best: bool


def how_often_kept(part: Part, choices: Iterable[str]) -> Iterator[Kept]:
    """Each animal of a part, by what is on the cards."""
    cards = [kept for kept in choices if kept not in (NO_CARD, UNREADABLE)]
    best = best_choice(part)
    for place, label in enumerate(part.animals):
        worth = None if part.values is None else part.values[place]
        yield Kept(label, worth, sum(label in kept for kept in cards), len(cards), label in best)
