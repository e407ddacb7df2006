"""What a run counts."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

STALE = 2.0
"""Seconds after which a board must show what was announced."""


@dataclass
class Counts:
    troubles: Counter[str] = field(default_factory=Counter)
    longest_back: float = 0.0  # seconds from the end of a cut until who had been cut off was ready again
    readings: int = 0
    sent_again: int = 0
    refused: int = 0  # in words, and sent again
    longest_reading: float = 0.0  # seconds from the first try until it was acknowledged
    lost: int = 0
    doubled: int = 0
    reveals: int = 0
    reveals_wrong: int = 0
    papers: int = 0
    taken_up_again: int = 0
    papers_lost: int = 0
    looks: int = 0
    stale: int = 0
    stalest: float = 0.0
    boards_differ: int = 0

    @property
    def wrong(self) -> dict[str, int]:
        """Whatever must be zero, and is not."""
        must_be_none = ("lost", "doubled", "reveals_wrong", "papers_lost", "stale", "boards_differ")
        return {name: getattr(self, name) for name in must_be_none if getattr(self, name)}

    def __str__(self) -> str:
        troubles = ", ".join(f"{count} {what}" for what, count in sorted(self.troubles.items()))
        back = f"; ready again {self.longest_back:.1f} s after a cut at the latest" if self.longest_back else ""
        return (
            f"{self.troubles.total()} troubles ({troubles}{back}); {self.readings} readings acknowledged, "
            f"{self.sent_again} sent again, {self.refused} of them refused in words, the slowest in "
            f"{self.longest_reading:.1f} s, lost {self.lost}, doubled {self.doubled}; {self.reveals} moves of the "
            f"ceremony, lost or doubled {self.reveals_wrong}; {self.papers} papers, {self.taken_up_again} taken up "
            f"again, lost {self.papers_lost}; {self.looks} looks at boards, {self.stale} later than {STALE:g} s, the "
            f"latest {self.stalest:.2f} s, {self.boards_differ} differ at the end"
        )
