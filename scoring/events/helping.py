"""Helpers of every contest of a day: where they work, and what waits for them in each."""

from __future__ import annotations

from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.desk.stacks import stacks_of
from contest.entries.arrivals import missing
from contest.helpers.duties import work_page
from contest.helpers.joining import NameTaken, join_in, show_out_of
from contest.models import Contest, Duty, Event, Helper
from contest.watch.key_pages import WAITING, key_rows
from contest.watch.part_key_pages import part_key_rows
from reasons.scores.entry import marks_lists, reasons_lists


class Work(NamedTuple):
    """A contest that a helper works in: the page where it begins, and what waits there, in words."""

    contest: Contest
    address: str
    waits: str


def work_of(helper: Helper) -> list[Work]:
    """The contests of a helper's event that they are in, in the order of the day."""
    rows = Helper.objects.filter(together=helper.together, left_at=None, contest__deleted_at=None)
    rows = rows.select_related("contest").order_by("contest__event_place__pk", "pk")
    return [Work(row.contest, work_page(row), waiting_for(row)) for row in rows]


def waiting_for(helper: Helper) -> str:
    """What waits for a helper's duty in their contest; empty for a duty of which nothing is counted."""
    match helper.duty:
        case Duty.TABULATOR:
            stacks = [stack for stack in stacks_of(helper.contest, helper.name) if stack.yours]
            words = _("{stacks}, {cards}").format(
                stacks=_stacks(len(stacks)), cards=_cards(sum(stack.yours for stack in stacks))
            )
            return words if stacks else _nothing()
        case Duty.KEYS:
            count = sum(row.wants_me for row in key_rows(helper.contest, helper.name))
            of_parts = part_key_rows(helper.contest, helper.name)
            count += sum(row.blind or row.state == WAITING for row in of_parts)
            return ngettext("{count} key", "{count} keys", count).format(count=count) if count else _nothing()
        case Duty.REASONS:
            of_classes = reasons_lists(helper.contest, helper.name)
            left = [official.sure for judged in of_classes for official in judged.officials]
            left += [part.count.yours for part in marks_lists(helper.contest, helper.name)]
            return _stacks(sum(map(bool, left))) if any(left) else _nothing()
        case Duty.CHECK_IN:
            count = missing(helper.contest).count()
            words = ngettext("{count} person expected", "{count} people expected", count)
            return words.format(count=count) if count else _nothing()
    return ""


def _nothing() -> str:
    return _("nothing waits")


def _stacks(count: int) -> str:
    return ngettext("{count} stack", "{count} stacks", count).format(count=count)


def _cards(count: int) -> str:
    return ngettext("{count} card", "{count} cards", count).format(count=count)


@changes
def follow(event: Event, gone: list[Contest], new: list[Contest], by: str) -> None:
    """Let the helpers of an event into the contests that are new to it, and out of those that are gone from it.

    Raises NotPossible where somebody else helps in a new one under the same name.
    """
    for contest in sorted(gone, key=lambda contest: contest.pk):
        show_out_of(contest, by)
    rows = Helper.objects.filter(contest__event_place__event=event, left_at=None, together__isnull=False)
    people = {row.together: row for row in rows.order_by("pk")}
    for contest in sorted(new, key=lambda contest: contest.pk):
        for helper in people.values():
            try:
                join_in(helper, contest)
            except NameTaken:
                words = _("{name} helps in {contest} already under that name: show that one out first")
                raise NotPossible(words.format(name=helper.name, contest=contest)) from None
