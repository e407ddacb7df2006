"""What stands beside the doubts and waits for nobody."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, Q

from contest.models import Contest, Contestant, MarkReading, Reading, ReasonsReading
from contest.records.rows import BOOK
from contest.slips.score_reading import in_words
from contest.watch.doubts import card_place, card_text, mark_place, reasons_place
from contest.watch.papers import address_of
from scoring.core.record import NO_CARD

SHOWN = 5


def settled_lately(contest: Contest) -> list[dict[str, Any]]:
    """The last few decisions, the latest first, so that a slip of the hand is found again at once."""
    cards = _decided(Reading, judging_class__contest=contest).select_related("judging_class")
    reasons = _decided(ReasonsReading, judging_class__contest=contest)
    reasons = reasons.select_related("judging_class", "official", "contestant")
    marks = _decided(MarkReading, part__contest=contest).select_related("part", "contestant", "team")
    told = [
        *((row, *_of_card(row)) for row in cards[:SHOWN]),
        *((row, *_of_reasons(row)) for row in reasons[:SHOWN]),
        *((row, *_of_mark(row)) for row in marks[:SHOWN]),
    ]
    told.sort(key=lambda one: one[0].at, reverse=True)
    return [
        {"row": row, "what": what, "text": text, "address": address_of(contest, place)}
        for row, what, text, place in told[:SHOWN]
    ]


def ineligible_with_cards(contest: Contest) -> list[Contestant]:
    """Whoever was made ineligible and has cards, each with how many `kept` cards: those count for nobody."""
    cards = Count("cards", filter=~Q(cards__placing=NO_CARD))
    return list(contest.contestants.filter(ineligible=True).annotate(kept=cards).filter(kept__gt=0))


def _decided(readings, **of):
    return readings.objects.filter(**of, decides=True, withdrawn_at=None).exclude(reason=BOOK).order_by("-pk")


def _of_card(row: Reading):
    number = row.judging_class.number
    return f"Class {number}, contestant {row.number}", card_text(row.placing), card_place(number, row.number)


def _of_reasons(row: ReasonsReading):
    what = f"Reasons, class {row.judging_class.number}, contestant {row.contestant}, official {row.official}"
    return what, in_words(row.hundredths), reasons_place(row.judging_class, row.official, row.contestant)


def _of_mark(row: MarkReading):
    owner = row.contestant or row.team
    what = f"{row.part}, {'contestant' if row.contestant else 'team'} {owner}"
    return what, in_words(row.hundredths), mark_place(row.part, owner)
