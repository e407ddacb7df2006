"""Who is in which contests of a day: found by name, and checked in for all of them in one press."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.entries.across import Attending
from contest.entries.arrivals import check_in_together, undo_together
from contest.models import Contest, Contestant
from contest.web.searching import plain

MOST_SHOWN = 50


def found(people: Iterable[Attending], wanted: str) -> list[Attending]:
    """Those whose name, team or numbers hold each word of what was typed; without words, those who are expected."""
    words = plain(wanted).split()
    if not words:
        return [who for who in people if who.expected]
    return [
        who
        for who in people
        if all(word in plain(f"{who.name} {who.team} {' '.join(str(e.number) for e in who.entries)}") for word in words)
    ]


@changes
def arrive(contests: Sequence[Contest], keys: Collection[int], by: str, undo: bool = False) -> int:
    """Note in every contest of the day that these entries' people are here, or take it back; return how many entries.

    Contests are changed in the order of their keys, so that two desks never wait for each other. Raises NotPossible
    where nothing is left to do.
    """
    numbers: dict[int, list[int]] = defaultdict(list)
    rows = Contestant.objects.filter(pk__in=keys, contest__in=contests)
    for row in rows.filter(checked_in_at__isnull=False) if undo else rows.filter(checked_in_at=None, present=True):
        numbers[row.contest_id].append(row.number)
    if not numbers:
        raise NotPossible(_("none of them is checked in") if undo else _("all of them are in already"))
    together = undo_together if undo else check_in_together
    of = {contest.pk: contest for contest in contests}
    return sum(len(together(of[pk], numbers[pk], by)) for pk in sorted(numbers))
