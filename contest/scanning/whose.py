"""Whose a printed card is, between a contest's tables and the code on the card."""

from __future__ import annotations

from django.utils.crypto import salted_hmac

from contest.models import Contest
from contest.scanning.reader import Identity


def secret_of(contest: Contest) -> bytes:
    """What the codes of a contest's cards are signed with. It hangs on the data folder's secret key, which a copy
    holds too: cards that were printed before another laptop took over are read there as well."""
    return salted_hmac("tanbark.cards", str(contest.pk), algorithm="sha256").digest()


def year_of(contest: Contest) -> int:
    """The year that the contest is held in; 0 while nobody said."""
    return contest.held_on.year if contest.held_on else 0


def identity_of(contest: Contest, judged: int, number: int | None) -> Identity:
    """The card of a contestant's number for a class's number; without a number, a spare one."""
    return Identity(contest.pk, year_of(contest), judged, number)


def is_of(contest: Contest, identity: Identity) -> bool:
    """Is it a card of this contest and year? A day that was set, or taken away, after the print makes no other year."""
    years = {0, identity.year, year_of(contest)} - {0}
    return identity.contest == contest.pk and len(years) < 2
