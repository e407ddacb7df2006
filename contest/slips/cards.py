"""Placing cards. A reading may be of a number that nobody has, or of a class that the contestant does not judge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from contest.changes.exceptions import NotPossible
from contest.models import Card, Contest, Contestant, JudgingClass, Reading, Touches
from contest.slips.due import Due
from contest.slips.pictured import pictures_by_number
from contest.slips.slip import Place, Slip, class_of, contestant_of
from contest.slips.stack import Stack
from contest.slips.typed import parse_decision
from contest.trail import sentence
from contest.trail.sentences import Sentence
from scoring.core.placing import why_not_a_placing
from scoring.core.record import NO_CARD, UNREADABLE

WORDS = {NO_CARD: "no_card", UNREADABLE: "unreadable"}
"""What a card says that is no placing, by the trail's sentence for it."""


@dataclass(frozen=True)
class CardSlip(Slip):
    """The card of a number for a class; `contestant` is None where nobody has the number."""

    judging_class: JudgingClass
    number: int
    contestant: Contestant | None

    name = "card"
    room = "desk"
    readings = Reading
    results = Card
    value = "placing"
    nothing = NO_CARD
    about = ("judging_class", "contestant")
    identified_by = ("judging_class", "number")
    places = ("number", "class_number")
    paths = {"card": "cards/<int:class_number>/<int:number>/"}
    keeps_strays = True
    touches = Touches.CARDS
    called = "card"
    none_yet = gettext_lazy("No card yet")
    say_whose = gettext_lazy("say whose card it is")
    say_why = gettext_lazy("say why the card counts as this")
    is_settled = gettext_lazy("that card is settled; tell the superintendent")
    not_yours = gettext_lazy("only whoever read a card can take the reading back")
    decided_because = (
        gettext_noop("as the card says"),
        gettext_noop("one reading was a slip of the hand"),
        gettext_noop("no card was handed in"),
        gettext_noop("the missing place by elimination"),
        gettext_noop("the card cannot be read"),
        gettext_noop("two cards: this one counts"),
        gettext_noop("the card came late"),
    )
    because_of_none = "no card was handed in"
    because_unreadable = "the card cannot be read"
    because_of_a_gap = "the missing place by elimination"
    astray_because = (
        gettext_noop("the number was misread"),
        gettext_noop("the card lay in the wrong stack"),
        gettext_noop("read by mistake"),
        gettext_noop("not a card of this contest"),
    )

    @classmethod
    def of_number(cls, judging_class: JudgingClass, number: int) -> CardSlip:
        people = judging_class.contest.contestants.select_related("division")
        return cls(judging_class, number, people.filter(number=number).first())

    @classmethod
    def of_row(cls, row: Any) -> CardSlip:
        number = row.number if isinstance(row, Reading) else row.contestant.number
        return cls(row.judging_class, number, row.contestant)

    @classmethod
    def at(cls, contest: Contest, class_number: int, number: int) -> CardSlip:  # type: ignore[override]  # each kind has its own places
        classes = contest.classes.select_related("contest")
        return cls.of_number(get_object_or_404(classes, number=class_number), number)

    def elsewhere(self, values: dict[str, Any]) -> CardSlip:
        judged = class_of(self.contest, values["class_number"])
        return CardSlip(judged, values["number"], contestant_of(self.contest, values["number"]))

    @property
    def contest(self) -> Contest:
        return self.judging_class.contest

    def said(self, done: str) -> Sentence:
        return sentence(f"card_{done}", judged=self.judging_class.number, contestant=self.number)

    @property
    def title(self) -> str:
        return _("Class {number}, contestant {contestant}").format(
            number=self.judging_class.number, contestant=self.number
        )

    @property
    def of(self) -> str:
        return _("Class {number}, {name}").format(number=self.judging_class.number, name=self.judging_class.name)

    @property
    def owner(self) -> str:
        return _("Contestant {number}").format(number=self.number)

    @property
    def read_before(self) -> str:
        return _("you have read {number} before; somebody else must read it the second time").format(number=self.number)

    @property
    def whose(self) -> str:
        return str(self.number)

    @property
    def stack(self) -> CardStack:
        return CardStack(self.judging_class)

    @property
    def place(self) -> Place:
        return card_place(self.judging_class.number, self.number)

    @property
    def listed(self) -> Place:
        return Place("progress-class", (self.judging_class.number,))

    def is_due(self) -> bool:
        return self.contestant is not None and judges(self.contestant, self.judging_class)

    @property
    def not_due(self) -> str:
        return _("does not judge this class") if self.contestant else _("Nobody has this number.")

    def why_not_due(self) -> str:
        number, judged = self.number, self.judging_class.number
        return _("{number} does not judge class {class_number}").format(number=number, class_number=judged)

    def check(self, value: str) -> None:
        if value not in WORDS and (reason := why_not_a_placing(value, self.judging_class.animals)):
            raise NotPossible(reason)

    @classmethod
    def value_text(cls, value: str) -> str:
        return card_text(value)

    @classmethod
    def kept(cls, value: str) -> Sentence | str:
        return sentence(WORDS[value]) if value in WORDS else value

    @classmethod
    def why(cls, value: str, on_paper: str = "") -> str:
        return cls.because_unreadable if value == UNREADABLE else super().why(value, on_paper)

    def parse(self, text: str, readings: Sequence[str]) -> tuple[str, str]:
        typed = parse_decision(text, readings, self.judging_class.animals)
        return typed.placing, typed.on_card

    def ever_read(self) -> QuerySet[Reading]:
        """Every reading there ever was, also under this number while nobody had it."""
        mine = Q(contestant=self.contestant) | Q(number=self.number) if self.contestant else Q(number=self.number)
        return self.judging_class.readings.filter(mine).order_by("pk")

    def live(self) -> QuerySet[Reading]:
        return super().live().filter(contestant__isnull=False)


@dataclass(frozen=True)
class CardStack(Stack):
    """The cards of one class and one group; without a group, loose cards of the class in any order."""

    judging_class: JudgingClass

    kind = CardSlip

    @property
    def name(self) -> str:
        return _("class {number}").format(number=self.judging_class.number)

    @property
    def label(self) -> str:
        number = self.judging_class.number
        if self.once_more:
            return _("class {number}, cards to read once more").format(number=number)
        if self.group is None:
            return _("class {number}, loose cards").format(number=number)
        return _("class {number}, group {group}").format(number=number, group=self.group) if self.group else self.name

    @property
    def place(self) -> Place:
        return Place("desk-stack", (self.judging_class.number,))

    @property
    def readings(self) -> Place:
        return Place("desk-readings", ())

    @property
    def divisions(self) -> set[int]:
        return set(self.judging_class.class_divisions.values_list("division_id", flat=True))

    def not_due(self, number: int) -> str:
        judged = self.judging_class.number
        return _("{number} does not judge class {class_number}.").format(number=number, class_number=judged)

    @property
    def own(self) -> dict[str, Any]:
        judged = self.judging_class
        pictures = {} if self.is_loose else pictures_by_number(judged, self.group, self.once_more)
        return {"loose": self.is_loose, "classNumber": judged.number, "animals": judged.animals, "pictures": pictures}

    @property
    def is_loose(self) -> bool:
        """Whether nobody knows which card comes next."""
        return self.group is None and not self.once_more

    def left(self, slips: Iterable[Due]) -> list[Due]:
        return [] if self.is_loose else super().left(slips)


def judges(contestant: Contestant, judging_class: JudgingClass) -> bool:
    """Whether cards of this class are due from this contestant."""
    return judging_class.places and judging_class.class_divisions.filter(division=contestant.division_id).exists()


def card_place(class_number: int, number: int) -> Place:
    return Place("card", (class_number, number))


def card_text(placing: str) -> str:
    """What a card says, in words where it says no placing."""
    return str(CardSlip.kept(placing))
