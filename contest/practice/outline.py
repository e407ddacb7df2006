"""An outline of a set of reasons: its parts in the order in which they are said, and what each is called."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from scoring.core.placing import cut_names

OF_PAIR: dict[str, Promise | str] = {
    "why": gettext_lazy("Why over"),
    "grant": gettext_lazy("Grant"),
    "fault": gettext_lazy("Fault"),
}
OPENING, CLOSE = "opening", "close"
PLACING = "placing"
"""What the outline was made of, beside its parts."""


def parts(animals: str) -> list[str]:
    """The parts of a set on a class with these animals: the opening, three of each pair, and the close."""
    of_pairs = [f"{pair}-{part}" for pair in range(1, len(animals)) for part in OF_PAIR]
    return [OPENING, *of_pairs, CLOSE]


def pair_headings(animals: str) -> list[str]:
    said = _("{name} pair")
    return [capfirst(said.format(name=name)) for name in cut_names(len(animals))]


def outlined(outline: Mapping[str, str]) -> list[tuple[str, str]]:
    """An outline in lines: what each part is called, and its words; only those that say something."""
    placing = outline.get(PLACING, "")
    lines = [(_("Opening"), outline.get(OPENING, ""))]
    said = _("{pair}: {upper} over {lower}; {part}")
    for at, ((upper, lower), heading) in enumerate(zip(pairwise(placing), pair_headings(placing), strict=True), 1):
        for part, label in OF_PAIR.items():
            called = said.format(pair=heading, upper=upper, lower=lower, part=label)
            lines.append((called, outline.get(f"{at}-{part}", "")))
    lines.append((pgettext("of a set of reasons", "Close"), outline.get(CLOSE, "")))
    return [(called, words) for called, words in lines if words]
