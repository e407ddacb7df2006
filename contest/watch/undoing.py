"""Saying what was just decided about cards and scores, and undoing it.

A stretch of the contest's revisions, such as `41-42`, stands for what was done. What the database itself wrote down of
those changes (`contest.row_changes`) says which readings they added and which they withdrew. Undoing sets the former
aside and brings the latter back, as a change of its own.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.history.taking_back import take_back_change
from contest.models import Contest, Contestant, RowChange, WavedMixup
from contest.slips.kinds import BY_NAME, KINDS, slip_of
from contest.slips.reading import bring_back, set_aside
from contest.slips.slip import Place

UNDONE = gettext_noop("the decision was undone")
MOST_SAID = 3
"""As many lines say what was done; of more, how many there are."""


@changes
def stretch(contest: Contest, work: Callable[[], Any]) -> str:
    """Do `work`, which changes the contest, and return the stretch of its revisions that this took."""
    before = take_turn(contest.pk).revision
    work()
    return f"{before + 1}-{take_turn(contest.pk).revision}"


@dataclass(frozen=True)
class Done:
    """What a stretch of changes did: the readings it `added` and those it `withdrew`, the `people` who came or went,
    and the findings it `waved` through, each of these with the revision at which that was."""

    contest: Contest
    said: str
    added: list[Any]
    withdrew: list[Any]
    people: list[tuple[int, Contestant]]
    waved: list[tuple[int, int]] = field(default_factory=list)

    @property
    def lines(self) -> list[str]:
        """What was done, in words, the first few lines of it."""
        lines = self._lines()
        more = len(lines) - MOST_SAID
        return lines if more <= 1 else [*lines[:MOST_SAID], _("and {count} more").format(count=more)]

    def _lines(self) -> list[str]:
        lines = []
        moved = [row for row in self.added if not row.decides]
        for old, new in zip(self.withdrew, moved, strict=False):
            said = {"value": slip_of(old).text(old), "slip": slip_of(old).title, "there": slip_of(new).title}
            text = _("{slip}: the reading {value} is of {there} now.")
            if said["slip"] == said["there"]:
                said["now"] = slip_of(new).text(new)
                text = _("{slip}: the reading {value} is {now} now.")
            lines.append(text.format(**said))
        for row in self.withdrew[len(moved) :]:
            slip = slip_of(row)
            lines.append(_("{slip}: the reading {value} is set aside.").format(slip=slip.title, value=slip.text(row)))
        for row in self.added:
            if row.decides:
                slip = slip_of(row)
                absent = slip.contestant and not slip.contestant.present
                text = _("{slip}: {value} is kept and counts for nobody.") if absent else _("{slip}: {value} counts.")
                lines.append(text.format(slip=slip.title, value=slip.text(row)))
        for _revision, person in self.people:
            text = _("{number} is here and competes.") if person.present else _("{number} is absent.")
            lines.append(text.format(number=person.number))
        lines += [_("What looked mixed up stays as it is.") for _wave in self.waved]
        return lines

    @property
    def place(self) -> Place | None:
        """The page of the slip that it was about, or of the first of them."""
        return next((slip_of(row).place for row in (*self.withdrew, *self.added)), None)

    @property
    def stands(self) -> bool:
        """Whether all of it is still as it was done."""
        waved = self.contest.waved_mixups.filter(pk__in=[pk for _revision, pk in self.waved])
        return (
            not any(row.withdrawn_at for row in self.added)
            and all(row.withdrawn_at for row in self.withdrew)
            and waved.count() == len(self.waved)
        )


def done_at(contest: Contest, said: str) -> Done | None:
    """What the changes of a stretch did, or one decision such as `card:123`; None where the text is neither, and where
    nothing of the kind was done then."""
    one = re.fullmatch(r"([a-z]+):(\d{1,18})", said, re.ASCII)
    if one and one[1] in BY_NAME:
        kind = BY_NAME[one[1]]
        decision = kind.rows_of(contest, kind.readings).filter(pk=int(one[2]), decides=True).first()
        return decision and Done(contest, said, [decision], [], [])
    numbers = re.fullmatch(r"(\d{1,18})-(\d{1,18})", said, re.ASCII)
    if not numbers:
        return None
    rows = RowChange.objects.filter(contest=contest, revision__range=(int(numbers[1]), int(numbers[2])))
    changed: dict[str, dict[int, tuple[Any, ...]]] = {}
    for table, row, *how in rows.order_by("pk").values_list("of_table", "row", "kind", "revision"):
        changed.setdefault(table, {}).setdefault(row, tuple(how))
    added: list[Any] = []
    withdrew: list[Any] = []
    for kind_of_slip in KINDS:
        of_table = changed.get(kind_of_slip.readings._meta.db_table, {})
        found = kind_of_slip.rows_of(contest, kind_of_slip.readings).filter(pk__in=of_table).select_related("helper")
        for row in found.order_by("pk"):
            (added if of_table[row.pk][0] == RowChange.Kind.INSERT else withdrew).append(row)
    people = changed.get(Contestant._meta.db_table, {})
    persons = [(people[row.pk][1], row) for row in contest.contestants.filter(pk__in=people).order_by("number")]
    if sum(not row.decides for row in added) > len(withdrew):
        return None  # somebody read something: that is taken back at their desk
    waves = changed.get(WavedMixup._meta.db_table, {})
    waved = [(how[1], pk) for pk, how in waves.items() if how[0] == RowChange.Kind.INSERT]
    return Done(contest, said, added, withdrew, persons, waved) if added or withdrew or persons or waved else None


@changes
def undo(contest: Contest, said: str, by: str) -> None:
    """Undo what the changes of a stretch did. Raises NotPossible where something of it was changed since."""
    take_turn(contest.pk)
    done = done_at(contest, said)
    if done is None or not done.stands:
        raise NotPossible(_("something of it was changed since, so it stays"))
    for row in done.added:
        set_aside(row, by, UNDONE)
    for row in done.withdrew:
        bring_back(row, by)
    for revision in {revision for revision, _what in (*done.people, *done.waved)}:
        take_back_change(contest.trail.select_related("contest").get(revision=revision), by)
