"""Questions by answer: a row of letters, one a question, and a key of the same form."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from contest.slips.keyed.kind import Keyed, Shown
from contest.slips.typed import Unclear
from scoring.core.explain import listed
from scoring.core.questions import BLANK, EVERYBODY, NOBODY, UNCLEAR, in_fives

SIGNS = str.maketrans({".": BLANK, "–": BLANK, "?": UNCLEAR})
"""What else people type for the signs."""


class Answers(Keyed):
    page = "answers"
    column = gettext_lazy("Answers")
    typed_before = gettext_lazy("its answer key was typed already")
    no_mark = gettext_lazy("{part} has an answer key: answers are entered, and no points")

    @property
    def asked(self) -> str:
        words = ngettext("{count} question, {options}", "{count} questions, {options}", self.part.questions)
        return words.format(count=self.part.questions, options=" ".join(self.part.options))

    @property
    def own(self) -> dict[str, Any]:
        return {"questions": self.part.questions, "options": self.part.options}

    def parse_key(self, text: str) -> str:
        """A letter a question; `-` for one that counts for nobody, `*` for one that everybody gets."""
        key = self.read(text)
        if not key:
            raise Unclear(_("type the right letters, question by question"))
        if problem := self.why_not(key):
            raise Unclear(problem)
        if not set(key) - {NOBODY}:
            raise Unclear(_("a key by which no question counts says nothing; take the part out instead"))
        return key

    def shown(self, given: str) -> Shown:
        words = {NOBODY: _("nobody"), EVERYBODY: _("everybody")}
        return tuple((str(place), words.get(sign, sign)) for place, sign in enumerate(given, start=1))

    def read(self, text: str) -> str:
        return "".join(text.split()).translate(SIGNS).upper()

    def why_not(self, chosen: str) -> str:
        part = self.part
        for place, sign in enumerate(chosen, start=1):
            if sign not in part.options and sign not in (BLANK, UNCLEAR):
                text = _("there is no answer {sign}, at question {place}; the letters are {options}")
                return text.format(sign=sign, place=place, options=listed(part.options))
        if len(chosen) != part.questions:
            told = ngettext("{count} of {all} answer", "{count} of {all} answers", part.questions)
            told = told.format(count=len(chosen), all=part.questions)
            return _("{told}: {row}").format(told=told, row=in_fives(chosen)) if chosen else told
        return ""

    def warning(self, chosen: str) -> str:
        if not (unclear := [str(place) for place, sign in enumerate(chosen, start=1) if sign == UNCLEAR]):
            return ""
        words = ngettext(
            "question {places} is not clear: it is wrong",
            "questions {places} are not clear: they are wrong",
            len(unclear),
        )
        return words.format(places=listed(unclear))

    def apart(self, chosen: Sequence[str]) -> str:
        """Such as `They differ at question 7 (A, C).`"""
        places = enumerate(zip(*chosen, strict=True), start=1)
        differ = [f"{place} ({', '.join(dict.fromkeys(signs))})" for place, signs in places if len(set(signs)) > 1]
        if not differ:
            return ""
        words = ngettext("They differ at question {places}.", "They differ at questions {places}.", len(differ))
        return words.format(places=listed(differ))
