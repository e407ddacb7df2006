"""What the pages about cards by scanner show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.disk.room import megabytes
from contest.models import ChoiceReading, Contest, Scan, ScannedCard
from contest.scanning import arriving, working
from contest.scanning.rules import rules_of
from contest.scanning.sample import Of, Sample, asked_again, sample_of
from contest.scanning.taking import reading_of
from contest.scanning.troubles import HALTS, in_words
from contest.slips.cards import card_text
from contest.slips.choices import ChoiceSlip
from contest.slips.kinds import slip_of
from contest.web.revisions import once_a_version
from scoring.core.explain import listed
from scoring.core.points import as_figure, in_thousands
from scoring.core.questions import in_fives

MOST_SCANS = 30
UNREADABLE_TYPED = {False: "u", True: "?"}
"""What says of a card that it cannot be read, whatever its animals are called; True: of a keep/cull card."""


@dataclass(frozen=True, slots=True)
class ScanShown:
    """Pages on their way, or read; `trouble` says why they stopped, and `skips` whether the page can be left out."""

    scan: Scan
    state: str
    words: str
    trouble: str
    skips: bool

    @property
    def is_open(self) -> bool:
        return self.scan.state in (Scan.State.WAITING, Scan.State.READING)

    @property
    def next_page(self) -> int:
        return self.scan.page + 1


def scans_shown(contest: Contest) -> dict[str, Any]:
    """The last scans, and how many cards wait; `version` changes whenever any of it does."""
    scans = list(contest.scans.all()[:MOST_SCANS])
    waiting = working.waiting_cards(contest).count()
    states = "-".join(f"{scan.pk}.{scan.state}.{scan.page}" for scan in scans)
    return {
        "scans": [shown(scan) for scan in scans],
        "waiting": waiting,
        "busy": any(scan.state in (Scan.State.WAITING, Scan.State.READING) for scan in scans),
        "version": f"{states}-{waiting}",
    }


def shown(scan: Scan) -> ScanShown:
    halt = HALTS.get(scan.trouble)
    return ScanShown(scan, scan.state, how_far(scan), str(halt.why) if halt else "", bool(halt and halt.skips))


def how_far(scan: Scan) -> str:
    """As in `page 12 of 68`."""
    if scan.state == Scan.State.DONE:
        return ngettext("{count} page read", "{count} pages read", scan.pages).format(count=in_thousands(scan.pages))
    if scan.state == Scan.State.WAITING:
        return _("waits for its turn")
    if not scan.pages:
        return _("is being opened") if scan.state == Scan.State.READING else str(Scan.State(scan.state).label)
    page, pages = in_thousands(min(scan.page + 1, scan.pages)), in_thousands(scan.pages)
    if scan.state == Scan.State.READING:
        return _("page {page} of {pages}").format(page=page, pages=pages)
    words = _("stopped at page {page} of {pages}") if scan.trouble else _("cancelled at page {page} of {pages}")
    return words.format(page=page, pages=pages)


def arriving_shown(contest: Contest, who: str) -> list[dict[str, Any]]:
    """Files of somebody's own that broke off on their way."""
    return [
        {"key": own.key, "name": own.name, "here": megabytes(own.here), "whole": megabytes(own.whole)}
        for own in arriving.deliveries_of(contest)
        if own.by == who
    ]


def card_shown(contest: Contest, after: int | None = None, pk: int | None = None) -> dict[str, Any] | None:
    """The card to look at now, of those that wait: a certain one, the one after another, or the first. None where none
    waits."""
    keys = list(working.waiting_cards(contest).values_list("pk", flat=True))
    if not keys:
        return None
    place = keys.index(pk) if pk in keys else (keys.index(after) + 1) % len(keys) if after in keys else 0
    card = working.waiting_cards(contest).get(pk=keys[place])
    return {
        "card": card,
        "place": place + 1,
        "left": len(keys),
        "why": in_words(card.troubles.split()),
        "thought": _thought(card),
        "open": working.open_questions(card),
        "unreadable": UNREADABLE_TYPED[bool(card.part)],
        "x_is_an_animal": working.NOT_READ.upper() in working.labels_on(card),
        "because": [(reason, _(reason)) for reason in working.ASIDE_BECAUSE],
        "why_aside": working.why_aside(card),
    }


def _thought(card: ScannedCard) -> str:
    """What the machine thinks, in words."""
    if not card.placing:
        return ""
    return in_fives(card.placing) if card.part and card.part.questions else card_text(card.placing)


def done_shown(contest: Contest, pk: str) -> dict[str, Any] | None:
    """What became of the card that was just dealt with, to be taken back."""
    if not (pk.isascii() and pk.isdecimal() and len(pk) < 19):
        return None
    card = ScannedCard.objects.filter(scan__contest=contest, pk=pk).select_related("judging_class", "part").first()
    if card is None or card.became not in (ScannedCard.Became.SETTLED, ScannedCard.Became.ASIDE):
        return None
    reading = reading_of(card)
    if isinstance(reading, ChoiceReading):
        words = f"{slip_of(reading).title}: {ChoiceSlip.text(reading)}"
    elif reading:
        told = _("Class {judged}, contestant {number}: {placing}")
        placing = card_text(reading.placing)
        words = told.format(judged=reading.judging_class.number, number=reading.number, placing=placing)
    else:
        words = _("Put aside: {reason}").format(reason=_(card.reason))
    return {"card": card, "words": words}


def sample_shown(contest: Contest) -> dict[str, Any]:
    """How the cards of the scanner are checked."""
    found = once_a_version(f"sample {contest.pk}", str(contest.revision), lambda: sample_of(contest))
    rules = rules_of(contest)
    shown: dict[str, Any] = {"rules_of_scan": rules, "alone": contest.readings_per_card == 1, "sample": found}
    if found:
        names = dict(contest.parts.values_list("code", "name"))
        rows = [
            {
                "of": names[of] if isinstance(of, str) else _("Class {number}").format(number=of),
                "failed": of in found.failed,
                "numbers": listed(map(str, some)),
                "address": _where_read(contest, of, some),
                "count": len(some),
            }
            for of, some in found.left.items()
        ]
        shown |= {"rows": rows, "said": sample_in_words(found)}
    return shown


def _where_read(contest: Contest, of: Of, numbers: list[int]) -> str:
    """The page where a person reads these cards."""
    page = "scores-choices-sheet" if isinstance(of, str) else "desk-loose"
    return f"{reverse(page, args=[contest.pk, of])}?again={asked_again(numbers)}"


def sample_in_words(sample: Sample) -> str:
    """What the sample says of all cards that the scanner read alone."""
    told = _(
        "{checked} of {cards} cards that the scanner read alone were read by a person too; it was wrong in {wrong} of"
        " the {drawn} that were drawn."
    )
    if sample.is_done:
        told += " " + _("With {confidence} % certainty at most {most} of the others are wrong.")
    return told.format(
        checked=in_thousands(sample.checked),
        cards=in_thousands(sample.cards),
        wrong=in_thousands(sample.wrong),
        drawn=in_thousands(sample.drawn),
        confidence=as_figure(str(sample.rules.confidence)),
        most=in_thousands(sample.still_wrong),
    )
