"""Divisions, categories, classes and parts: adding, changing and removing a row of any kind, and their order.

Every function raises WrongValue for a value that cannot be, ChangedMeanwhile where `mark`, the fingerprint of what a
page showed, is no longer true, and InUse for what cannot go because something uses it. `values` are settings as
`RowKind.values_of` gives them: a category is a code or empty, divisions are codes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import Max
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import ChangedMeanwhile, InUse, NotPossible, WrongValue
from contest.models import Contest
from contest.setup.kinds import CLASSES, RowKind, kind_of
from contest.setup.values import OutlineRow, Values, check_fingerprint, write_down
from contest.trail import record_change, sentence


@changes
def add(kind: RowKind[Any], contest: Contest, by: str, **values: Any) -> Any:
    """Add a row of a kind, as the last."""
    take_turn(contest.pk)
    rows = kind.model.objects.filter(contest=contest)
    last = rows.aggregate(last=Max("position"))["last"]
    row, values = kind.model(contest=contest, position=0 if last is None else last + 1), kind.unless_said | values
    _check(kind, row, values)
    kind.write(row, values)
    record_change(contest, by, kind.told(row, "added"), after=kind.values_of(row))
    return row


@changes
def add_classes(contest: Contest, by: str, classes: Sequence[tuple[int, str]], **values: Any) -> int:
    """Add classes by number and name, which have the other settings in common: all of them or none."""
    for number, name in classes:
        try:
            add(CLASSES, contest, by, number=number, name=name, **values)
        except WrongValue as wrong:
            raise WrongValue("classes" if wrong.field == "number" else wrong.field, str(wrong)) from None
    return len(classes)


@changes
def change(row: OutlineRow, by: str, mark: str | None = None, **values: Any) -> Any:
    """Change the settings that are given. What is scored by them is scored anew when it is looked at."""
    row, kind = fresh(row), kind_of(row)
    before, what = kind.values_of(row), kind.told(row, "changed")
    check_fingerprint(before, mark)
    now = before | values
    _check(kind, row, now)
    kind.write(row, now)
    kind.settle(row)
    write_down(row.contest, by, what, before, kind.values_of(row))
    return row


@changes
def remove(row: OutlineRow, by: str) -> None:
    """Remove a row that nothing uses; what else looks at it goes on without it."""
    row, kind = fresh(row), kind_of(row)
    if uses := kind.uses(row):
        raise InUse(kind.called(row), [*uses, *kind.instead(row)])
    before, what = kind.values_of(row), kind.told(row, "removed")
    kind.remove_what_holds_on(row)
    row.delete()
    record_change(row.contest, by, what, before=before)


@changes
def set_order(
    rows: Iterable[OutlineRow], order: Sequence[int], by: str, seen_order: Sequence[int] | None = None
) -> None:
    """Put all divisions, categories, classes or parts of a contest in a new order, given by their keys.

    The order of the lists in the standings follows it. Raises ChangedMeanwhile where `seen_order`, the order that the
    page showed, is no longer true, and NotPossible where `order` is not an order of these rows.
    """
    in_order = list(rows)
    if not in_order:
        raise NotPossible(_("there is nothing to put in order"))
    contest, kind = in_order[0].contest, kind_of(in_order[0])
    take_turn(contest.pk)
    names = dict(kind.model.objects.filter(contest=contest).values_list("pk", kind.plain[0]))
    keys = list(names)
    if seen_order is not None and list(seen_order) != keys:
        raise ChangedMeanwhile({"order": keys})
    if sorted(order) != sorted(keys):
        raise NotPossible(_("that order leaves something out, or names something twice"))
    if list(order) == keys:
        return
    for position, key in enumerate(order):
        kind.model.objects.filter(pk=key).update(position=position)
    before, after = ([str(names[key]) for key in some] for some in (keys, order))
    record_change(contest, by, sentence(f"{kind.name}_ordered"), before=before, after=after)


def fresh(row: Any) -> Any:
    """The row as the database has it now, with the contest to itself until the change is made."""
    take_turn(row.contest_id)
    again = type(row).objects.select_related("contest").filter(pk=row.pk).first()
    if again is None:
        raise NotPossible(_("{name} has been removed meanwhile").format(name=row))
    return again


def _check(kind: RowKind[Any], row: OutlineRow, values: Values) -> None:
    named_by = kind.plain[0]
    others = kind.model.objects.filter(contest=row.contest).exclude(pk=row.pk)
    if others.filter(**{named_by: values[named_by]}).exists():
        raise WrongValue(named_by, _(kind.there_already).format(name=values[named_by]))
    kind.check(row, values)
