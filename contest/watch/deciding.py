"""What the superintendent does about a doubt. Whoever decides on less than there is by then is told, and decides again.

The changes themselves belong to the modules that own slips and people; this one adds only that look.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, State
from contest.slips.kinds import KINDS, slip_of
from contest.slips.reading import decide, move, set_aside
from contest.slips.slip import Slip
from contest.watch.doubts import fingerprint


class Overtaken(NotPossible):
    """Raised when somebody read or decided something that whoever decides has not seen."""


@changes
def decide_seen(slip: Slip, value: Any, by: str, reason: str, on_card: str = "", shown: str = "") -> None:
    """Decide what a slip counts as, if `shown` stands for all its readings.

    Raises Overtaken, and NotPossible as the decision itself does.
    """
    _look_again(slip, shown)
    decide(slip, value, by, reason, on_card)


@changes
def put_right_seen(slip: Slip, there: Slip | None, by: str, reason: str, shown: str) -> None:
    """Give all that was read of a slip to the one that it is really of, or set it aside, if `shown` stands for all its
    readings. Raises Overtaken, and NotPossible as moving a reading does."""
    _look_again(slip, shown)
    for reading in slip.live().select_related("helper"):
        if there is None:
            set_aside(reading, by, reason)
        else:
            move(reading, there, by, reason)


def _look_again(slip: Slip, shown: str) -> None:
    take_turn(slip.contest.pk)
    if fingerprint(slip.live().values_list("pk", flat=True)) != shown:
        raise Overtaken(_("somebody read or decided this meanwhile"))


@changes
def leave_absent(contestant: Contestant, by: str, reason: str) -> int:
    """Keep what somebody absent has handed in as it is, counting for nobody; return how many slips that was.

    Those whose readings differ stay doubts of their own.
    """
    take_turn(contestant.contest_id)
    left = 0
    for kind in KINDS:
        results = kind.rows_of(contestant.contest, kind.results).filter(contestant=contestant)
        for result in results.exclude(**{kind.value: kind.nothing}).exclude(state=State.DOUBT):
            slip = slip_of(result)
            if not slip.live().filter(decides=True).exists():
                decide(slip, getattr(result, kind.value), by, reason)
                left += 1
    return left
