"""Where in its stack the paper lies that a doubt is about, and since when whoever is absent has been."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from contest.models import Contest, Reading
from contest.slips.cards import CardSlip
from contest.slips.due import Person, people_of
from contest.slips.slip import Slip
from contest.watch.doubts import ABSENT, Doubt

SCRATCHED = ("contestant_scratched", "missing_scratched")
"""What the trail says where somebody becomes absent."""


def where_they_lie(contest: Contest, doubts: Iterable[Doubt]) -> dict[str, str]:
    """Where the paper of each doubt lies, in words, by the doubt's key: in a stack that is in the order of its numbers
    or, where the number says nothing, beside what its reader read before and after. Nothing of teams' marks."""
    doubts = list(doubts)
    people = people_of(contest)
    groups: defaultdict[str, list[Person]] = defaultdict(list)
    for person in people:
        groups[person.group].append(person)

    in_order = [doubt for doubt in doubts if doubt.number is not None and not doubt.stray]
    stacks = {doubt.slip.stack.key: doubt.slip.stack for doubt in in_order}
    divisions = {key: stack.divisions for key, stack in stacks.items()}
    lie = {}
    for doubt in in_order:
        among = divisions[doubt.slip.stack.key]
        of_group = isinstance(doubt.slip, CardSlip)  # scores lie in one heap, whatever the group
        numbers = [
            person.number
            for person in (groups[doubt.group] if of_group else people)
            if person.division_id in among and (person.present or person.number == doubt.number)
        ]
        lie[doubt.key] = _in_order(doubt, numbers)
    return lie | _as_read([doubt for doubt in doubts if doubt.stray and isinstance(doubt.slip, CardSlip)])


def _in_order(doubt: Doubt, numbers: Sequence[int]) -> str:
    assert doubt.number is not None
    place = bisect_left(numbers, doubt.number)
    before, after = numbers[place - 1] if place else None, numbers[place + 1] if place + 1 < len(numbers) else None
    said = _("Group {group}, paper {place} of {count}.") if doubt.group else _("Paper {place} of {count}.")
    where = ""
    if before and after:
        where = _("It lies between {before} and {after}.").format(before=before, after=after)
    elif before:
        where = _("It lies after {before}.").format(before=before)
    elif after:
        where = _("It lies before {after}.").format(after=after)
    return f"{said.format(group=doubt.group, place=place + 1, count=len(numbers))} {where}".strip()


def _as_read(doubts: Sequence[Doubt]) -> dict[str, str]:
    """Beside which numbers stray cards were read, by the key of their doubt."""
    readings = {doubt.readings[0].pk: doubt.key for doubt in doubts}
    same = Reading.objects.filter(
        judging_class=OuterRef("judging_class"), by=OuterRef("by"), withdrawn_at=None, decides=False
    )
    before = same.filter(pk__lt=OuterRef("pk")).order_by("-pk")
    after = same.filter(pk__gt=OuterRef("pk")).order_by("pk")
    rows = Reading.objects.filter(pk__in=readings).annotate(
        read_before=_first(before, "number"),
        read_after=_first(after, "number"),
        group_before=_first(before, "contestant__group"),
        group_after=_first(after, "contestant__group"),
    )
    lie = {}
    for pk, first, then, *groups in rows.values_list("pk", "read_before", "read_after", "group_before", "group_after"):
        group = next(filter(None, groups), "")
        of_group = _("Probably group {group}.").format(group=group) if group else ""
        lie[readings[pk]] = f"{_read_beside(first, then)} {of_group}".strip()
    return lie


def _read_beside(before: int | None, after: int | None) -> str:
    if before and after:
        return _("Read between {before} and {after}.").format(before=before, after=after)
    if before:
        return _("Read after {before}.").format(before=before)
    return _("Read before {after}.").format(after=after) if after else ""


def _first(rows: QuerySet[Reading], column: str) -> Subquery:
    return Subquery(rows.values(column)[:1])


def with_their_absence(contest: Contest, doubts: Sequence[Doubt]) -> list[Doubt]:
    """The same doubts; what was read of somebody who was scratched later is a doubt since then."""
    if not any(doubt.kind == ABSENT for doubt in doubts):
        return list(doubts)
    scratched = {}
    for about, at in contest.trail.filter(what__in=SCRATCHED).values_list("about", "at"):
        scratched.update(dict.fromkeys(about.split(), at))
    return [
        replace(doubt, since=max(doubt.since, scratched.get(f"contestant:{doubt.number}", doubt.since)))
        if doubt.kind == ABSENT
        else doubt
        for doubt in doubts
    ]


def slip_of_doubt(doubt: Doubt) -> Slip:
    """The slip with whoever it is of: a doubt about a card knows the number alone."""
    slip = doubt.slip
    return CardSlip.of_number(slip.judging_class, slip.number) if isinstance(slip, CardSlip) else slip
