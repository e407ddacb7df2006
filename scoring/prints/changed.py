"""Which sheets of a document say something else than when a file of them was made last.

A sheet is what one of its readers is handed: a card, a contestant's page of a packet, an award sheet. What counts is
all that stands on it, with the contest's name, place and day, the language, and whether it is provisional; not the head
and the foot of a page, which say what moment it is of. What was never made into a file has changed. Kept is a digest a
sheet, so nobody learns from it what stood there.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any

from django.utils.translation import get_language

from contest.changes import changes
from contest.models import Contest
from scoring.models import LastPrints
from scoring.prints.choice import Choice
from scoring.prints.material import Material

DIGEST_BYTES = 6


class Changes:
    """Looks at the sheets of a document one by one; `said` holds what those to be printed say, by their keys."""

    def __init__(self, material: Material, choice: Choice) -> None:
        rules = material.record.rules
        provisional = material.released is None
        self._everywhere = repr((rules.name, rules.place, rules.held_on, get_language(), provisional)).encode()
        self._known = material.printed if choice.changed else {}
        self.said: dict[str, str] = {}

    def keep(self, key: str, content: Any) -> bool:
        """Whether a sheet is to be printed."""
        text = json.dumps(content, default=str, sort_keys=True).encode()
        digest = hashlib.blake2b(self._everywhere + text, digest_size=DIGEST_BYTES).hexdigest()
        if self._known.get(key) == digest:
            return False
        self.said[key] = digest
        return True


@changes
def remember(contest: Contest, document: str, said: dict[str, str]) -> None:
    """Keep what the sheets of a file say that was just made. Nothing of the contest changes, so the trail is told of
    the file alone."""
    if said:
        known = LastPrints.objects.filter(contest=contest, document=document).values_list("sheets", flat=True).first()
        LastPrints.objects.update_or_create(
            contest=contest, document=document, defaults={"sheets": (known or {}) | said}
        )
