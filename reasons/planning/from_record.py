"""The task of a contest's record: who of those present owes a set on which class."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from reasons.planning.rooms import keep_classes
from reasons.planning.task import Room, Speaker
from scoring.core.record import Record


def speakers_of(record: Record) -> tuple[Speaker, ...]:
    """Whoever is present and whose division gives reasons, with their classes; void classes are left out.

    The seniors and the juniors of one club are coached together, so they count as team-mates here.
    """
    classes = {
        division.code: tuple(judged.number for judged in record.classes if division.code in judged.counting_reasons)
        for division in record.divisions
    }
    return tuple(
        Speaker(person.number, classes[person.division], person.team.casefold())
        for person in record.contestants
        if person.present and classes[person.division]
    )


def rooms_of(speakers: Sequence[Speaker], count: int, keep: bool = False) -> tuple[Room, ...]:
    """So many rooms, named 1, 2 and so on; each hears every class or, with `keep`, keeps to its own."""
    loads = Counter(number for speaker in speakers for number in speaker.classes)
    kept = keep_classes(loads, count) if keep else [None] * count
    return tuple(Room(str(place), classes) for place, classes in enumerate(kept, start=1))


def officials_of(record: Record, count: int) -> tuple[str, ...]:
    """The officials of each of so many rooms, dealt out in the order in which the record names them."""
    names = list(dict.fromkeys(score.official for score in record.reasons))
    return tuple("; ".join(names[place::count]) for place in range(count))
