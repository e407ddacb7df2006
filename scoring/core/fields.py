"""What was read off the cards and slips that count, and what each misread of it would add to its score.

Tens of thousands of fields have a few hundred values between them, so what hides behind a value is worked out once; and
a field that could not move anything, by what its contestant has `room` for, is passed over at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from scoring.core.misreads import neighbours_exchanged, other_choices, other_marks, other_scores
from scoring.core.record import HUNDREDTHS, MOST_REASONS, NO_CARD, UNREADABLE, JudgingClass, Record, Rules
from scoring.core.tally import class_table, least_reasons


class Changes(NamedTuple):
    """What each misread of a field would add, in units of 1/scale points, ascending, with 0 for what changes nothing;
    and how much less and more there would be at most, neither of them negative."""

    added: tuple[int, ...]
    down: int
    up: int

    @classmethod
    def of(cls, added: Iterable[int]) -> Changes:
        ascending = tuple(sorted(added))
        return cls(ascending, max(0, -ascending[0]), max(0, ascending[-1])) if ascending else cls((), 0, 0)


class Field(NamedTuple):
    """What was read off one card or slip: of an item such as `class:3`, of a contestant's number or, where that is 0,
    of a team of the division before it; `official` gave a reasons score."""

    item: str
    number: int
    division: str = ""
    team: str = ""
    official: str = ""


class Room(NamedTuple):
    """How much less, and how much more, somebody may have in anything before any award changes: neither is negative."""

    down: float
    up: float

    def holds(self, changes: Changes) -> bool:
        """Whether no such change gets beyond it."""
        return changes.up < self.up and changes.down < self.down

    def within(self, other: Room) -> Room:
        return Room(min(self.down, other.down), min(self.up, other.up))


def misreads(
    record: Record, scale: int, answers: Mapping[Field, Sequence[int]], rooms: Mapping[int, Room]
) -> Iterator[tuple[str, Field, Changes]]:
    """Each field that may change an award, with its division. `answers` is what each misread answer would add to a mark
    that comes from a row of answers, in hundredths; `rooms` has everybody who is here."""
    division_of = {contestant.number: contestant.division for contestant in record.contestants if contestant.present}
    yield from _cards(record, scale, division_of, rooms)
    yield from _reasons(record, scale, division_of, rooms)
    yield from _marks(record, scale, division_of, rooms, answers)
    yield from _choices(record, scale, division_of, rooms)


def _cards(
    record: Record, scale: int, division_of: Mapping[int, str], rooms: Mapping[int, Room]
) -> Iterator[tuple[str, Field, Changes]]:
    hidden = {
        judged.number: _Exchanges(judged, record.rules, scale) for judged in record.classes if judged.counts_cards
    }
    void = record.void
    for class_number, number, placing, _second in record.cards:
        room, behind = rooms.get(number), hidden.get(class_number)
        if room is None or behind is None or placing in (NO_CARD, UNREADABLE) or room.holds(behind[placing]):
            continue
        if (class_number, division_of[number]) not in void:
            yield division_of[number], Field(f"class:{class_number}", number), behind[placing]


class _Exchanges(dict[str, Changes]):
    """By placing of a class, what exchanging two neighbours would add."""

    def __init__(self, judged: JudgingClass, rules: Rules, scale: int) -> None:
        super().__init__()
        self._table, self._scale = class_table(judged, rules), scale

    def __missing__(self, placing: str) -> Changes:
        table, scale = self._table, self._scale
        added = [(table[other] - table[placing]) * scale for other in neighbours_exchanged(placing)]
        self[placing] = changes = Changes.of(added)
        return changes


def _reasons(
    record: Record, scale: int, division_of: Mapping[int, str], rooms: Mapping[int, Room]
) -> Iterator[tuple[str, Field, Changes]]:
    @cache
    def hidden(hundredths: int, heard_by: int, least: int) -> Changes:
        unit, counted = scale // HUNDREDTHS // heard_by, max(hundredths, least)
        scores = other_scores(hundredths, MOST_REASONS * HUNDREDTHS)
        return Changes.of((max(other, least) - counted) * unit for other in scores)

    officials = Counter([(class_number, number) for class_number, number, _official, _points in record.reasons])
    count, void, least = (
        {one.number for one in record.classes if one.counts_reasons},
        record.void,
        least_reasons(record),
    )
    for class_number, number, official, hundredths in record.reasons:
        room = rooms.get(number)
        if room is None or class_number not in count:
            continue
        changes = hidden(hundredths, officials[class_number, number], least.get(number, 0))
        if not room.holds(changes) and (class_number, division_of[number]) not in void:
            yield division_of[number], Field(f"reasons:{class_number}", number, official=official), changes


def _marks(
    record: Record,
    scale: int,
    division_of: Mapping[int, str],
    rooms: Mapping[int, Room],
    answers: Mapping[Field, Sequence[int]],
) -> Iterator[tuple[str, Field, Changes]]:
    unit = scale // HUNDREDTHS
    most = {part.code: part.most * HUNDREDTHS for part in record.parts}

    @cache
    def hidden(hundredths: int, part: str) -> Changes:
        return Changes.of((other - hundredths) * unit for other in other_marks(hundredths, most[part]))

    for mark in record.marks:
        if mark.number is None:
            team = Field(f"part:{mark.part}", 0, mark.division, mark.team)
            yield mark.division, team, hidden(mark.hundredths, mark.part)
        elif room := rooms.get(mark.number):
            field = Field(f"part:{mark.part}", mark.number)
            added = answers.get(field)
            changes = hidden(mark.hundredths, mark.part) if added is None else Changes.of(one * unit for one in added)
            if not room.holds(changes):
                yield division_of[mark.number], field, changes


def _choices(
    record: Record, scale: int, division_of: Mapping[int, str], rooms: Mapping[int, Room]
) -> Iterator[tuple[str, Field, Changes]]:
    parts = {part.code: part for part in record.parts if part.values is not None}
    for choice in record.choices:
        room, part = rooms.get(choice.number), parts.get(choice.part)
        if room and part and choice.kept != UNREADABLE and len(choice.kept) == part.keep:
            worth = part.worth(choice.kept)
            others = other_choices(choice.kept, part.animals)
            changes = Changes.of((part.worth(other) - worth) * scale for other in others)
            if not room.holds(changes):
                yield division_of[choice.number], Field(f"part:{choice.part}", choice.number), changes
