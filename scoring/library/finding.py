"""What of the library is wanted: by words, by how hard it was, or by what a member misses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from contest.web.searching import plain
from scoring.core.season.like import likeness
from scoring.core.season.lost import Placed
from scoring.models import LibraryClass, LibraryPractice

HARD, EASY = "hard", "easy"


@dataclass(frozen=True, slots=True)
class Found:
    """A kept practice with its classes. `lost` is what the group lost of a class, in hundredths of what it gives, on
    the mean; None where nobody placed any. `like` is as `likeness` has it, of the class that is most like."""

    kept: LibraryPractice
    classes: Sequence[LibraryClass]
    lost: Fraction | None
    like: float | None

    @property
    def lost_percent(self) -> int | None:
        return None if self.lost is None else round(100 * self.lost)

    @property
    def like_percent(self) -> int | None:
        return None if self.like is None else round(100 * self.like)


def find(words: str, order: str, placed: Sequence[Placed] | None) -> list[Found]:
    """Those whose species or classes hold each word; the hardest or easiest first, by species, or, where what somebody
    `placed` is given, the one most like what they miss first."""
    rows = LibraryPractice.objects.defer("file").prefetch_related("classes")
    found = [_found(row, placed) for row in rows if _holds(row, plain(words).split())]
    if placed is not None:
        return sorted(found, key=lambda one: -(one.like or 0))
    if order in (HARD, EASY):
        sign = -1 if order == HARD else 1
        return sorted(found, key=lambda one: (one.lost is None, sign * (one.lost or 0)))
    return found


def _holds(row: LibraryPractice, words: list[str]) -> bool:
    text = plain(" ".join([row.species, *(judged.name for judged in row.classes.all())]))
    return all(word in text for word in words)


def _found(row: LibraryPractice, placed: Sequence[Placed] | None) -> Found:
    classes = list(row.classes.all())
    most = sum(judged.placed * judged.perfect for judged in classes)
    lost = 1 - Fraction(sum(judged.points for judged in classes), most) if most else None
    alike = [likeness(placed, judged.cuts) for judged in classes] if placed else []
    return Found(row, classes, lost, max((one for one in alike if one is not None), default=None))
