"""The pictures of cards: where a card's are, and when they go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import timedelta

from django.http import HttpResponse
from django.utils import timezone

from contest.changes import one_change
from contest.models import SCANNER, CardPicture, Contest, ScannedCard, ScanRules, Touches
from contest.records.sweeping import delete_in_pieces
from contest.scanning.rules import rules_of
from contest.slips.cards import CardSlip, card_place
from contest.slips.choices import ChoiceSlip, choice_place
from contest.slips.slip import Place, Slip
from contest.trail import record_change, sentence

PIECE = 100
REST = 1
RELEASED = "results_released"
"""What the trail says where results are released; the last time counts."""

CardKey = tuple[int | None, int | None]
"""A class's number and a contestant's."""


def pictures_of(contest: Contest, slips: Iterable[Slip]) -> dict[Place, list[ScannedCard]]:
    """The scanned cards that there is a picture of, the first first, by the place of the slip that each is of."""
    numbers = {slip.place.args[-1] for slip in slips if isinstance(slip, (CardSlip, ChoiceSlip))}
    found: defaultdict[Place, list[ScannedCard]] = defaultdict(list)
    if numbers:
        rows = ScannedCard.objects.filter(scan__contest=contest, number__in=numbers, picture__isnull=False)
        rows = rows.exclude(became=ScannedCard.Became.ASIDE).select_related("judging_class").order_by("pk")
        for card in rows:
            number = card.number or 0
            if card.part_id:
                found[choice_place(card.part_id, number)].append(card)
            elif card.judging_class:
                found[card_place(card.judging_class.number, number)].append(card)
    return dict(found)


def for_families(contest: Contest, numbers: Iterable[int]) -> dict[CardKey, int]:
    """The scanned card that a family may see the picture of, by card; none where the contest does not allow it.

    Only what was read as that card: a picture that waits, or was put aside, may be somebody else's.
    """
    if not rules_of(contest).on_packets:
        return {}
    rows = ScannedCard.objects.filter(scan__contest=contest, number__in=list(numbers), picture__isnull=False)
    rows = rows.filter(became__in=(ScannedCard.Became.READING, ScannedCard.Became.SETTLED), part=None).order_by("-pk")
    return {(judged, number): pk for judged, number, pk in rows.values_list("judging_class__number", "number", "pk")}


def picture_answer(image: bytes) -> HttpResponse:
    """A picture that our own reading process cut out: one of two kinds, and never anything that a browser would run."""
    kind = "image/png" if image.startswith(b"\x89PNG") else "image/jpeg"
    return HttpResponse(image, content_type=kind, headers={"Cache-Control": "no-store"})


def delete_old_pictures() -> None:
    """Delete the pictures of every contest whose results were released so long ago that its rules let them go."""
    for rules in ScanRules.objects.exclude(keep_days=0).select_related("contest"):
        contest = rules.contest
        released = contest.trail.filter(what=RELEASED).order_by("-revision").values_list("at", flat=True).first()
        if released and released < timezone.now() - timedelta(days=rules.keep_days):
            _delete(contest)


def _delete(contest: Contest) -> None:
    pictures = CardPicture.objects.filter(card__scan__contest=contest)
    if count := pictures.count():
        delete_in_pieces(pictures, PIECE, REST)
        with one_change():
            record_change(contest, SCANNER, sentence("scan_pictures_deleted", count=count), touches=Touches.NOTHING)
