"""What a contestant chose in a part that has a key: the animals kept, or a row of answers. `contest.slips.keyed` says
what such a part asks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Q, QuerySet
from django.db.models.functions import Length
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from contest.changes.exceptions import NotPossible
from contest.models import Choice, ChoiceReading, Contest, Contestant, Part
from contest.models.outline import HAS_KEY
from contest.slips.cards import card_text
from contest.slips.keyed import Keyed, keyed
from contest.slips.pictured import pictures_of_part
from contest.slips.slip import Place, Slip, contestant_of
from contest.slips.stack import Stack
from contest.slips.typed import NO_CARD_WORDS, UNREADABLE_WORDS, Unclear, reading_called
from contest.trail import sentence
from contest.trail.sentences import Sentence
from scoring.core.questions import UNCLEAR, in_fives
from scoring.core.record import MOST_TO_KEEP_FROM, NO_CARD, UNREADABLE


@dataclass(frozen=True)
class ChoiceSlip(Slip):
    """Of a `contestant`, or of a `number` that nobody has."""

    part: Part
    contestant: Contestant | None
    number: int | None = None

    name = "choice"
    readings = ChoiceReading
    results = Choice
    value = "chosen"
    nothing = NO_CARD
    about = ("part", "contestant")
    identified_by = ("part", "contestant", "number")
    places = ("number",)
    keeps_strays = True
    paths = {"choice": "choices/<int:part>/<int:number>/"}
    called = "choice"
    none_yet = gettext_lazy("No card yet")
    say_whose = gettext_lazy("say whose card it is")
    say_why = gettext_lazy("say why the card counts as this")
    is_settled = gettext_lazy("that card is settled; tell the superintendent")
    not_yours = gettext_lazy("only whoever read a card can take the reading back")
    decided_because = (
        gettext_noop("as the card says"),
        gettext_noop("one reading was a slip of the hand"),
        gettext_noop("no card was handed in"),
        gettext_noop("the card cannot be read"),
        gettext_noop("two cards: this one counts"),
        gettext_noop("the card came late"),
    )
    because_of_none = "no card was handed in"
    because_unreadable = "the card cannot be read"
    astray_because = (
        gettext_noop("the number was misread"),
        gettext_noop("the card lay in the wrong stack"),
        gettext_noop("read by mistake"),
        gettext_noop("not a card of this contest"),
    )

    @classmethod
    def at(cls, contest: Contest, part: int, number: int) -> ChoiceSlip:  # type: ignore[override]  # each kind has its own places
        row = get_object_or_404(contest.parts.filter(HAS_KEY).select_related("contest"), pk=part)
        return cls.of_number(row, number)

    @classmethod
    def of_number(cls, part: Part, number: int) -> ChoiceSlip:
        contestant = part.contest.contestants.select_related("division").filter(number=number).first()
        return cls(part, contestant, None if contestant else number)

    @classmethod
    def of_row(cls, row: Any) -> ChoiceSlip:
        return cls(row.part, row.contestant, row.number if isinstance(row, ChoiceReading) else None)

    def elsewhere(self, values: dict[str, Any]) -> ChoiceSlip:
        return ChoiceSlip(self.part, contestant_of(self.contest, values["number"]))

    @property
    def contest(self) -> Contest:
        return self.part.contest

    @property
    def keyed(self) -> Keyed:
        return keyed(self.part)

    def said(self, done: str) -> Sentence:
        return sentence(f"mark_{done}", part=self.part.name, contestant=self._number)

    @property
    def title(self) -> str:
        return _("{part}, contestant {number}").format(part=self.part.name, number=self._number)

    @property
    def _number(self) -> int:
        number = self.contestant.number if self.contestant else self.number
        assert number is not None
        return number

    @property
    def owner(self) -> str:
        return _("Contestant {number}").format(number=self._number)

    @property
    def whose(self) -> str:
        return str(self._number)

    @property
    def of(self) -> str:
        return self.part.name

    @property
    def stack(self) -> ChoiceStack:
        return ChoiceStack(self.part)

    @property
    def place(self) -> Place:
        return choice_place(self.part.pk, self._number)

    @property
    def listed(self) -> Place:
        return Place("scores-part", (self.part.code,))

    def is_due(self) -> bool:
        if self.contestant is None or not self.part.has_key:
            return False
        return self.part.divisions.filter(pk=self.contestant.division_id).exists()

    @property
    def not_due(self) -> str:
        return _("does not do this part") if self.contestant else _("Nobody has this number.")

    def why_not_due(self) -> str:
        text = _("the division of {owner} does not do {part}")
        return text.format(owner=self._number, part=self.part.name)

    def ever_read(self) -> QuerySet[Any]:
        """Every reading there ever was, also under this number while nobody had it."""
        mine = Q(number=self._number)
        if self.contestant:
            mine |= Q(contestant=self.contestant)
        return self.part.choice_readings.filter(mine).order_by("pk")

    def live(self) -> QuerySet[Any]:
        return super().live().filter(contestant__isnull=False)

    def check(self, value: str) -> None:
        if value not in (NO_CARD, UNREADABLE) and (problem := self.keyed.why_not(value)):
            raise NotPossible(problem)

    @classmethod
    def value_text(cls, value: str) -> str:
        """A long row, which only answers are, in fives."""
        return in_fives(value) if len(value) > MOST_TO_KEEP_FROM and value != UNREADABLE else card_text(value)

    @classmethod
    def kept(cls, value: str) -> Sentence | str:
        return sentence("unreadable") if value == UNREADABLE else value or sentence("no_card")

    @classmethod
    def why(cls, value: str, on_paper: str = "") -> str:
        return cls.because_unreadable if value == UNREADABLE else super().why(value, on_paper)

    def parse(self, text: str, readings: Sequence[str]) -> tuple[str, str]:
        """As `typed` reads it, or one of the readings by its letter, where that is no label. Raises Unclear."""
        typed = " ".join(text.split()).casefold()
        if not typed:
            raise Unclear(_("type what counts, u for unreadable, n for no card"))
        if self.keyed.why_not(self.keyed.read(text)) and (told := reading_called(typed, readings)) is not None:
            return told, ""
        return self.typed(text), ""

    def typed(self, text: str) -> str:
        """What somebody types of a card, as it is kept: nothing or a word for no card, a word for one that cannot be
        read. Raises Unclear."""
        chosen = self.keyed.read(text)
        if not (problem := self.keyed.why_not(chosen)):
            return chosen
        word = " ".join(text.split()).casefold()
        if word in NO_CARD_WORDS or word in ("", "-"):
            return NO_CARD
        if word in UNREADABLE_WORDS or self.keyed.is_unreadable(word):
            return UNREADABLE
        raise Unclear(problem)

    def warning(self, value: str) -> str:
        return "" if value in (NO_CARD, UNREADABLE) else self.keyed.warning(value)

    def apart(self, values: Sequence[str]) -> str:
        return self.keyed.apart([value for value in values if value not in (NO_CARD, UNREADABLE)])

    @classmethod
    def odd(cls, results: QuerySet[Any]) -> QuerySet[Any]:
        read = results.exclude(chosen__in=(NO_CARD, UNREADABLE))
        read = read.annotate(many=Length("chosen"))
        unclear = Q(part__questions__gt=0, chosen__contains=UNCLEAR)
        odd: QuerySet[Any] = read.filter(unclear | Q(part__questions=0) & ~Q(many=F("part__keep")))
        return odd


def choice_place(part: int, number: int) -> Place:
    return Place("choice", (part, number))


@dataclass(frozen=True)
class ChoiceStack(Stack):
    """What was handed in for one part."""

    part: Part

    kind = ChoiceSlip

    @property
    def name(self) -> str:
        return self.part.name

    @property
    def label(self) -> str:
        return _("{part}, to read once more").format(part=self.name) if self.once_more else self.name

    @property
    def place(self) -> Place:
        return Place("scores-choices-sheet", (self.part.code,))

    @property
    def divisions(self) -> set[int]:
        return {division.pk for division in self.part.divisions.all()}

    def not_due(self, number: int) -> str:
        text = _("{number} does not do {part}, so there is no card to enter.")
        return text.format(number=number, part=self.part.name)

    @property
    def keyed(self) -> Keyed:
        return keyed(self.part)

    @property
    def letters(self) -> list[str]:
        """The labels that no keypad of digits has."""
        return [label for label in self.part.animals or self.part.options if not label.isdigit()]

    @property
    def own(self) -> dict[str, Any]:
        return {**self.keyed.own, "pictures": pictures_of_part(self.part, self.group, self.once_more)}

    def slip(self, of: int) -> ChoiceSlip:
        return ChoiceSlip.of_number(self.part, of)
