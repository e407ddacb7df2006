"""Whole stacks: all that one reader read of a class and group, taken back or moved at once; and all that anybody read
of a stack, turned or exchanged."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, JudgingClass, Reading
from contest.slips.cards import CardSlip
from contest.slips.reading import bring_back, decide, move, read, set_aside, take_back
from scoring.core.record import NO_CARD, UNREADABLE


@dataclass(frozen=True)
class Run:
    """What the reader named `by` read of a class, of one group."""

    judging_class: JudgingClass
    group: str
    by: str

    def readings(self) -> QuerySet[Reading]:
        """Those that count, in the order in which they were read."""
        rows = self.judging_class.readings.filter(
            contestant__group=self.group, by=self.by, decides=False, withdrawn_at=None
        )
        return rows.select_related("judging_class__contest", "contestant", "helper").order_by("pk")


@changes
def take_back_all(run: Run) -> tuple[list[Reading], list[Reading]]:
    """Withdraw all of one's own run that may be taken back; return that, and what stays because somebody else had a
    part in settling its cards."""
    take_turn(run.judging_class.contest_id)
    taken: list[Reading] = []
    stay: list[Reading] = []
    for reading in run.readings():
        try:
            take_back(reading, run.by)
        except NotPossible:
            stay.append(reading)
        else:
            taken.append(reading)
    return taken, stay


@changes
def bring_all_back(judging_class: JudgingClass, keys: list[int], by: str) -> list[Reading]:
    """Let readings that their own reader took back count again; those that anybody else withdrew stay away."""
    take_turn(judging_class.contest_id)
    rows = judging_class.readings.filter(pk__in=keys, by=by, withdrawn_by=by, decides=False)
    readings = list(rows.select_related("judging_class__contest", "contestant").order_by("pk"))
    for reading in readings:
        bring_back(reading, by)
    return readings


@changes
def move_run(run: Run, numbers: tuple[int, int], there: JudgingClass, group: str, who: str, reason: str) -> int:
    """Move what was read of the numbers from the first to the last to another class or group; return how many.

    Within the group each stays with its number. The cards of another group are its numbers in ascending order, as the
    pile lay when it was read. Raises NotPossible where there is nothing to move, or more than the other group has.
    """
    take_turn(run.judging_class.contest_id)
    readings = list(run.readings().filter(number__range=numbers))
    if not readings:
        raise NotPossible(_("{name} read nothing of these numbers").format(name=run.by))
    owners = _owners(run, readings, there, group)
    for reading, owner in zip(readings, owners, strict=True):
        move(reading, CardSlip(there, owner.number, owner), who, reason)
    return len(readings)


def _owners(run: Run, readings: list[Reading], there: JudgingClass, group: str) -> list[Contestant]:
    """Whose the cards are that were read."""
    if group == run.group:
        return [reading.contestant for reading in readings if reading.contestant]
    due = Contestant.objects.filter(contest=there.contest_id, group=group, present=True, division__classes=there)
    owners = list(due.select_related("division").order_by("number"))
    if len(owners) < len(readings):
        text = ngettext(
            "only {count} card is due there, and {readings} were read",
            "only {count} cards are due there, and {readings} were read",
            len(owners),
        )
        raise NotPossible(text.format(count=len(owners), readings=len(readings)))
    return owners[: len(readings)]


@changes
def turn_cards(judging_class: JudgingClass, numbers: Collection[int], who: str, reason: str) -> int:
    """Let the cards of these contestants, which lay upside down, be read from last to first; return how many readings
    that was. Each stays its reader's. Raises NotPossible where there is no placing to turn."""
    take_turn(judging_class.contest_id)
    rows = [row for row in _live(judging_class).filter(number__in=numbers) if row.placing not in (NO_CARD, UNREADABLE)]
    return _read_as([(row, judging_class, row.placing[::-1]) for row in rows], who, reason)


@changes
def exchange_stacks(one: JudgingClass, other: JudgingClass, group: str, who: str, reason: str) -> int:
    """Let what was read of a group as each of two classes be of the other one; return how many readings that was.

    Each stays its contestant's and its reader's. Raises NotPossible where nothing was read.
    """
    take_turn(one.contest_id)
    ways = ((one, other), (other, one))
    rows = [(row, there) for here, there in ways for row in _live(here).filter(contestant__group=group)]
    rows.sort(key=lambda pair: pair[0].pk)
    return _read_as([(row, there, row.placing) for row, there in rows], who, reason)


def _live(judging_class: JudgingClass) -> QuerySet[Reading]:
    rows = judging_class.readings.filter(contestant__isnull=False, withdrawn_at=None)
    return rows.select_related("judging_class__contest", "contestant__division", "helper").order_by("pk")


def _read_as(readings: list[tuple[Reading, JudgingClass, str]], who: str, reason: str) -> int:
    """Set readings aside and let each say what it should have said, of the class that it is really of. All go before
    the first comes back, so that none meets one that is about to go."""
    if not readings:
        raise NotPossible(_("there is nothing to put right: somebody did it meanwhile"))
    for row, _there, _placing in readings:
        set_aside(row, who, reason)
    for row, there, placing in readings:
        slip = CardSlip(there, row.number, row.contestant)
        if row.decides:
            decide(slip, placing, who, reason)
        else:
            read(slip, placing, row.by, helper=row.helper, source=row.source)
    return len(readings)
