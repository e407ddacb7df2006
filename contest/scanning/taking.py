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
from contest.changes.at_once import send
from contest.changes.desks_first import let_desks_go_first
from contest.changes.exceptions import NotPossible
from contest.changes.inserting import insertion
from contest.models import (
    SCANNER,
    CardPicture,
    ChoiceReading,
    Contest,
    JudgingClass,
    Reading,
    Scan,
    ScannedCard,
    Source,
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

# Asked within the turn, of every page or card: Django would take many times as long to put them together.
MOVE_ON = "UPDATE contest_scan SET page = %s WHERE id = %s AND state = %s AND page = %s RETURNING id"
IS_THERE = "SELECT id FROM contest_scan WHERE id = %s AND state = %s AND page = %s"
PLACES = "SELECT place FROM contest_scannedcard WHERE scan_id = %s AND page = %s"
BEFORE_CLASS = """
    SELECT EXISTS (SELECT 1 FROM contest_scannedcard
                   WHERE judging_class_id = %(of)s AND number = %(number)s AND became <> 'aside'),
           EXISTS (SELECT 1 FROM contest_card
                   WHERE judging_class_id = %(of)s AND contestant_id = %(contestant)s AND state = 'settled')
"""
"""Whether a card like this was seen, and whether it is settled."""
BEFORE_PART = BEFORE_CLASS.replace("judging_class_id", "part_id").replace("contest_card", "contest_choice")


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
    def number(self) -> int | None:
        """Whose it is, by its code or, on a spare, by what is marked."""
        if self.identity and self.identity.number:
            return self.identity.number
        marked = self.number_marked
        number = int(marked) if marked.isascii() and marked.isdecimal() and len(marked) < 11 else 0
        return number if 0 < number <= LARGEST_NUMBER else None


def take_page(scan: Scan, page: int, cards: Sequence[Seen], rest: Callable[[float], None] | None = None) -> bool:
    """Keep what was found on a page, and read what is certain. False where the page was taken before or nobody wants
    the rest any more. What was kept of it when it was stopped stays, and is not kept twice; what a power cut took is
    kept when the page is heard again, with the same submissions.

    Nobody reads meanwhile: so it is A_TURN cards at a time, and `rest` is told the seconds that those took.
    """
    rehearsed = any(card.identity and card.identity.kind == "rehearsal" for card in cards)
    kept = [(seen, _kept(scan, page, place, seen)) for place, seen in enumerate(cards[:MOST_CARDS], 1)]
    for first in range(0, max(1, len(kept)), A_TURN):
        some, is_last = kept[first : first + A_TURN], first + A_TURN >= len(kept)
        let_desks_go_first()
        began = time.monotonic()
        if not _take_some(scan, page, some, rehearsed, is_last):
            return False
        if rest:
            rest(time.monotonic() - began)
    return True


@changes
def _take_some(scan: Scan, page: int, cards: Sequence[tuple[Seen, ScannedCard]], rehearsed: bool, last: bool) -> bool:
    """Cards of a page, as far as they were made before the turn; the page is done with the last of them."""
    take_turn(scan.contest_id)
    mine = [scan.pk, Scan.State.READING.value, page - 1]
    if not (send(MOVE_ON, [page, *mine], bool) if last else send(IS_THERE, mine, bool))():
        return False
    before = send(PLACES, [scan.pk, page], set)()
    new = [(seen, card) for seen, card in cards if (card.place,) not in before]
    for seen, card in new:
        is_test = seen.identity.kind == "rehearsal" if seen.identity else rehearsed
        if is_test:
            _take_test_card(card, seen)
        else:
            _take(scan.contest, card, seen)
    if new:
        insertion([CardPicture(card_id=card.pk, image=seen.picture) for seen, card in new])()
    if new or not cards:
        waiting = sum(card.became == Became.WAITING for _seen, card in new)
        what = sentence("scan_page_read", pages=str(scan), page=page, count=len(new), waiting=waiting)
        turn = take_turn(scan.contest_id)
        record_change(scan.contest, SCANNER, what, touches=Touches.NOTHING, turn=turn)
    return True


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


def _take_test_card(card: ScannedCard, seen: Seen) -> None:
    """A card of a rehearsal, or one without a code beside such: nobody's, and read by nobody else."""
    card.became, card.by, card.reason = Became.ASIDE, SCANNER, TEST_CARD
    if seen.washed_out:  # of other cards it is nobody's trouble, as long as they are read
        card.troubles = " ".join([*seen.troubles, troubles.WASHED_OUT])
    insertion([card])()


def _take(contest: Contest, card: ScannedCard, seen: Seen) -> None:
    found = list(seen.troubles)
    reading = None
    if seen.identity is None or not is_of(contest, seen.identity):
        found += [] if found else [Trouble.OTHER_CONTEST]
    else:
        reading = _known(contest, card, seen.identity)
        if reading:
            found += _in_the_way(card, *reading)
        elif card.part_id is None and card.judging_class_id is None:
            found.append(Trouble.UNKNOWN_CLASS)
    card.troubles = " ".join(dict.fromkeys(found))
    if not found and seen.certain and reading:
        card.became = Became.READING
    insertion([card])()
    if reading and card.became == Became.READING:
        slip, known = reading
        source, turn = Source.SCANNER.value, take_turn(contest.pk)
        add(slip, known, turn, card.placing, SCANNER, submission=card.submission, source=source)


def _known(contest: Contest, card: ScannedCard, identity: Identity) -> tuple[CardSlip | ChoiceSlip, Known] | None:
    """The slip that a card is, and what is known of it; None where it is of no class or part, or of no number. Tells
    the card of which class or part it is."""
    if identity.kind in OF_A_PART:
        part = contest.parts.filter(HAS_KEY, pk=identity.judged).first()
        if part is None or bool(part.questions) != (identity.kind in ANSWERS):  # it is not as it was printed
            return None
        card.part = part
        if card.number is None:
            return None
        choice = ChoiceSlip.of_number(part, card.number)
        return choice, choice.known(card.submission)
    if card.number is None:
        card.judging_class = contest.classes.filter(number=identity.judged).first()
        return None
    try:
        slip, known = known_card(contest, identity.judged, card.number, card.submission)
    except NotPossible:
        return None
    card.judging_class_id = slip.judging_class.pk
    return slip, known


def _in_the_way(card: ScannedCard, slip: CardSlip | ChoiceSlip, known: Known) -> list[str]:
    """Why a machine must not decide what a card counts as, by what the contest knows of it. That somebody read
    something else is no such reason: readings that differ are a doubt, with the picture beside it."""
    if slip.contestant is None:
        return [troubles.UNKNOWN_NUMBER]
    if not known.due:
        return [troubles.WRONG_PART if card.part_id else troubles.WRONG_CLASS]
    found = []
    if not slip.contestant.present:
        found.append(troubles.ABSENT)
    of = {"of": card.part_id or card.judging_class_id, "number": card.number, "contestant": slip.contestant.pk}
    ((seen, settled),) = send(BEFORE_PART if card.part_id else BEFORE_CLASS, of, list)()
    if seen:
        found.append(troubles.SEEN_TWICE)
    if settled:
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
