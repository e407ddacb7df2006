"""A key typed in one line, read generously. Plain Python."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from contest.slips.typed import Unclear
from scoring.core.placing import ANIMALS, why_not_a_placing
from scoring.core.texts import gettext as _


@dataclass(frozen=True, slots=True)
class TypedKey:
    official: str
    cuts: tuple[int, int, int]


def parse_key(text: str) -> TypedKey:
    """Read a key such as `3124 352`, `3-1-2-4 3 5 2` or `3124 3 10 2`.

    Three cuts written as one run of three digits are one digit each; a cut of two digits needs spaces round it.
    Raises Unclear.
    """
    if strange := re.search(r"[^\d\s,.;:/|_-]", text):
        raise Unclear(_("“{text}” is no part of a key; it is digits, such as 3124 352").format(text=strange.group()))
    if below := re.search(r"(?<!\d)-\d+", text):
        raise Unclear(_("“{text}” is no cut; a cut is 0 or more points").format(text=below.group()))
    runs = re.findall(r"\d+", text)
    if not runs:
        raise Unclear(_("type the official placing and the three cuts, such as 3124 352"))
    official, rest = _official(runs)
    return TypedKey(official, _cuts(rest))


def _official(runs: Sequence[str]) -> tuple[str, Sequence[str]]:
    if len(runs) == 1 and len(runs[0]) == 7:
        runs = [runs[0][:4], runs[0][4:]]
    official, used = "", 0
    while used < len(runs) and len(official) < len(ANIMALS):
        official += runs[used]
        used += 1
    if len(official) > len(ANIMALS):
        raise Unclear(_("put a space between the placing and the cuts, such as 3124 352"))
    if problem := why_not_a_placing(official):
        raise Unclear(problem)
    return official, runs[used:]


def _cuts(runs: Sequence[str]) -> tuple[int, int, int]:
    if not runs:
        raise Unclear(_("now the three cuts: top, middle and bottom"))
    if len(runs) == 1 and len(runs[0]) == 3:
        runs = list(runs[0])
    if len(runs) == 1 and len(runs[0]) > 3:
        raise Unclear(_("{text} could be several cuts; put spaces between them, such as 3 10 2").format(text=runs[0]))
    if len(runs) != 3:
        count = len(runs[0]) if len(runs) == 1 else len(runs)
        raise Unclear(_("there are three cuts (top, middle, bottom), not {count}").format(count=count))
    top, middle, bottom = (int(run[:9]) for run in runs)  # no key is that large; `contest.keys` says so
    return top, middle, bottom
