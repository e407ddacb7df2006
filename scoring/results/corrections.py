"""What changed since the results were announced last, and what of it has to be announced."""

from __future__ import annotations

from contest.models import Contest
from scoring.differences import Differences, differences
from scoring.results.released import released
from scoring.results.snapshots import without_marks_of_nobody
from scoring.standings import Tallied


def unannounced(contest: Contest, shown: Tallied) -> Differences:
    """How the contest as it is now differs from what was announced last; nothing before the first release."""
    announced = released(contest)
    if announced is None:
        return Differences()
    return differences(announced.whole, announced.result, without_marks_of_nobody(shown.record), shown.result)
