"""What was announced and is still to be told from the stage, or being told: nothing public may run ahead of it."""

from __future__ import annotations

from contest.models import Contest
from scoring.models import Ceremony


def ceremony_of(contest: Contest) -> Ceremony | None:
    return Ceremony.objects.filter(contest=contest).select_related("award_list").first()


def is_awaited(contest: Contest, ceremony: Ceremony | None) -> bool:
    """Whether lists wait to be read that nobody has begun to read: until then no board shows what is in them."""
    return (ceremony is None or ceremony.step == 0) and contest.award_lists.exists()


def has_begun(contest: Contest) -> bool:
    """Whether the awards are being read, or were: what was announced then is known to everybody."""
    ceremony = ceremony_of(contest)
    return ceremony is not None and ceremony.step > 0


def holds_back(contest: Contest) -> bool:
    """Whether what was announced is still to be told from the stage: nothing public may run ahead of the announcer."""
    ceremony = ceremony_of(contest)
    return is_awaited(contest, ceremony) or bool(ceremony and ceremony.running)


def holds_back_from_families(contest: Contest) -> bool:
    """The same of who has a link to take home: what was public once can be read there all the same."""
    ceremony = ceremony_of(contest)
    return holds_back(contest) and not (ceremony and ceremony.was_public)
