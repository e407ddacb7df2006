"""What the superintendent does about a doubt. Whoever decides on less than there is by then is told, and decides again.

The changes themselves belong to the modules that own cards, scores and people; this one adds only that look.
"""

from __future__ import annotations

from typing import Any

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, State
from contest.slips.marks import slip_of_mark
from contest.slips.reading import decide_card, readings_of_card
from contest.slips.reasons import slip_of_reasons
from contest.slips.score_reading import read_score
from contest.watch.doubts import seen as seen_of
from contest.watch.papers import Paper
from scoring.core.record import NO_CARD


class Overtaken(NotPossible):
    """Raised when somebody read or decided something that whoever decides has not seen."""


@changes
def decide_seen(paper: Paper, counts: Any, by: str, reason: str, on_card: str = "", seen: str = "") -> None:
    """Decide what a card or slip counts as, if `seen` stands for all its readings.

    Raises Overtaken, and NotPossible as the decision itself does.
    """
    take_turn(paper.contest.pk)
    if seen_of(paper.live().values_list("pk", flat=True)) != seen:
        raise Overtaken("somebody read or decided this meanwhile")
    paper.decide(counts, by, reason, on_card)


@changes
def leave_absent(contestant: Contestant, by: str, reason: str) -> int:
    """Keep what somebody absent has handed in as it is, counting for nobody; return how many papers that was.

    Those whose readings differ stay doubts of their own.
    """
    take_turn(contestant.contest_id)
    left = 0
    cards = contestant.cards.exclude(placing=NO_CARD).exclude(state=State.DOUBT)
    for card in cards.select_related("judging_class__contest"):
        if not readings_of_card(card.judging_class, contestant).filter(decides=True).exists():
            decide_card(card.judging_class, contestant, card.placing, by, reason)
            left += 1
    reasons = contestant.reasons_scores.select_related("judging_class__contest", "official", "contestant")
    marks = contestant.marks.select_related("part__contest", "contestant")
    for scores, slip_of in ((reasons, slip_of_reasons), (marks, slip_of_mark)):
        for score in scores.exclude(hundredths=None).exclude(state=State.DOUBT):
            slip = slip_of(score)
            if not slip.read().filter(decides=True).exists():
                read_score(slip, score.hundredths, by, decides_because=reason)
                left += 1
    return left
