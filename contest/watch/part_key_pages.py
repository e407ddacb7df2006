"""What the pages of the parts' keys show. What one person typed is hidden from others until they have typed it too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from contest.keys import DISPUTED
from contest.models import Contest, Part, PartKey
from contest.models.outline import HAS_KEY
from contest.slips.keyed import keyed
from contest.slips.keyed.kind import Shown
from contest.watch.key_pages import WAITING, Stated, how_far


@dataclass(frozen=True, slots=True)
class PartKeyRow(Stated):
    """A part and how far its key is, as whoever looks may see it; `blind` while they have still to type it."""

    part: Part
    state: str
    latest: PartKey | None
    blind: bool
    versions: int

    @property
    def dispute(self) -> bool:
        return self.state == DISPUTED

    @property
    def shown(self) -> Shown:
        return pairs(self.part, self.latest.given) if self.latest and not self.blind and not self.dispute else ()


def part_key_rows(contest: Contest, who: str) -> list[PartKeyRow]:
    """Every part that is to have a key."""
    keys: dict[int, list[PartKey]] = {}
    for key in PartKey.objects.filter(part__contest=contest).order_by("version"):
        keys.setdefault(key.part_id, []).append(key)
    return [_row(part, keys.get(part.pk, []), who) for part in contest.parts.filter(HAS_KEY)]


def _row(part: Part, keys: Sequence[PartKey], who: str) -> PartKeyRow:
    if not keys:
        return PartKeyRow(part, WAITING, None, False, 0)
    latest = keys[-1]
    state, blind = how_far(latest, bool(latest.other), who)
    return PartKeyRow(part, state, latest, blind, len(keys))


def pairs(part: Part, given: str) -> Shown:
    return keyed(part).shown(given)
