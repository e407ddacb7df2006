"""Reads from the database what the record does not say of cards."""

from __future__ import annotations

from django.db.models import Count, F, Q

from contest.models import Card, Contest, State
from contest.overview.pages import ReadOnce
from scoring.core.record import NO_CARD


def read_once(contest: Contest) -> dict[int, ReadOnce]:
    """By class number, the cards that one person alone has read, of those who count."""
    rows = Card.objects.filter(
        judging_class__contest=contest,
        judging_class__full_points=False,
        judging_class__class_divisions__division=F("contestant__division"),
        judging_class__class_divisions__void=False,
        contestant__present=True,
        contestant__ineligible=False,
        state=State.ONCE,
    )
    counted = (
        rows.order_by().values_list("judging_class__number").annotate(Count("pk"), none=Count("pk", Q(placing=NO_CARD)))
    )
    return {number: ReadOnce(cards, none) for number, cards, none in counted}
