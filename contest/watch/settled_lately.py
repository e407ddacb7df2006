"""What was decided last, so that a slip of the hand is found again at once."""

from __future__ import annotations

from contest.models import Contest, Reading
from contest.records.saving import BOOK
from contest.watch.doubts import card_text

SHOWN = 5


def settled_lately(contest: Contest) -> list[dict]:
    """The last few cards that were decided, the latest first."""
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
