"""A stack as a whole: whether it looks like the one it is read as, and all that one reader read of it, taken back."""

from __future__ import annotations

from statistics import fmean, pstdev
from typing import Any

from django.utils.translation import ngettext

from contest.changes import once
from contest.models import Card, JudgingClass
from contest.slips.reading import Outcome
from contest.slips.whole_stacks import Run, bring_all_back, take_back_all
from scoring.core.placing import grid, is_placing

IN_A_ROW = 3
"""As many of the last cards are looked at."""

ENOUGH = 10
"""Cards of others, from which on it is known what a class scores."""

FAR = 1.5
"""Standard deviations by which the mean of so few cards lies below the class's once in 200 stacks that are right."""


def looks_like_another(run: Run) -> bool:
    """Whether the last cards of a run score far below what the class does: perhaps they are another class's.

    Only once its key is confirmed and enough other cards are read. It says nothing of any single card.
    """
    key = run.judging_class.keys.last()
    if key is None or not key.confirmed_by:
        return False
    last = list(run.readings().order_by("-pk")[:IN_A_ROW])
    points = dict(grid(key.official, key.cuts, run.judging_class.perfect))
    theirs = Card.objects.filter(judging_class=run.judging_class, contestant__present=True)
    others = theirs.exclude(contestant__in=[reading.contestant_id for reading in last])
    level = [points[placing] for placing in others.values_list("placing", flat=True) if is_placing(placing)]
    here = [points[reading.placing] for reading in last if is_placing(reading.placing)]
    if len(level) < ENOUGH or len(here) < IN_A_ROW:
        return False
    return fmean(here) < fmean(level) - FAR * max(pstdev(level), 2)


def take_all_back(run: Run, sent: dict[str, Any]) -> Outcome:
    """Take back all that one's own desk read of a stack, once for each submission."""

    def work() -> list[list[int]]:
        taken, stay = take_back_all(run)
        return [[reading.pk for reading in taken], [reading.number for reading in stay]]

    what = ["take all back", run.judging_class.pk, run.group, run.by]
    taken, stay = once(sent["submission"], what, work)
    text = ngettext("{count} reading taken back", "{count} readings taken back", len(taken)).format(count=len(taken))
    if stay:
        stays = ngettext(
            "{count} stays, since somebody else read the same",
            "{count} stay, since somebody else read the same",
            len(stay),
        )
        text = f"{text}; {stays.format(count=len(stay))}"
    return Outcome("taken-back", text, 0, {"readings": taken, "stay": stay})


def bring_back(judged: JudgingClass, who: str, sent: dict[str, Any]) -> Outcome:
    """Let what was taken back so count again, once for each submission."""
    keys = sorted(sent["readings"])
    what = ["bring all back", judged.pk, keys, who]
    count = once(sent["submission"], what, lambda: len(bring_all_back(judged, keys, who)))
    text = ngettext("{count} reading is back", "{count} readings are back", count).format(count=count)
    return Outcome("saved", text, 0)
