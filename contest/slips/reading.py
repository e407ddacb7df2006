"""Reading cards: every change to what is known of a card goes through here.

A reading is only ever added. What the readings of a card come to is worked out anew each time, by
`scoring.core.settling.settle`, and kept in its `Card`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol, TypeVar
from uuid import UUID, uuid4

from django.db.models import QuerySet
from django.utils import timezone

from contest.changes import SubmissionReused, changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.changes.inserting import insert
from contest.models import Card, Contest, Contestant, Helper, JudgingClass, Reading, ReadingFields, State, Touches
from contest.slips.known_cards import known_card
from contest.trail import Personal, record_change
from scoring.core.placing import is_placing, why_not_a_placing
from scoring.core.record import NO_CARD, UNREADABLE
from scoring.core.settling import Given, Settlement, settle


class _Due(Protocol):
    """A card or score that is due. `state` is None while nobody has read it; `mine` if whoever asks has."""

    @property
    def state(self) -> str | None: ...
    @property
    def mine(self) -> bool: ...


Due = TypeVar("Due", bound=_Due)


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of a reading: `kind` for the desk's signs, `text` for people."""

    kind: str
    text: str
    reading_id: int


SAVED = "saved"
SETTLED = "settled"
DIFFERS = "differs"
UNKNOWN = "unknown-number"
WRONG_CLASS = "wrong-class"
ABSENT = "absent"
REPEATED = "repeated"


def read_card(
    judging_class: JudgingClass, number: int, placing: str, by: str, submission: UUID, helper: Helper | None = None
) -> Fate:
    """The same as `read_card_of` for a class that is at hand."""
    return read_card_of(judging_class.contest, judging_class.number, number, placing, by, submission, helper)


@changes
def read_card_of(
    contest: Contest,
    class_number: int,
    number: int,
    placing: str,
    by: str,
    submission: UUID,
    helper: Helper | None = None,
) -> Fate:
    """Add one reading of a card, whatever it says: a strange one becomes a doubt, it is never dropped.

    The same submission again changes nothing and has the same fate. Raises NotPossible for a placing that is none or a
    class that is none, and SubmissionReused where the submission's id came before with another reading.
    """
    check_placing(placing)
    turn = take_turn(contest.pk)
    known = known_card(contest.pk, class_number, number, submission)
    if known is None:
        raise NotPossible(f"this contest has no class {class_number}")
    if known.came_before:
        return _fate_of_same(submission, known.judging_class, number, placing, by)
    reading = Reading(
        submission=submission,
        helper=helper,
        by=by,
        judging_class_id=known.judging_class,
        number=number,
        contestant_id=known.contestant,
        placing=placing,
    )
    insert(reading)
    mine = Given(placing, by.casefold())
    settlement = None
    if known.due:
        rules = known.readings_per_card, known.same_reader_twice
        settlement = settle([*known.given, mine], *rules, nothing=NO_CARD)
        _keep(known.judging_class, known.contestant, settlement)
    what = f"class {class_number}, contestant {number}: card read"
    record_change(contest, by, what, after=placing or "no card", touches=Touches.CARDS, turn=turn)
    return _fate(
        reading,
        class_number,
        due=known.due,
        present=known.present,
        state=settlement and settlement.state,
        again=any(given.reader == mine.reader for given in known.given),
    )


def _fate_of_same(submission: UUID, judging_class: int, number: int, placing: str, by: str) -> Fate:
    earlier = Reading.objects.select_related("judging_class", "contestant").get(submission=submission)
    if (earlier.judging_class_id, earlier.number, earlier.placing, earlier.by) != (judging_class, number, placing, by):
        raise SubmissionReused(f"submission {submission} was used for another reading")
    return fate_of(earlier)


@changes
def take_back(reading: Reading, by: str) -> None:
    """Withdraw one's own reading, until somebody else has had a part in settling its card.

    Raises NotPossible after that, and for a reading of somebody else's.
    """
    reading = _unwithdrawn(reading)
    if reading.by != by:
        raise NotPossible("only whoever read a card can take the reading back")
    card = card_of(reading)
    others = readings_of_card(reading.judging_class, reading.contestant).exclude(by=by, decides=False)
    if card and card.state == State.SETTLED and others.exists():
        raise NotPossible("that card is settled; tell the superintendent")
    _withdraw(reading, by, "")


@changes
def set_aside(reading: Reading, by: str, reason: str) -> None:
    """Withdraw a reading that belongs to nobody or nothing, with the superintendent's reason."""
    if not reason.strip():
        raise NotPossible("say why the reading is set aside")
    _withdraw(_unwithdrawn(reading), by, reason.strip())


@changes
def move_reading(
    reading: Reading, number: int, by: str, reason: str, judging_class: JudgingClass | None = None
) -> None:
    """Give a reading to the contestant, and the class, whose card it really is; the stray one is set aside."""
    judging_class = judging_class or reading.judging_class
    if not Contestant.objects.filter(contest=judging_class.contest_id, number=number).exists():
        raise NotPossible(f"there is no contestant {number}")
    set_aside(reading, by, reason)
    read_card(judging_class, number, reading.placing, reading.by, uuid4(), reading.helper)


@changes
def decide_card(
    judging_class: JudgingClass,
    contestant: Contestant,
    placing: str,
    by: str,
    reason: str,
    on_card: str = "",
    submission: UUID | None = None,
) -> Card:
    """Settle a card by the superintendent's decision; `on_card` keeps what the card says where that differs."""
    check_placing(placing)
    if not reason.strip():
        raise NotPossible("say why the card counts as this")
    take_turn(judging_class.contest_id)
    if not judges(contestant, judging_class):
        raise NotPossible(f"contestant {contestant} does not judge class {judging_class.number}")
    before = Card.objects.filter(judging_class=judging_class, contestant=contestant).first()
    Reading.objects.create(
        submission=submission or uuid4(),
        by=by,
        judging_class=judging_class,
        number=contestant.number,
        contestant=contestant,
        placing=placing,
        decides=True,
        reason=reason.strip(),
        on_card=on_card.strip(),
    )
    card = settle_card(judging_class, contestant)
    assert card is not None
    record_change(
        judging_class.contest,
        by,
        f"class {judging_class.number}, contestant {contestant}: decided",
        before=before and (before.placing or "no card"),
        after={"card": placing or "no card", "reason": Personal(reason.strip())},
        touches=Touches.CARDS,
    )
    return card


def check_placing(placing: str) -> None:
    """Raise NotPossible unless the text is something that a card can say."""
    if placing not in (NO_CARD, UNREADABLE) and not is_placing(placing):
        raise NotPossible(why_not_a_placing(placing))


def judges(contestant: Contestant, judging_class: JudgingClass) -> bool:
    """Whether cards of this class are due from this contestant."""
    return judging_class.places and judging_class.class_divisions.filter(division=contestant.division_id).exists()


def settle_card(judging_class: JudgingClass, contestant: Contestant | None) -> Card | None:
    """Bring the card of a contestant and a class in step with its readings; None where there is none to keep.

    A stray reading, of nobody or of a class that the contestant does not judge, makes no card.
    """
    if contestant is None or not judges(contestant, judging_class):
        return None
    contest = judging_class.contest
    given = readings_of_card(judging_class, contestant).order_by("pk").values_list("placing", "by", "decides")
    settlement = settle(
        [Given(placing, by.casefold(), decides) for placing, by, decides in given],
        contest.readings_per_card,
        contest.same_reader_twice,
        nothing=NO_CARD,
    )
    return _keep(judging_class.pk, contestant.pk, settlement)


def _keep(judging_class: int, contestant: int | None, settlement: Settlement[str] | None) -> Card | None:
    """Write down what the readings of a card come to; None where that is nothing, and there is no card."""
    about = {"judging_class_id": judging_class, "contestant_id": contestant}
    if settlement is None:
        Card.objects.filter(**about).delete()
        return None
    card = Card(**about, placing=settlement.value, second=settlement.second, state=settlement.state)
    insert(card, instead_of=("judging_class", "contestant"))
    return card


def left_to_read(contest: Contest, due: Iterable[Due]) -> list[Due]:
    """Those cards or scores that whoever they were looked up for has still to read.

    Nobody reads one twice, unless the contest allows it: then everybody may read all, but every one once first.
    """
    unsettled = [one for one in due if one.state in (None, State.ONCE)]
    if contest.same_reader_twice:
        return [one for one in unsettled if one.state is None] or unsettled
    return [one for one in unsettled if not one.mine]


def readings_of_card(judging_class: JudgingClass, contestant: Contestant | None) -> QuerySet[Reading]:
    """The readings of one card that were not withdrawn."""
    return Reading.objects.filter(judging_class=judging_class, contestant=contestant, withdrawn_at__isnull=True)


def card_of(reading: Reading) -> Card | None:
    """The card that a reading is of; None for a stray one."""
    return Card.objects.filter(judging_class=reading.judging_class, contestant=reading.contestant_id).first()


def mark_withdrawn(reading: ReadingFields, by: str, reason: str) -> None:
    """Write down that a reading of any kind is withdrawn, and leave it in place. Raises NotPossible the second time."""
    changed = type(reading)._default_manager.filter(pk=reading.pk, withdrawn_at__isnull=True)
    if not changed.update(withdrawn_at=timezone.now(), withdrawn_by=by, withdrawn_reason=reason):
        raise NotPossible("that reading was withdrawn already")


def fate_of(reading: Reading) -> Fate:
    """What became of a reading, as things stand."""
    judging_class, contestant = reading.judging_class, reading.contestant
    due = contestant is not None and judges(contestant, judging_class)
    card = card_of(reading) if due else None
    own = readings_of_card(judging_class, contestant).filter(by__iexact=reading.by, pk__lt=reading.pk)
    return _fate(
        reading,
        judging_class.number,
        due=due,
        present=contestant is not None and contestant.present,
        state=card and card.state,
        again=due and own.exists(),
    )


def _fate(reading: Reading, class_number: int, due: bool, present: bool, state: str | None, again: bool) -> Fate:
    """What became of a reading whose card is `due` from its contestant, or is not, and has come to a `state` so far.

    `again` says whether the same reader has read that card before.
    """
    number = reading.number

    def fate(kind: str, text: str) -> Fate:
        return Fate(kind, text, reading.pk)

    if reading.contestant_id is None:
        return fate(UNKNOWN, f"nobody has number {number}; kept as a doubt")
    if not due:
        return fate(WRONG_CLASS, f"{number} does not judge class {class_number}; kept as a doubt")
    if state == State.DOUBT:
        return fate(DIFFERS, "differs from another reading; the superintendent decides")
    if not present and reading.placing != NO_CARD:
        return fate(ABSENT, f"{number} is marked as absent; kept as a doubt")
    if state == State.SETTLED:
        return fate(SETTLED, "saved, and settled")
    if again:
        return fate(REPEATED, f"you have read {number} before; somebody else must read it the second time")
    return fate(SAVED, "saved")


def _unwithdrawn(reading: Reading) -> Reading:
    """The reading as the database has it now, or NotPossible where it is withdrawn already."""
    take_turn(reading.judging_class.contest_id)
    fresh = Reading.objects.select_related("judging_class__contest", "contestant", "helper").get(pk=reading.pk)
    if fresh.withdrawn_at:
        raise NotPossible(f"that reading was withdrawn already, by {fresh.withdrawn_by}")
    return fresh


def _withdraw(reading: Reading, by: str, reason: str) -> None:
    mark_withdrawn(reading, by, reason)
    settle_card(reading.judging_class, reading.contestant)
    what = f"class {reading.judging_class.number}, contestant {reading.number}: reading withdrawn"
    before, after = reading.placing or "no card", {"reason": Personal(reason)} if reason else None
    record_change(reading.judging_class.contest, by, what, before=before, after=after, touches=Touches.CARDS)
