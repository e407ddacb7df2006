"""When a card's readings settle it: agreement between different readers, or a decision.

The same rules serve placings, reasons scores and marks. In words:

* A decision settles, until a later reading shows a card that nobody had read before it was made.
* An official's own entry on the room's tablet is the source itself: nothing was copied, so it settles by itself, and
  what it says counts until another reading says something else and that doubt is decided.
* Readings that all say the same settle once enough different readers have given them; until then the card is read once.
* Readings that differ are in doubt: nobody outvotes anybody, the superintendent looks at the paper.
* "No card", or "no score", that is followed by one only says that it turned up later, and is left out of account.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, Literal, NamedTuple, TypeVar

Value = TypeVar("Value", str, int | None)
StateName = Literal["once", "settled", "doubt"]


class Given(NamedTuple, Generic[Value]):
    """One reading, not withdrawn: what it says, who read it, whether it is a decision, and whether it is the source:
    no reading of paper, but what an official entered."""

    value: Value
    reader: str
    decides: bool = False
    is_source: bool = False


@dataclass(frozen=True, slots=True)
class Settlement(Generic[Value]):
    """What the readings come to: the value that counts, the second reading if there is one, and how far they are."""

    value: Value
    second: Value | None
    state: StateName


def settle(
    readings: Sequence[Given[Value]],
    needed: int,
    same_reader_twice: bool = False,
    nothing: Value | None = None,
) -> Settlement[Value] | None:
    """What the readings of one card, oldest first, come to; None where there are none.

    `needed` is how many must agree, by different readers unless `same_reader_twice`. `nothing` is the value that means
    that no card was handed in or no score given. In doubt, a source counts, or else the first reading; but where one of
    two says that there is nothing, and neither is a source, there is nothing until somebody decides.
    """
    decided_at = max((place for place, reading in enumerate(readings) if reading.decides), default=None)
    if decided_at is not None:
        return _after_decision(readings, decided_at, nothing)
    cards = _without_absence_before_a_card(readings, nothing)
    if not cards:
        return None
    source = next((reading for reading in cards if reading.is_source), None)
    first = (source or cards[0]).value
    if others := [reading.value for reading in cards if reading.value != first]:
        if others[0] == nothing and source is None:
            return Settlement(others[0], first, "doubt")
        return Settlement(first, others[0], "doubt")
    readers = len(cards) if same_reader_twice else len({reading.reader for reading in cards})
    if readers < needed and source is None:
        return Settlement(first, None, "once")
    return _settled(first, nothing) if readers > 1 else Settlement(first, None, "settled")


def _after_decision(readings: Sequence[Given[Value]], decided_at: int, nothing: Value | None) -> Settlement[Value]:
    decided = readings[decided_at].value
    known = {reading.value for reading in readings[: decided_at + 1]} | {nothing}
    later = [reading for reading in readings[decided_at + 1 :] if reading.value != decided]
    # Whoever decided knew what was read by then. What an official changes later is always asked about anew.
    if news := [reading.value for reading in later if reading.is_source or reading.value not in known]:
        return Settlement(decided, news[0], "doubt")
    return _settled(decided, nothing)


def _settled(value: Value, nothing: Value | None) -> Settlement[Value]:
    """Settled by two readings or by a decision, which a book writes alike; it has no way to write "no card" twice."""
    return Settlement(value, None if value == nothing else value, "settled")


def _without_absence_before_a_card(readings: Sequence[Given[Value]], nothing: Value | None) -> Sequence[Given[Value]]:
    for place, reading in enumerate(readings):
        if reading.value != nothing:
            return readings[place:]
    return readings
