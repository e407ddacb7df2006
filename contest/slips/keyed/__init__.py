"""Parts whose key says what is worth what: keep/cull, and questions by answer. Each kind is a file here."""

from __future__ import annotations

from contest.models import Part
from contest.slips.keyed.keep import KeepCull
from contest.slips.keyed.kind import Keyed
from contest.slips.keyed.questions import Answers

__all__ = ["Keyed", "keyed"]


def keyed(part: Part) -> Keyed:
    """What a part that has a key asks for."""
    return Answers(part) if part.questions else KeepCull(part)
