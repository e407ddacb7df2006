"""A stack as a whole: whether it looks like the one it is read as, and all that one reader read of it, taken back."""

from __future__ import annotations

from typing import Any

from django.utils.translation import ngettext

from contest.changes import once
from contest.models import JudgingClass
from contest.records.tallying import tallied
from contest.slips.mixups import finding_of
from contest.slips.reading import Outcome
from contest.slips.whole_stacks import Run, bring_all_back, take_back_all
from contest.trail.sentences import Sentence
from scoring.core.mixups import mixup_of_stack


def looks_mixed_up(run: Run) -> Sentence | None:
    """What looks wrong with a stack as its reader has read it: that it lay upside down, or is another class's. None
    where nothing does, and before the class's key is confirmed."""
    key = run.judging_class.keys.last()
    if key is None or not key.confirmed_by:
        return None
    record = tallied(run.judging_class.contest).record
    cards = {reading.number: reading.placing for reading in run.readings()}
    found = mixup_of_stack(record, run.judging_class.number, run.group, cards)
    return finding_of(found, record).line if found else None


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
