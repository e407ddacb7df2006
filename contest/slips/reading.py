"""Every change to what is known of a slip: read, taken back, set aside, brought back, moved, decided.

A reading is only ever added. What the readings of a slip come to is worked out anew each time, by
`scoring.core.settling.settle`, and kept as its result.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid4

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import SubmissionReused, Turn, changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.changes.inserting import insert, put
from contest.models import Helper, ReadingFields, Source, State
from contest.slips.kinds import slip_of
from contest.slips.slip import Known, Slip, field_names, given
from contest.trail import Personal, record_change
from scoring.core.settling import Settlement, settle


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a reading: `kind` for the desk's signs, `text` for people; `more` for a script alone."""

    kind: str
    text: str
    reading_id: int
    more: dict[str, Any] = field(default_factory=dict)


SAVED = "saved"
SETTLED = "settled"
DIFFERS = "differs"
UNKNOWN = "unknown-number"
WRONG_CLASS = "wrong-class"
ABSENT = "absent"
REPEATED = "repeated"


@changes
def read(
    slip: Slip,
    value: Any,
    by: str,
    submission: UUID | None = None,
    helper: Helper | None = None,
    source: str = Source.PAPER.value,
) -> Outcome:
    """Add one reading. The same submission again changes nothing and has the same outcome.

    A strange one becomes a doubt where the kind keeps strays. Raises NotPossible for a value that no such slip can say
    and for a slip that is not due, and SubmissionReused where the submission's id came before with another reading.
    """
    slip.check(value)
    turn = take_turn(slip.contest.pk)
    return add(slip, slip.known(submission), turn, value, by, submission=submission, helper=helper, source=source)


@changes
def decide(slip: Slip, value: Any, by: str, reason: str, on_card: str = "") -> Outcome:
    """Settle a slip by the superintendent's decision; `on_card` keeps what a card says where that differs."""
    slip.check(value)
    if not reason.strip():
        raise NotPossible(str(slip.say_why))
    turn = take_turn(slip.contest.pk)
    more = {"on_card": on_card.strip()} if on_card.strip() else {}
    return add(slip, slip.known(None), turn, value, by, decides=True, reason=reason.strip(), **more)


def add(slip: Slip, known: Known, turn: Turn, value: Any, by: str, **more: Any) -> Outcome:
    """Write down one reading of a slip of which all is `known`, within a change that has taken its turn; `more` are
    the reading's other fields. Raises as `read` does."""
    if known.came_before:
        return _outcome_of_same(slip, value, by, more["submission"])
    decides, reason = more.get("decides", False), more.get("reason", "")
    if not known.due and (decides or not slip.keeps_strays):
        raise NotPossible(slip.why_not_due())
    more["submission"] = more.get("submission") or uuid4()
    reading = slip.readings(**{name: getattr(slip, name) for name in field_names(slip)}, by=by, **more)
    setattr(reading, slip.value, value)
    told_its_key = insert(reading)
    mine = given(value, by, decides, reading.source)
    before = settlement = None
    if known.due:
        before = _settled(slip, known, known.given)
        settlement = _settled(slip, known, [*known.given, mine])
        _keep(slip, settlement)
    after: Any = slip.kept(value)
    record_change(
        slip.contest,
        by,
        slip.said("decided" if decides else "read"),
        before=slip.kept(before.value) if before and (decides or not slip.keeps_strays) else None,
        after={slip.called: after, "reason": Personal(reason)} if decides else after,
        touches=slip.touches,
        about=slip.subjects,
        turn=turn,
    )
    told_its_key()
    again = any(earlier.reader == mine.reader for earlier in known.given)
    return _outcome(slip, reading, known.due, settlement.state if settlement else None, again)


@changes
def take_back(reading: ReadingFields, by: str) -> None:
    """Withdraw one's own reading, until somebody else has had a part in settling its slip; what an official entered
    themselves, also then. Raises NotPossible after that, and for a reading of somebody else's."""
    slip, reading = _unwithdrawn(reading)
    if reading.by != by:
        raise NotPossible(str(slip.not_yours))
    result = slip.result() if reading.source != Source.OFFICIAL else None
    if result and result.state == State.SETTLED and slip.live().exclude(by=by, decides=False).exists():
        raise NotPossible(str(slip.is_settled))
    _withdraw(slip, reading, by, "")


@changes
def set_aside(reading: ReadingFields, by: str, reason: str) -> None:
    """Withdraw a reading that belongs to nobody or nothing, with the superintendent's reason."""
    if not reason.strip():
        raise NotPossible(_("say why the reading is set aside"))
    _withdraw(*_unwithdrawn(reading), by, reason.strip())


@changes
def bring_back(reading: ReadingFields, by: str) -> None:
    """Let a reading that was taken back or set aside count again. Raises NotPossible for one that counts already."""
    slip, reading = _as_it_is(reading)
    if not reading.withdrawn_at:
        raise NotPossible(_("that reading counts already"))
    if not slip.keeps_strays and not slip.is_due():
        raise NotPossible(slip.why_not_due())
    nothing = {"withdrawn_at": None, "withdrawn_by": "", "withdrawn_reason": ""}
    slip.readings._default_manager.filter(pk=reading.pk).update(**nothing)
    settle_slip(slip)
    after = slip.kept(getattr(reading, slip.value))
    record_change(slip.contest, by, slip.said("brought_back"), after=after, touches=slip.touches, about=slip.subjects)


@changes
def bring_back_together(readings: Iterable[ReadingFields], by: str) -> None:
    """Bring several back, or none of them: raises as `bring_back` does."""
    for reading in readings:
        bring_back(reading, by)


@changes
def move(reading: ReadingFields, there: Slip, by: str, reason: str) -> None:
    """Give a reading to the slip that it is really of; the stray one is set aside."""
    set_aside(reading, by, reason)
    read(there, getattr(reading, there.value), reading.by, helper=reading.helper, source=reading.source)


def outcome_of(reading: ReadingFields) -> Outcome:
    """What became of a reading, as things stand."""
    slip = slip_of(reading)
    due = not slip.keeps_strays or slip.is_due()
    result = slip.result() if due else None
    again = slip.live().filter(by__iexact=reading.by, pk__lt=reading.pk).exists()
    return _outcome(slip, reading, due, result and result.state, again)


def settle_slip(slip: Slip) -> None:
    """Bring the result of a slip in step with its readings. A stray reading makes none."""
    if not slip.keeps_strays or slip.is_due():
        known = slip.known(None)
        _keep(slip, _settled(slip, known, known.given))


def _settled(slip: Slip, known: Known, readings: list[Any]) -> Settlement[Any] | None:
    return settle(readings, known.readings_per_card, known.same_reader_twice, nothing=slip.nothing)


def _keep(slip: Slip, settlement: Settlement[Any] | None) -> None:
    """Write down what the readings of a slip come to; where that is nothing, there is no result."""
    if settlement is None:
        slip.results._default_manager.filter(**slip.where).delete()
        return
    where = {f"{name}_id": row and row.pk for name, row in slip.where.items()}
    said = {slip.value: settlement.value, "second": settlement.second, "state": settlement.state}
    put(slip.results, where | said, instead_of=[name for name, row in slip.where.items() if row is not None])


def _outcome_of_same(slip: Slip, value: Any, by: str, submission: UUID) -> Outcome:
    earlier = slip.readings._default_manager.get(submission=submission)
    same = {slip.value: value, "by": by, **{name: getattr(slip, name) for name in slip.identified_by}}
    if any(getattr(earlier, name) != wanted for name, wanted in same.items()):
        raise SubmissionReused(_("submission {id} was used for another reading").format(id=submission))
    return outcome_of(earlier)


def _outcome(slip: Slip, reading: ReadingFields, due: bool, state: str | None, again: bool) -> Outcome:
    """What became of a reading whose slip is `due`, or is not, and has come to a `state` so far.

    `again` says whether the same reader has read that slip before. There is no state where every reading was taken back
    before this one came a second time.
    """

    def outcome(kind: str, text: str) -> Outcome:
        return Outcome(kind, text, reading.pk)

    contestant = slip.contestant
    if not due:
        if contestant is None:
            return outcome(UNKNOWN, _("nobody has number {number}; kept as a doubt").format(number=slip.whose))
        return outcome(WRONG_CLASS, _("{why}; kept as a doubt").format(why=slip.why_not_due()))
    if state == State.DOUBT:
        return outcome(DIFFERS, _("differs from another reading; the superintendent decides"))
    if contestant and not contestant.present and getattr(reading, slip.value) != slip.nothing:
        number = contestant.number
        return outcome(ABSENT, _("{number} is marked as absent; kept as a doubt").format(number=number))
    warning = slip.warning(getattr(reading, slip.value))
    if state == State.SETTLED:
        return outcome(SETTLED, _with_warning(_("saved, and settled"), warning))
    if again:
        return outcome(REPEATED, slip.read_before)
    return outcome(SAVED, _with_warning(_("saved"), warning))


def _with_warning(text: str, warning: str) -> str:
    return f"{text}; {warning}" if warning else text


def _unwithdrawn(reading: ReadingFields) -> tuple[Slip, ReadingFields]:
    """The slip, and the reading as the database has it now, or NotPossible where it is withdrawn already."""
    slip, fresh = _as_it_is(reading)
    if fresh.withdrawn_at:
        raise NotPossible(_("that reading was withdrawn already, by {name}").format(name=fresh.withdrawn_by))
    return slip, fresh


def _as_it_is(reading: ReadingFields) -> tuple[Slip, ReadingFields]:
    """The slip and the reading as the database has them now, with this contest's turn taken."""
    slip = slip_of(reading)
    take_turn(slip.contest.pk)
    fresh = slip.rows_of(slip.contest, slip.readings).select_related("helper").get(pk=reading.pk)
    return slip_of(fresh), fresh


def _withdraw(slip: Slip, reading: ReadingFields, by: str, reason: str) -> None:
    withdrawn = {"withdrawn_at": timezone.now(), "withdrawn_by": by, "withdrawn_reason": reason}
    slip.readings._default_manager.filter(pk=reading.pk).update(**withdrawn)
    settle_slip(slip)
    record_change(
        slip.contest,
        by,
        slip.said("withdrawn"),
        before=slip.kept(getattr(reading, slip.value)),
        after={"reason": Personal(reason)} if reason else None,
        touches=slip.touches,
        about=slip.subjects,
    )
