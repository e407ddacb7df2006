"""A key typed in one line, read generously. Plain Python."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from contest.slips.typed import Unclear
from scoring.core.placing import ANIMALS, why_not_a_placing, why_not_cuts
from scoring.core.texts import gettext as _

EXAMPLE_CUTS = "3524321"


@dataclass(frozen=True, slots=True)
class TypedKey:
    official: str
    cuts: tuple[int, ...]


def example(animals: str = ANIMALS) -> str:
    """How a key of a class with these animals may be typed."""
    return f"{'3124' if animals == ANIMALS else animals} {EXAMPLE_CUTS[: len(animals) - 1]}"


def parse_key(text: str, animals: str = ANIMALS) -> TypedKey:
    """Read a key such as `3124 352`, `3-1-2-4 3 5 2`, `3124 3 10 2` or `ayxb 3 5 2`.

    Cuts written as one run of so many digits are one digit each; a cut of two digits needs spaces round it. Raises
    Unclear.
    """
    text = text.upper()
    if strange := re.search(rf"[^\d\s,.;:/|_{animals}-]", text):
        if animals == ANIMALS:
            told = _("“{text}” is no part of a key; it is digits, such as 3124 352")
        else:
            told = _("“{text}” is no part of a key; it is the animals and their cuts, such as {example}")
        raise Unclear(told.format(text=strange.group(), example=example(animals)))
    if below := re.search(r"(?<![0-9A-Z])-\d+", text):
        raise Unclear(_("“{text}” is no cut; a cut is 0 or more points").format(text=below.group()))
    if animals.isalpha():  # where the cuts begin is plain
        text = re.sub(r"(?<=[A-Z])(?=\d)", " ", text)
    runs = re.findall(r"[0-9A-Z]+", text)
    if not runs:
        if animals == ANIMALS:
            raise Unclear(_("type the official placing and the three cuts, such as 3124 352"))
        raise Unclear(_("type the official placing and its cuts, such as {example}").format(example=example(animals)))
    official, rest = _official(runs, animals)
    return TypedKey(official, _cuts(rest, animals))


def _official(runs: Sequence[str], animals: str) -> tuple[str, Sequence[str]]:
    many = len(animals)
    if len(runs) == 1 and len(runs[0]) == many + many - 1:
        runs = [runs[0][:many], runs[0][many:]]
    official, used = "", 0
    while used < len(runs) and len(official) < many:
        official += runs[used]
        used += 1
    if len(official) > many:
        told = _("put a space between the placing and the cuts, such as {example}")
        raise Unclear(told.format(example=example(animals)))
    if problem := why_not_a_placing(official, animals):
        raise Unclear(problem)
    return official, runs[used:]


def _cuts(runs: Sequence[str], animals: str) -> tuple[int, ...]:
    many = len(animals) - 1
    if not runs and animals == ANIMALS:
        raise Unclear(_("now the three cuts: top, middle and bottom"))
    if not runs:
        raise Unclear(_("now the {count} cuts, the best pair’s first").format(count=many))
    if len(runs) == 1 and len(runs[0]) == many:
        runs = list(runs[0])
    if len(runs) == 1 and len(runs[0]) > many:
        raise Unclear(_("{text} could be several cuts; put spaces between them, such as 3 10 2").format(text=runs[0]))
    if strange := re.search(r"[A-Z]", " ".join(runs)):
        told = _("“{text}” is no cut; a cut is 0 or more points")
        raise Unclear(told.format(text=strange.group()))
    digits = list(runs[0]) if len(runs) == 1 else runs
    cuts = tuple(int(run[:9]) for run in digits)  # no key is that large; `contest.keys` says so
    if problem := why_not_cuts(cuts, len(animals)):
        raise Unclear(problem)
    return cuts
