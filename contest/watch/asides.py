"""What stands beside the doubts and waits for nobody."""

from __future__ import annotations

from django.db.models import Count, Q

from contest.models import Contest, Contestant, Reading
from contest.records.saving import BOOK
from contest.watch.doubts import card_text
from scoring.record import NO_CARD

SHOWN = 5


def settled_lately(contest: Contest) -> list[dict]:
    """The last few cards that were decided, the latest first, so that a slip of the hand is found again at once."""
    rows = (
        Reading.objects.filter(judging_class__contest=contest, decides=True, withdrawn_at=None)
        .exclude(reason=BOOK)
        .select_related("judging_class")
        .order_by("-pk")[:SHOWN]
    )
    return [
        {
            "class_number": row.judging_class.number,
            "number": row.number,
            "text": card_text(row.placing),
            "reason": row.reason,
            "by": row.by,
            "at": row.at,
        }
        for row in rows
    ]


def ineligible_with_cards(contest: Contest) -> list[Contestant]:
    """Whoever was made ineligible and has cards, each with how many `kept` cards: those count for nobody."""
    cards = Count("cards", filter=~Q(cards__placing=NO_CARD))
    return list(contest.contestants.filter(ineligible=True).annotate(kept=cards).filter(kept__gt=0))
