"""What a contest still waits for: cards, reasons scores and marks that are due and that nobody has entered.

Only of those who are present, and only in classes that are not void for them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from scoring.core.record import Card, Mark, NoMark, NoReasons, ReasonsScore, Record
from scoring.core.texts import gettext, gettext_noop

MISSING = gettext_noop("missing")
IN_DOUBT = gettext_noop("in doubt")
READ_ONCE = gettext_noop("read once")

Owner = int | tuple[str, str]
"""Whose a mark is: a contestant's number, or a team's division and name."""


@dataclass(frozen=True, slots=True)
class Unsettled:
    """Everything that a contest's totals rest on and that may still change, each with a word for how far it is.

    A word is kept as it stands in the code, and said in the language of the moment.
    `items` are contestants' cards, reasons and marks by number and item, such as `(101, "class:3")`; `team_items` the
    teams' own marks by division, team and item; `keys` the classes whose key is not confirmed.
    """

    items: dict[tuple[int, str], str] = field(default_factory=dict)
    team_items: dict[tuple[str, str, str], str] = field(default_factory=dict)
    keys: dict[int, str] = field(default_factory=dict)

    def of(self, number: int, item: str) -> str:
        """What is not settled about one item of a contestant, the class's key included; empty if all of it is."""
        kind, _, code = item.partition(":")
        key = self.keys.get(int(code), "") if kind == "class" else ""
        return "; ".join(gettext(word) for word in (self.items.get((number, item), ""), key) if word)


def known_to_be_unsettled(record: Record, cards: Iterable[Card]) -> Unsettled:
    """What a record itself says is not settled: of `cards`, whose readings differ, those that count for somebody."""
    division_of = {c.number: c.division for c in record.contestants if c.present}
    counting = {judged.number: judged.card_divisions for judged in record.classes}
    return Unsettled(
        {
            (card.number, f"class:{card.class_number}"): IN_DOUBT
            for card in cards
            if division_of.get(card.number) in counting.get(card.class_number, ())
        }
    )


def missing_cards(record: Record) -> dict[int, tuple[int, ...]]:
    """By class, the numbers of those whose card nobody has read, not even as "no card"; classes that lack none are
    left out."""
    people = _present_by_division(record)
    seen: defaultdict[int, set[int]] = defaultdict(set)
    for card in record.cards:
        seen[card.class_number].add(card.number)
    return _without_empty(
        (judged.number, _missing(judged.card_divisions, people, seen[judged.number])) for judged in record.classes
    )


def missing_reasons(record: Record) -> dict[int, tuple[int, ...]]:
    """By class, the numbers of those of whose set of reasons no official's slip was read."""
    people = _present_by_division(record)
    seen: defaultdict[int, set[int]] = defaultdict(set)
    for score in _reasons_slips(record):
        seen[score.class_number].add(score.number)
    return _without_empty(
        (judged.number, _missing(judged.counting_reasons, people, seen[judged.number])) for judged in record.classes
    )


def missing_marks(record: Record) -> dict[str, tuple[Owner, ...]]:
    """By part, whoever has no mark or card for it, though no slip says that none was given."""
    people = _present_by_division(record)
    teams = sorted({(c.division, c.team) for c in record.contestants if c.present and c.team})
    seen: defaultdict[str, set[Owner]] = defaultdict(set)
    marks: tuple[Mark | NoMark, ...] = (*record.marks, *record.no_marks)
    for mark in marks:
        seen[mark.part].add((mark.division, mark.team) if mark.number is None else mark.number)
    for choice in record.choices:
        seen[choice.part].add(choice.number)
    missing: list[tuple[str, tuple[Owner, ...]]] = []
    for part in record.parts:
        if part.scope == "team":
            owners = (team for team in teams if team[0] in part.divisions and team not in seen[part.code])
            missing.append((part.code, tuple(owners)))
        else:
            missing.append((part.code, _missing(part.divisions, people, seen[part.code])))
    return {code: owners for code, owners in missing if owners}


def fewer_officials(record: Record) -> dict[int, tuple[int, ...]]:
    """By class, the numbers of those of whom fewer officials' slips were read than of somebody else of their division.

    A mean of fewer officials is compared with the others' all the same, so a slip may be missing.
    """
    division_of = {c.number: c.division for c in record.contestants if c.present}
    heard: defaultdict[tuple[int, str], defaultdict[int, int]] = defaultdict(lambda: defaultdict(int))
    for score in _reasons_slips(record):
        if score.number in division_of:
            heard[score.class_number, division_of[score.number]][score.number] += 1
    fewer: defaultdict[int, list[int]] = defaultdict(list)
    void = record.void
    for (number, division), counts in heard.items():
        most = max(counts.values())
        if (number, division) not in void:
            fewer[number] += [person for person, count in counts.items() if count < most]
    return _without_empty((number, tuple(sorted(people))) for number, people in sorted(fewer.items()))


def _reasons_slips(record: Record) -> tuple[ReasonsScore | NoReasons, ...]:
    """What was read of officials' slips, those that say "no score" among them."""
    return (*record.reasons, *record.no_reasons)


def _present_by_division(record: Record) -> dict[str, list[int]]:
    people: defaultdict[str, list[int]] = defaultdict(list)
    for contestant in record.contestants:
        if contestant.present:
            people[contestant.division].append(contestant.number)
    return people


def _missing(divisions: Iterable[str], people: dict[str, list[int]], seen: set[int] | set[Owner]) -> tuple[int, ...]:
    return tuple(sorted(number for division in divisions for number in people.get(division, ()) if number not in seen))


def _without_empty(missing: Iterable[tuple[int, tuple[int, ...]]]) -> dict[int, tuple[int, ...]]:
    return {number: people for number, people in missing if people}
