"""What the superintendent does about a doubt. Whoever decides on less than there is by then is told, and decides again.

The changes themselves belong to the modules that own cards, scores and people; this one adds only that look.
"""

from __future__ import annotations

from django.db.models import QuerySet

from contest.changes import changes, take_turn
from contest.marks import decide_mark
from contest.models import Contestant, JudgingClass, Mark, MarkReading, State
from contest.reading import NotPossible, decide_card, readings_of_card
from contest.watch.doubts import seen as seen_of
from reasons.models import ReasonsReading, ReasonsScore
from reasons.reading import decide_reasons
from scoring.record import NO_CARD


class Overtaken(NotPossible):
    """Raised when somebody read or decided something that whoever decides has not seen."""


@changes
def decide_seen_card(
    judging_class: JudgingClass,
    contestant: Contestant,
    placing: str,
    by: str,
    reason: str,
    on_card: str = "",
    seen: str = "",
) -> None:
    """Decide a card, if `seen` stands for all its readings. Raises Overtaken, and NotPossible as `decide_card` does."""
    take_turn(judging_class.contest_id)
    _check_seen(readings_of_card(judging_class, contestant), seen)
    decide_card(judging_class, contestant, placing, by, reason, on_card)


@changes
def decide_seen_reasons(score: ReasonsScore, hundredths: int, by: str, reason: str, seen: str) -> None:
    """Decide a reasons score, if `seen` stands for all its readings. Raises Overtaken and NotPossible."""
    take_turn(score.judging_class.contest_id)
    _check_seen(readings_of_reasons(score), seen)
    decide_reasons(score.judging_class, score.official, score.contestant, hundredths, by, reason)


@changes
def decide_seen_mark(mark: Mark, hundredths: int, by: str, reason: str, seen: str) -> None:
    """Decide a mark, if `seen` stands for all its readings. Raises Overtaken and NotPossible."""
    take_turn(mark.part.contest_id)
    _check_seen(readings_of_mark(mark), seen)
    decide_mark(mark.part, mark.contestant or mark.team, hundredths, by, reason)


def readings_of_reasons(score: ReasonsScore) -> QuerySet[ReasonsReading]:
    return ReasonsReading.objects.filter(
        judging_class=score.judging_class, contestant=score.contestant, official=score.official, withdrawn_at=None
    )


def readings_of_mark(mark: Mark) -> QuerySet[MarkReading]:
    return MarkReading.objects.filter(part=mark.part, contestant=mark.contestant, team=mark.team, withdrawn_at=None)


@changes
def leave_absent(contestant: Contestant, by: str, reason: str) -> int:
    """Keep what somebody absent has handed in as it is, counting for nobody; return how many cards that was.

    Cards whose readings differ stay doubts of their own.
    """
    take_turn(contestant.contest_id)
    cards = (
        contestant.cards.exclude(placing=NO_CARD).exclude(state=State.DOUBT).select_related("judging_class__contest")
    )
    left = 0
    for card in cards:
        if not readings_of_card(card.judging_class, contestant).filter(decides=True).exists():
            decide_card(card.judging_class, contestant, card.placing, by, reason)
            left += 1
    return left


def _check_seen(readings: QuerySet, seen: str) -> None:
    if seen_of(readings.values_list("pk", flat=True)) != seen:
        raise Overtaken("somebody read or decided this meanwhile")
