"""What the page of doubts tells besides: the last decisions, and cards of people who were made ineligible."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, Q

from contest.models import Contest, Contestant
from contest.records.day import BOOK
from contest.slips.kinds import KINDS, slip_of
from scoring.core.record import NO_CARD

SHOWN = 5


def settled_lately(contest: Contest) -> list[dict[str, Any]]:
    """The last few decisions, the latest first, so that a slip of the hand is found again at once."""
    decided = []
    for kind in KINDS:
        rows = kind.rows_of(contest, kind.readings).filter(decides=True, withdrawn_at=None).exclude(reason=BOOK)
        decided += [(row, slip_of(row)) for row in rows.order_by("-pk")[:SHOWN]]
    decided.sort(key=lambda pair: pair[0].at, reverse=True)
    return [
        {
            "row": row,
            "what": slip.title,
            "text": slip.text(row),
            "address": slip.place.address(contest),
            "did": f"{slip.name}:{row.pk}",
        }
        for row, slip in decided[:SHOWN]
    ]


def ineligible_with_cards(contest: Contest) -> list[Contestant]:
    """Whoever was made ineligible and has cards, each with how many `kept` cards: those count for nobody."""
    cards = Count("cards", filter=~Q(cards__placing=NO_CARD))
    return list(contest.contestants.filter(ineligible=True).annotate(kept=cards).filter(kept__gt=0))
