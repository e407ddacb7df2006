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
    Contest,
    JudgingClass,
    Reading,
    Scan,
    ScannedCard,
    Source,
    State,
    Touches,
)
from contest.scanning import troubles
from contest.scanning.reader import Identity, Trouble
from contest.scanning.whose import is_of
from contest.slips.cards import CardSlip
from contest.slips.known_cards import known_card
from contest.slips.reading import add
from contest.slips.slip import Known
from contest.trail import record_change, sentence

TEST_CARD = gettext_noop("test card")
"""Why a card of a rehearsal is put aside."""

MOST_CARDS = 40
"""Of one page: no sheet of ours holds more."""
A_TURN = 4
"""Cards of one change: as many as a sheet has that nobody cut."""
LARGEST_PICTURE = 60_000
LARGEST_NUMBER = 2**31 - 1

Became = ScannedCard.Became


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
        return cls(identity, str(told["number"]), str(told["placing"]), *told_sure, found, picture)

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
    as long again as what is done with it. Cards are known by their class's key and the contestant's number."""

    classes: dict[int, JudgingClass]
    seen: set[tuple[int, int]]
    settled: set[tuple[int, int]]

    @classmethod
    def of(cls, contest: Contest, cards: Sequence[Seen]) -> Before:
        judged = {card.identity.judged for card in cards if card.identity}
        classes = {one.number: one for one in contest.classes.filter(number__in=judged)}
        numbers = {card.number for card in cards if card.number is not None}
        of_these = {"judging_class__in": [one.pk for one in classes.values()]}
        seen = ScannedCard.objects.filter(**of_these, number__in=numbers).exclude(became=Became.ASIDE)
        settled = Card.objects.filter(**of_these, contestant__number__in=numbers, state=State.SETTLED)
        return cls(
            classes,
            {(judged, number) for judged, number in seen.values_list("judging_class", "number") if judged and number},
            set(settled.values_list("judging_class", "contestant__number")),
        )


def submission_of(scan: Scan, page: int, place: int) -> UUID:
    """Of the reading of one card: the same however often its page is read."""
    return uuid5(NAMESPACE_OID, f"tanbark scan {scan.contest_id} {scan.digest} {page} {place}")


def _kept(scan: Scan, page: int, place: int, seen: Seen) -> ScannedCard:
    return ScannedCard(
        scan=scan,
        page=page,
        place=place,
        number=seen.number,
        placing=seen.placing[:10],
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
        card.judging_class = before.classes.get(seen.identity.judged)
        if card.judging_class is None:
            found.append(Trouble.UNKNOWN_CLASS)
        elif card.number is not None:
            reading = known_card(contest, card.judging_class.number, card.number, submission)
            found += _in_the_way(before, card, *reading)
            before.seen.add((card.judging_class.pk, card.number))
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


def _in_the_way(before: Before, card: ScannedCard, slip: CardSlip, known: Known) -> list[str]:
    """Why a machine must not decide what a card counts as, by what the contest knows of it. That somebody read
    something else is no such reason: readings that differ are a doubt, with the picture beside it."""
    if slip.contestant is None:
        return [troubles.UNKNOWN_NUMBER]
    if not known.due:
        return [troubles.WRONG_CLASS]
    found = []
    if not slip.contestant.present:
        found.append(troubles.ABSENT)
    this = (slip.judging_class.pk, slip.number)
    if this in before.seen:
        found.append(troubles.SEEN_TWICE)
    if this in before.settled:
        found.append(troubles.SETTLED)
    if card.placing:
        try:
            slip.check(card.placing)
        except NotPossible:
            found.append(Trouble.IMPOSSIBLE)
    return found


def reading_of(card: ScannedCard) -> Reading | None:
    """The reading that a card became; None where it became none, or that was taken back."""
    return Reading.objects.filter(submission=card.submission, withdrawn_at=None).first()


def animals_by_class(contest: Contest) -> dict[str, str]:
    """The animals of each class by its number, as the reading process is told."""
    rows = JudgingClass.objects.filter(contest=contest, places=True).values_list("number", "animals")
    return {str(number): animals for number, animals in rows}
