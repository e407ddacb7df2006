"""Keep/cull: so many of a part's animals, which are typed in any order; its key is what keeping each is worth."""

from __future__ import annotations

import re
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.book.outline import LARGEST_POINTS
from contest.slips.keyed.kind import Keyed, Shown
from contest.slips.typed import GAPS, Unclear


class KeepCull(Keyed):
    page = "choices"
    column = gettext_lazy("Kept")
    typed_before = gettext_lazy("what keeping each is worth was typed already")
    no_mark = gettext_lazy("{part} is keep/cull: what was kept is entered, and no points")

    @property
    def asked(self) -> str:
        words = _("keep/cull, {keep} of {of} kept")
        return words.format(keep=self.part.keep, of=len(self.part.animals))

    @property
    def own(self) -> dict[str, Any]:
        return {"animals": self.part.animals, "keep": self.part.keep}

    def parse_key(self, text: str) -> str:
        """Values in the order of labels."""
        animals, values = self.part.animals, re.split(r"[\s,;]+", text.strip())
        if not text.strip():
            raise Unclear(_("type what keeping each animal is worth, in the order {animals}").format(animals=animals))
        for value in values:
            if not (value.isascii() and value.isdecimal() and len(value) < 6 and int(value) <= LARGEST_POINTS):
                told = _("{value} is not a whole number from 0 to {most}")
                raise Unclear(told.format(value=value, most=LARGEST_POINTS))
        if len(values) != len(animals):
            told = _("{count} values, and there are {animals} animals: one value each, in the order {labels}")
            raise Unclear(told.format(count=len(values), animals=len(animals), labels=animals))
        return " ".join(str(int(value)) for value in values)

    def shown(self, given: str) -> Shown:
        return tuple(zip(self.part.animals, given.split(), strict=True))

    def read(self, text: str) -> str:
        typed = "".join(text.split()).replace(",", "").upper()
        return in_order(typed, self.part.animals) if not self.why_not(typed) else typed

    def why_not(self, chosen: str) -> str:
        animals = self.part.animals
        if strange := [label for label in chosen if label not in animals]:
            text = _("there is no animal {label} here; the labels are {animals}")
            return text.format(label=strange[0], animals=", ".join(animals))
        if twice := [label for label in animals if chosen.count(label) > 1]:
            return _("{label} is there twice").format(label=twice[0])
        return ""

    def warning(self, chosen: str) -> str:
        """How many were kept is the contestant's own: a card with too many or too few is read as it is, and earns 0."""
        if len(chosen) == self.part.keep:
            return ""
        return _("{count} kept instead of {keep}: it earns 0").format(count=len(chosen), keep=self.part.keep)

    def is_unreadable(self, word: str) -> bool:
        return bool(word) and set(word) <= set(GAPS)


def in_order(kept: str, animals: str) -> str:
    return "".join(label for label in animals if label in kept)
