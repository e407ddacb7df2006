"""What a page of test cards showed, in words: whether this printer, these pens and this scanner work together."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from contest.models import Contest, Scan, ScannedCard
from contest.scanning.reader import FoundCard, Identity, Trouble
from contest.scanning.reader.rehearsal import rehearse
from contest.scanning.taking import TEST_CARD
from contest.scanning.troubles import WASHED_OUT, WORDS

ADVICE = {
    "darker_pens": _("Use darker or thicker pens and pencils."),
    "lighter_scan": _("Scan lighter, or photograph in more light."),
    "sharper_print_or_scan": _("Print at full size and dark, and scan at 200 dots an inch or more."),
    "whole_pages": _("Lay the whole page under the scanner, or take the whole card into the picture."),
    "flat_pages": _("Keep the cards flat."),
    "print_again": _("Print the page of test cards of this contest, and mark that one."),
    "one_mark_a_place": _("Mark one animal for each place, and no other box."),
    "look_at_these": _("Look at the cards that were read otherwise: are they marked as they say?"),
    "softer_copy": _(
        "This machine makes paper entirely white, so that pale pencil marks may be lost. Set it to a photograph or to"
        " grey, or to less contrast, or hand out darker pencils."
    ),
    "read_again": _("Some cards were not found at all: scan the page once more."),
}
"""What to do, by the codes of the reader."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the last test cards showed; `numbers` are those that were not read as they say."""

    scan: Scan
    said: str
    troubles: list[str]
    advice: list[str]
    numbers: tuple[int, ...]


def last_rehearsal(contest: Contest) -> Told | None:
    """What the test cards showed that were scanned last; None where none were."""
    tests = ScannedCard.objects.filter(scan__contest=contest, reason=TEST_CARD)
    last = tests.order_by("-scan").select_related("scan").first()
    if last is None:
        return None
    found = rehearse(_as_found(card) for card in tests.filter(scan=last.scan))
    said = ngettext("{read} of {count} test card read", "{read} of {count} test cards read", found.cards)
    troubles = [*found.troubles.items(), *([(WASHED_OUT, found.washed_out)] if found.washed_out else [])]
    return Told(
        scan=last.scan,
        said=said.format(read=found.read, count=found.cards),
        troubles=[f"{count}: {WORDS[trouble]}" for trouble, count in troubles],
        advice=[str(ADVICE[code]) for code in found.advice if code in ADVICE],
        numbers=found.numbers,
    )


def _as_found(card: ScannedCard) -> FoundCard:
    nowhere = (0.0, 0.0)
    codes = card.troubles.split()
    return FoundCard(
        corners=(nowhere, nowhere, nowhere, nowhere),
        picture=b"",
        identity=Identity(0, 0, 0, card.number, "rehearsal") if card.number else None,
        number_marked="",
        placing=card.placing,
        certain=card.certain,
        confidence=card.confidence / 1000,
        troubles=tuple(Trouble(code) for code in codes if code != WASHED_OUT),
        fills=(),
        washed_out=WASHED_OUT in codes,
    )
