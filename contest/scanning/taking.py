"""What becomes of the cards of one page: a reading by scanner of each that nothing is in doubt about, and the rest for
people. A page is a short change or a few, so that what stopped goes on where it was."""

from __future__ import annotations

import time
from base64 import b64decode
from binascii import Error as NotBase64
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import NAMESPACE_OID, UUID, uuid5

from django.utils.translation import gettext_noop

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import (
    SCANNER,
    Card,
    CardPicture,
    Choice,
    ChoiceReading,
    Contest,
    JudgingClass,
    Part,
    Reading,
    Scan,
    ScannedCard,
    Source,
    State,
    Touches,
)
from contest.models.outline import HAS_KEY
from contest.scanning import troubles
from contest.scanning.reader import ANSWERS, OF_A_PART, OPEN, Identity, Trouble
from contest.scanning.whose import is_of
from contest.slips.cards import CardSlip
from contest.slips.choices import ChoiceSlip
from contest.slips.known_cards import known_card
from contest.slips.reading import add
from contest.slips.slip import Known
from contest.trail import record_change, sentence
from scoring.core.questions import MOST_QUESTIONS

TEST_CARD = gettext_noop("test card")
"""Why a card of a rehearsal is put aside."""

MOST_CARDS = 40
"""Of one page: no sheet of ours holds more."""
A_TURN = 4
"""Cards of one change: as many as a sheet has that nobody cut."""
LARGEST_PICTURE = 60_000
LARGEST_NUMBER = 2**31 - 1

Became = ScannedCard.Became
Key = tuple[str, int, int]
"""What a card is known by: whether it is of a judging class or a part, the key of that, and the contestant's number."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A card as the reading process told of it."""

    identity: Identity | None
    number_marked: str
    placing: str
    certain: bool
    confidence: float
    troubles: tuple[str, ...]
    picture: bytes
    washed_out: bool = False

    @classmethod
    def of(cls, told: dict[str, Any]) -> Seen:
        """What a line of the process says of a card. Raises ValueError, KeyError or TypeError for anything else."""
        try:
            picture = b64decode(told["picture"], validate=True)
        except NotBase64 as problem:
            raise ValueError("no picture") from problem
        if len(picture) > LARGEST_PICTURE:
            raise ValueError("too large a picture")
        identity = told["identity"] and Identity(*told["identity"])
        found = tuple(map(str, told["troubles"]))
        told_sure = bool(told["certain"]), float(told["confidence"])
        return cls(
            identity, str(told["number"]), str(told["placing"]), *told_sure, found, picture, bool(told["washed_out"])
        )

    @property
    def is_of_part(self) -> bool:
        """Whether it is a keep/cull card or an answer sheet."""
        return bool(self.identity and self.identity.kind in OF_A_PART)

    @property
    def number(self) -> int | None:
        """Whose it is, by its code or, on a spare, by what is marked."""
        if self.identity and self.identity.number:
            return self.identity.number
        marked = self.number_marked
        number = int(marked) if marked.isascii() and marked.isdecimal() and len(marked) < 11 else 0
        return number if 0 < number <= LARGEST_NUMBER else None


def take_page(scan: Scan, page: int, cards: Sequence[Seen], rest: Callable[[float], None] | None = None) -> bool:
    """Keep what was found on a page, and read what is certain. False where the page was taken before or nobody wants
    the rest any more. What was kept of it when it was stopped stays, and is not kept twice.

    Nobody reads meanwhile: so it is A_TURN cards at a time, and `rest` is told the seconds that those took.
    """
    rehearsed = any(card.identity and card.identity.kind == "rehearsal" for card in cards)
    places = list(enumerate(cards[:MOST_CARDS], 1))
    for first in range(0, max(1, len(places)), A_TURN):
        began = time.monotonic()
        some, is_last = places[first : first + A_TURN], first + A_TURN >= len(places)
        if not _take_some(scan, page, some, rehearsed, is_last):
            return False
        if rest:
            rest(time.monotonic() - began)
    return True


@changes
def _take_some(scan: Scan, page: int, cards: Sequence[tuple[int, Seen]], rehearsed: bool, is_last: bool) -> bool:
    """Cards of a page by their places; the page is done with the last of them."""
    take_turn(scan.contest_id)
    mine = Scan.objects.filter(pk=scan.pk, state=Scan.State.READING, page=page - 1)
    if not (mine.update(page=page) if is_last else mine.exists()):
        return False
    before = set(scan.cards.filter(page=page).values_list("place", flat=True))
    known = Before.of(scan.contest, [card for _place, card in cards])
    kept = []
    for place, card in cards:
        if place not in before:
            is_test = card.identity.kind == "rehearsal" if card.identity else rehearsed
            taken = _take_test_card(scan, page, place, card) if is_test else _take(known, scan, page, place, card)
            kept.append((taken, card.picture))
    CardPicture.objects.bulk_create(CardPicture(card=card, image=image) for card, image in kept)
    if kept or not cards:
        waiting = sum(card.became == Became.WAITING for card, _image in kept)
        what = sentence("scan_page_read", pages=str(scan), page=page, count=len(kept), waiting=waiting)
        record_change(scan.contest, SCANNER, what, touches=Touches.NOTHING)
    return True


@dataclass(frozen=True, slots=True)
class Before:
    """What the contest knows of some cards before they are taken, asked at once: each question of each card would be
    as long again as what is done with it."""

    classes: dict[int, JudgingClass]
    parts: dict[int, Part]
    seen: set[Key]
    settled: set[Key]

    @classmethod
    def of(cls, contest: Contest, cards: Sequence[Seen]) -> Before:
        judged = {card.identity.judged for card in cards if card.identity and not card.is_of_part}
        classes = {one.number: one for one in contest.classes.filter(number__in=judged)}
        of_parts = {card.identity.judged for card in cards if card.identity and card.is_of_part}
        parts = contest.parts.filter(HAS_KEY, pk__in=of_parts).in_bulk() if of_parts else {}
        numbers = {card.number for card in cards if card.number is not None}
        known = cls(classes, parts, set(), set())
        if classes:
            known._ask("judging_class", [one.pk for one in classes.values()], numbers, Card)
        if parts:
            known._ask("part", list(parts), numbers, Choice)
        return known

    def _ask(self, of: str, keys: list[int], numbers: set[int], results: type[Card] | type[Choice]) -> None:
        """What was seen of some classes or parts, and what is settled."""
        seen = ScannedCard.objects.filter(**{f"{of}__in": keys}, number__in=numbers).exclude(became=Became.ASIDE)
        settled = results._default_manager.filter(
            **{f"{of}__in": keys}, contestant__number__in=numbers, state=State.SETTLED
        )
        self.seen.update((of, key, number) for key, number in seen.values_list(of, "number"))
        self.settled.update((of, key, number) for key, number in settled.values_list(of, "contestant__number"))


def submission_of(scan: Scan, page: int, place: int) -> UUID:
    """Of the reading of one card: the same however often its page is read."""
    return uuid5(NAMESPACE_OID, f"tanbark scan {scan.contest_id} {scan.digest} {page} {place}")


def _kept(scan: Scan, page: int, place: int, seen: Seen) -> ScannedCard:
    return ScannedCard(
        scan=scan,
        page=page,
        place=place,
        number=seen.number,
        placing=seen.placing[:MOST_QUESTIONS],
        certain=seen.certain,
        confidence=max(0, min(1000, round(1000 * seen.confidence))),
        troubles=" ".join(seen.troubles),
        became=Became.WAITING,
        submission=submission_of(scan, page, place),
    )


def _take_test_card(scan: Scan, page: int, place: int, seen: Seen) -> ScannedCard:
    """A card of a rehearsal, or one without a code beside such: nobody's, and read by nobody else."""
    card = _kept(scan, page, place, seen)
    card.became, card.by, card.reason = Became.ASIDE, SCANNER, TEST_CARD
    if seen.washed_out:  # of other cards it is nobody's trouble, as long as they are read
        card.troubles = " ".join([*seen.troubles, troubles.WASHED_OUT])
    card.save()
    return card


def _take(before: Before, scan: Scan, page: int, place: int, seen: Seen) -> ScannedCard:
    card, contest = _kept(scan, page, place, seen), scan.contest
    submission = card.submission
    found = list(seen.troubles)
    reading = None
    if seen.identity is None or not is_of(contest, seen.identity):
        found += [] if found else [Trouble.OTHER_CONTEST]
    else:
        if seen.is_of_part:
            part = before.parts.get(seen.identity.judged)
            is_as_printed = part and bool(part.questions) == (seen.identity.kind in ANSWERS)
            card.part = part if is_as_printed else None
        else:
            card.judging_class = before.classes.get(seen.identity.judged)
        reading = _known(contest, card)
        if reading:
            found += _in_the_way(before, card, *reading)
            before.seen.add(_key_of(card))
        elif card.part is None and card.judging_class is None:
            found.append(Trouble.UNKNOWN_CLASS)
    card.troubles = " ".join(dict.fromkeys(found))
    if not found and seen.certain and reading:
        card.became = Became.READING
    card.save()
    if reading and card.became == Became.READING:
        slip, known = reading
        add(
            slip,
            known,
            take_turn(contest.pk),
            card.placing,
            SCANNER,
            submission=submission,
            source=Source.SCANNER.value,
        )
    return card


def _known(contest: Contest, card: ScannedCard) -> tuple[CardSlip | ChoiceSlip, Known] | None:
    """The slip that a card is, and what is known of it; None where it is of no class or part, or of no number."""
    if card.number is None:
        return None
    if card.part:
        slip = ChoiceSlip.of_number(card.part, card.number)
        return slip, slip.known(card.submission)
    return known_card(contest, card.judging_class.number, card.number, card.submission) if card.judging_class else None


def _key_of(card: ScannedCard) -> Key:
    of, key = ("part", card.part_id) if card.part_id else ("judging_class", card.judging_class_id)
    assert key is not None
    assert card.number is not None
    return of, key, card.number


def _in_the_way(before: Before, card: ScannedCard, slip: CardSlip | ChoiceSlip, known: Known) -> list[str]:
    """Why a machine must not decide what a card counts as, by what the contest knows of it. That somebody read
    something else is no such reason: readings that differ are a doubt, with the picture beside it."""
    if slip.contestant is None:
        return [troubles.UNKNOWN_NUMBER]
    if not known.due:
        return [troubles.WRONG_PART if card.part else troubles.WRONG_CLASS]
    found = []
    if not slip.contestant.present:
        found.append(troubles.ABSENT)
    this = _key_of(card)
    if this in before.seen:
        found.append(troubles.SEEN_TWICE)
    if this in before.settled:
        found.append(troubles.SETTLED)
    if card.placing and OPEN not in card.placing:
        try:
            slip.check(card.placing)
        except NotPossible:
            found.append(Trouble.IMPOSSIBLE)
    return found


def reading_of(card: ScannedCard) -> Reading | ChoiceReading | None:
    """The reading that a card became; None where it became none, or that was taken back."""
    kind = ChoiceReading if card.part_id else Reading
    return kind._default_manager.filter(submission=card.submission, withdrawn_at=None).first()


def asked_by_cards(contest: Contest) -> dict[str, dict[str, tuple[str, int]]]:
    """The animals on the cards of each class by its number, and on those of each keep/cull part by its key with how
    many are kept, and the letters of each part with questions, with how many those are, as the reading process is told:
    by the kind of the card."""
    classes = JudgingClass.objects.filter(contest=contest, places=True).values_list("number", "animals")
    parts = contest.parts.exclude(animals="").values_list("pk", "animals", "keep")
    with_questions = contest.parts.filter(questions__gt=0).values_list("pk", "options", "questions")
    answers = {str(pk): (options, questions) for pk, options, questions in with_questions}
    return {
        "card": {str(number): (animals, 0) for number, animals in classes},
        "keep": {str(pk): (animals, keep) for pk, animals, keep in parts},
        **dict.fromkeys(ANSWERS, answers),
    }
