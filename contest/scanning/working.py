"""What people do about the cards that a machine must not decide: read them, put them aside, and have them back."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django.db.models import Case, F, IntegerField, QuerySet, When
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import Contest, Helper, ScannedCard, Touches
from contest.scanning import troubles
from contest.scanning.reader import OPEN, Trouble
from contest.scanning.taking import reading_of
from contest.slips.cards import CardSlip
from contest.slips.choices import ChoiceSlip
from contest.slips.reading import Outcome, add, take_back
from contest.slips.slip import class_of
from contest.slips.typed import Unclear, parse_decision
from contest.trail import record_change, sentence
from scoring.core.explain import listed
from scoring.core.record import NO_CARD, UNREADABLE

Became = ScannedCard.Became

NOT_READ = "x"
"""What is typed for a card that cannot be read."""
_ONE_ANSWER = re.compile(r"(\d{1,3})[=:]?(\D)")
"""One answer of a sheet: the question, and what is marked there."""

SCANNED_BEFORE = gettext_noop("scanned before")
OF_ANOTHER = gettext_noop("not a card of this contest")
NO_CARD_THERE = gettext_noop("no card there")
READ_FROM_PAPER = gettext_noop("read from paper")
ASIDE_BECAUSE = (NO_CARD_THERE, SCANNED_BEFORE, OF_ANOTHER, READ_FROM_PAPER)


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed of a card: nothing at all for what the machine thinks. `number` and `class_number` only where
    the card's own are not known, or wrong."""

    placing: str
    number: int | None = None
    class_number: int | None = None


def waiting_cards(contest: Contest) -> QuerySet[ScannedCard]:
    """The cards that wait for people, those first of which one key settles most; then those with a class and a number,
    in the order of the classes."""
    thought = Case(When(placing="", then=1), default=0, output_field=IntegerField())
    known = Case(
        When(number=None, then=1), When(judging_class=None, part=None, then=1), default=0, output_field=IntegerField()
    )
    rows = ScannedCard.objects.filter(scan__contest=contest, became=Became.WAITING)
    by_class = F("judging_class__position").asc(nulls_last=True)
    return rows.select_related("judging_class", "part__contest", "scan").order_by(
        known, thought, by_class, "judging_class", "part", "number", "pk"
    )


def labels_on(card: ScannedCard) -> str:
    """The labels of the animals of its class or part, or the letters of its answers, as far as that is known."""
    if card.part:
        return card.part.animals or card.part.options
    return card.judging_class.animals if card.judging_class else ""


def open_questions(card: ScannedCard) -> list[int]:
    """The questions of an answer sheet, from 1, that the scanner leaves to a person."""
    return [at for at, sign in enumerate(card.placing, 1) if sign == OPEN]


def why_aside(card: ScannedCard) -> str:
    """The reason that fits best where a card is put aside."""
    found = set(card.troubles.split())
    if found & {troubles.SEEN_TWICE, troubles.SETTLED}:
        return SCANNED_BEFORE
    return OF_ANOTHER if found & {Trouble.OTHER_CONTEST, Trouble.NOT_OURS} else NO_CARD_THERE


@changes
def read(card: ScannedCard, typed: Typed, by: str, helper: Helper | None = None) -> Outcome:
    """Read a card that waits: the reading is whoever's typed it. A gap that the superintendent fills, such as `312_`,
    is a decision, which keeps what is on the card; nobody else fills one.

    Raises WrongValue for a number, a class or a placing that cannot be, and NotPossible where somebody was quicker.
    """
    contest = card.scan.contest
    turn = take_turn(contest.pk)
    card = _still_waiting(card)
    slip = _slip(contest, card, typed)
    placing, on_card = _typed(card, slip, typed.placing)
    if on_card and helper:
        raise WrongValue("placing", _("only the superintendent fills in what a card leaves out; leave it for later"))
    if isinstance(slip, CardSlip):
        card.judging_class = slip.judging_class
    assert slip.contestant is not None
    card.number = slip.contestant.number
    card.became, card.by, card.submission = Became.SETTLED, by, uuid4()
    card.save(update_fields=["judging_class", "number", "became", "by", "submission"])
    more: dict[str, Any] = {"submission": card.submission, "helper": helper}
    if on_card:
        more |= {"decides": True, "reason": slip.because_of_a_gap, "on_card": on_card}
    return add(slip, slip.known(card.submission), turn, placing, by, **more)


def _still_waiting(card: ScannedCard, became: str = Became.WAITING) -> ScannedCard:
    now = ScannedCard.objects.select_related("scan__contest", "judging_class", "part__contest").get(pk=card.pk)
    if now.became != became:
        told = _("{name} has dealt with this card meanwhile").format(name=now.by or _("somebody else"))
        raise NotPossible(told)
    return now


def _slip(contest: Contest, card: ScannedCard, typed: Typed) -> CardSlip | ChoiceSlip:
    known = card.judging_class.number if card.judging_class else None
    judged, number = typed.class_number or known, typed.number or card.number
    if not judged and not card.part:
        raise WrongValue("class_number", _("type the number of the class"))
    if not number:
        raise WrongValue("number", _("type the number of the contestant"))
    slip: CardSlip | ChoiceSlip
    if card.part:
        slip = ChoiceSlip.of_number(card.part, number)
    else:
        assert judged is not None
        slip = CardSlip.of_number(class_of(contest, judged), number)
    if slip.contestant is None:
        raise WrongValue("number", _("nobody has number {number}").format(number=number))
    if not slip.is_due():
        raise WrongValue("number", slip.why_not_due())
    return slip


def _typed(card: ScannedCard, slip: CardSlip | ChoiceSlip, typed: str) -> tuple[str, str]:
    """What a card counts as, and what is on it where that says less."""
    text = typed.strip() or card.placing
    if isinstance(slip, ChoiceSlip):
        if slip.part.questions and text.casefold() == NOT_READ:
            return UNREADABLE, ""
        if slip.part.questions:
            text = _mended(card, text)
        return _chosen(slip, text), ""
    return _placing(text, slip.judging_class.animals)


def _mended(card: ScannedCard, text: str) -> str:
    """What an answer sheet says where only single answers are typed, such as `7C 12-`: the rest is as the scanner has
    it."""
    row = list(card.placing)
    answers = [_ONE_ANSWER.fullmatch(one) for one in text.replace(",", " ").split()]
    if row and all(answers):
        for answer in filter(None, answers):
            at = int(answer[1])
            if not 0 < at <= len(row):
                raise WrongValue("placing", _("there is no question {number}").format(number=at))
            row[at - 1] = answer[2]
        text = "".join(row)
    if OPEN in text and len(text) == len(row):
        left = listed([str(at) for at, sign in enumerate(text, 1) if sign == OPEN])
        told = _("say what these questions have, such as 7C, or 7- where nothing is marked: {questions}")
        raise WrongValue("placing", told.format(questions=left))
    return text


def _chosen(slip: ChoiceSlip, text: str) -> str:
    """The animals that are kept, however many, or a row of answers."""
    try:
        chosen = slip.typed(text)
    except Unclear as problem:
        raise WrongValue("placing", str(problem)) from None
    if chosen == NO_CARD:
        if slip.part.questions:
            told = _("there is a sheet: type its answers, ? if it cannot be read, or put it aside")
        else:
            told = _("there is a card: type the animals that it keeps, ? if it cannot be read, or put it aside")
        raise WrongValue("placing", told)
    return chosen


def _placing(text: str, animals: str) -> tuple[str, str]:
    if text.casefold() == NOT_READ and NOT_READ.upper() not in animals:
        return UNREADABLE, ""
    try:
        decision = parse_decision(text, (), animals)
    except Unclear as problem:
        raise WrongValue("placing", str(problem)) from None
    if decision.placing == NO_CARD:
        raise WrongValue("placing", _("there is a card: type its placing, x if it cannot be read, or put it aside"))
    return decision.placing, decision.on_card


@changes
def put_aside(card: ScannedCard, by: str, reason: str) -> None:
    """Leave a card out: nothing is read of it. Raises NotPossible without a reason, or where somebody was quicker."""
    if not reason.strip():
        raise NotPossible(_("say why the card is put aside"))
    contest = card.scan.contest
    turn = take_turn(contest.pk)
    card = _still_waiting(card)
    card.became, card.by, card.reason = Became.ASIDE, by, reason.strip()
    card.save(update_fields=["became", "by", "reason"])
    record_change(contest, by, _about(card, "scan_card_aside"), touches=Touches.NOTHING, turn=turn)


@changes
def bring_back(card: ScannedCard, by: str) -> None:
    """Let a card wait again that somebody put aside or read; a reading of it is taken back by whoever made it. Raises
    NotPossible as `contest.slips.reading.take_back` does."""
    contest = card.scan.contest
    take_turn(contest.pk)
    card = ScannedCard.objects.select_related("scan__contest", "judging_class", "part__contest").get(pk=card.pk)
    if card.became not in (Became.ASIDE, Became.SETTLED):
        raise NotPossible(_("this card waits already, or was read by scanner"))
    reading = reading_of(card)
    card.became, card.by, card.reason = Became.WAITING, "", ""
    card.save(update_fields=["became", "by", "reason"])
    if reading:
        take_back(reading, by)
    record_change(contest, by, _about(card, "scan_card_back"), touches=Touches.NOTHING)


def _about(card: ScannedCard, code: str) -> Any:
    return sentence(code, pages=str(card.scan), page=card.page, place=card.place)
