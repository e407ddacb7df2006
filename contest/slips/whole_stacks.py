"""Whole stacks: all that one reader read of a class and group, taken back or moved at once."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, JudgingClass, Reading
from contest.slips.cards import CardSlip
from contest.slips.reading import bring_back, move, take_back


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
