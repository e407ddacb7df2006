"""What the pages of a contest and of one class show, built from the record alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from scoring.core.class_picture import picture_of
from scoring.core.common import most_did, placings_of
from scoring.core.explain import (
    key_in_words,
    list_names,
    listed,
    losses,
    part_in_words,
    rules_in_words,
    team_rule,
    tie_step,
)
from scoring.core.placing import ANIMALS, Limit, limits
from scoring.core.points import figure, in_thousands
from scoring.core.record import NO_CARD, UNREADABLE, Card, JudgingClass, Record
from scoring.core.tally import class_table, grid_of

WIDEST_CUT = 9
"""The published limit is 8; a cut above it is set no wider than this."""


@dataclass(frozen=True, slots=True)
class KeySign:
    """One sign of a key as it is set: an animal, or the cut between two animals, set as wide as it is large."""

    text: str
    cut: bool = False
    width: int = 0


class ReadOnce(NamedTuple):
    """How many cards of a class were read by one person alone, and how many of those say that there is no card."""

    cards: int = 0
    no_card: int = 0


NONE_ONCE = ReadOnce()


@dataclass(frozen=True, slots=True)
class CardCount:
    """How far the cards of one class are, counted as the page of progress does: nobody has read those that are
    `missing`, and of `no_card` it is settled that there is none. Those that are `unreadable` are so besides."""

    due: int
    missing: int
    once: int
    unsettled: int
    no_card: int
    unreadable: int

    @property
    def done(self) -> int:
        return self.due - self.missing - self.once - self.unsettled

    @property
    def besides(self) -> list[str]:
        """What of it is not simply a placing that is settled, in words."""
        counts = (
            (self.missing, _("{count} missing")),
            (self.once, _("{count} read once")),
            (self.unsettled, _("{count} not settled")),
            (self.no_card, _("{count} with no card")),
            (self.unreadable, _("{count} unreadable")),
        )
        return [text.format(count=in_thousands(count)) for count, text in counts if count]


@dataclass(frozen=True, slots=True)
class ClassEntry:
    """A class as the programme lists it. `state` is a word, empty for a class that simply counts; `open_key` says why
    its key may still change, empty once it is settled."""

    number: int
    name: str
    category: str
    judged_by: str
    reasons_by: str
    places: bool
    perfect: int
    key: tuple[KeySign, ...]
    key_in_words: str
    open_key: str
    state: str
    void: bool
    void_for: str
    full: bool
    waiting: bool
    warnings: tuple[Limit, ...]
    cards: CardCount | None


@dataclass(frozen=True, slots=True)
class GridRow:
    """One way to fill in a card: what it earns, what it loses, and how many gave it. `share` is of 100."""

    placing: str
    score: str
    official: bool
    losses: str
    cards: int
    share: int


def contest_page(record: Record, open_keys: Mapping[int, str], once: Mapping[int, ReadOnce]) -> dict[str, Any]:
    """Everything the page of one contest shows; `open_keys` are those of `contest.keys`, and `once` says what of each
    class was read once."""
    names = list_names(record)
    divisions = {division.code: division.name for division in record.divisions}
    present = Counter(contestant.division for contestant in record.contestants if contestant.present)
    teams = Counter(division for division, _team in _present_teams(record))
    return {
        "people": _people(record),
        "rules_in_words": rules_in_words(record.rules),
        "divisions": [
            {
                "name": division.name,
                "code": division.code,
                "people": contestants_text(present[division.code]),
                "teams": _teams_text(teams[division.code]),
                "rules": team_rule(division),
            }
            for division in record.divisions
        ],
        "classes": class_entries(record, open_keys, once),
        "parts": [
            {
                "name": part.name,
                "category": names.get(part.category, ""),
                "divisions": listed(divisions[code] for code in part.divisions),
                "worth": part_in_words(part),
            }
            for part in record.parts
        ],
        "individual_ties": [tie_step(step, record) for step in record.individual_ties],
        "team_ties": [tie_step(step, record) for step in record.team_ties],
    }


def class_page(
    record: Record, judged: JudgingClass, open_keys: Mapping[int, str], once: ReadOnce = NONE_ONCE
) -> dict[str, Any]:
    """Everything the page of one class shows; `open_keys` and `once` are as for `contest_page`."""
    due = _due(record, judged)
    cards = [card for card in record.cards if card.class_number == judged.number and card.number in due]
    counts = Counter(card.placing for card in cards)
    others = {UNREADABLE: _("Unreadable card"), NO_CARD: _("No card")}
    missing = len(due) - len(cards)
    if judged.void or judged.full_points:  # nothing is lost where no card counts
        judged = replace(judged, official=None, cuts=None)
    table = class_table(judged, record.rules) if judged.official else {}
    placings = placings_of(card.placing for card in cards)
    numbers = [other.number for other in record.classes]
    position = numbers.index(judged.number)
    return {
        "judged": _class_entry(record, judged, _card_count(len(due), cards, once), open_keys),
        "most": most_did(placings),
        "picture": picture_of(judged, record.rules, placings),
        "grid": list(_grid_rows(record, judged, cards)),
        "every": len(judged.animals) <= len(ANIMALS),
        "scored": judged.needs_key and judged.official is not None,
        "others": [
            *({"what": what, "score": table.get(card, ""), "cards": counts[card]} for card, what in others.items()),
            *([{"what": _("Missing"), "score": table.get(NO_CARD, ""), "cards": missing}] if missing else []),
        ],
        "previous": numbers[position - 1] if position else None,
        "next": numbers[position + 1] if position + 1 < len(numbers) else None,
    }


def class_entries(record: Record, open_keys: Mapping[int, str], once: Mapping[int, ReadOnce]) -> list[ClassEntry]:
    """Every class, in the contest's order."""
    by_class: dict[int, list[Card]] = {judged.number: [] for judged in record.classes}
    for card in record.cards:
        by_class[card.class_number].append(card)
    entries = []
    for judged in record.classes:
        due = _due(record, judged)
        cards = [card for card in by_class[judged.number] if card.number in due]
        count = _card_count(len(due), cards, once.get(judged.number, NONE_ONCE))
        entries.append(_class_entry(record, judged, count, open_keys))
    return entries


def _class_entry(record: Record, judged: JudgingClass, cards: CardCount, open_keys: Mapping[int, str]) -> ClassEntry:
    divisions = {division.code: division.name for division in record.divisions}
    waiting = judged.needs_key and judged.official is None
    void_for = listed(divisions[code] for code in judged.void_divisions)
    void = _("void") if judged.void else _("void for {divisions}").format(divisions=void_for) if void_for else ""
    full = judged.full_points and not judged.void
    told = [void, _("full points for everybody") if full else "", _("waiting for its key") if waiting else ""]
    return ClassEntry(
        number=judged.number,
        name=judged.name,
        category=list_names(record).get(judged.category, ""),
        judged_by=_judged_by(divisions, judged),
        reasons_by=listed(divisions[code] for code in judged.reasons),
        places=judged.places,
        perfect=judged.perfect,
        key=key_signs(judged.official, judged.cuts) if judged.official and judged.cuts else (),
        key_in_words=key_in_words(judged.official, judged.cuts) if judged.official and judged.cuts else "",
        open_key=_(open_keys[judged.number]) if judged.number in open_keys else "",
        state="; ".join(filter(None, told)),
        full=full,
        void=judged.void,
        void_for=void_for,
        waiting=waiting,
        warnings=limits(judged.cuts, judged.perfect, len(judged.animals)) if judged.cuts else (),
        cards=cards if judged.places else None,
    )


def _judged_by(divisions: dict[str, str], judged: JudgingClass) -> str:
    if len(judged.divisions) == len(divisions) > 1:
        return _("all divisions")
    return listed(divisions[code] for code in judged.divisions) or _("nobody")


def key_signs(official: str, cuts: Sequence[int]) -> tuple[KeySign, ...]:
    """A key as it is set."""
    signs = []
    for animal, cut in zip(official, (*cuts, None), strict=True):
        signs.append(KeySign(animal))
        if cut is not None:
            signs.append(KeySign(str(cut), cut=True, width=min(cut, WIDEST_CUT)))
    return tuple(signs)


def _grid_rows(record: Record, judged: JudgingClass, cards: list[Card]) -> Iterator[GridRow]:
    """The placings, best first; without a key, those that were given, the commonest first."""
    counts = Counter(card.placing for card in cards if card.placing not in (NO_CARD, UNREADABLE))
    most = max(counts.values(), default=1)
    if judged.places and judged.official and judged.cuts:
        for placing, points in grid_of(judged, record.rules, counts):
            yield GridRow(
                placing=placing,
                score=figure(points),
                official=placing == judged.official,
                losses=losses(judged.official, judged.cuts, placing),
                cards=counts[placing],
                share=round(100 * counts[placing] / most),
            )
    else:
        for placing, number in sorted(counts.items(), key=lambda row: (-row[1], row[0])):
            yield GridRow(placing, "", False, "", number, round(100 * number / most))


def _card_count(due: int, cards: list[Card], once: ReadOnce) -> CardCount:
    return CardCount(
        due=due,
        missing=due - len(cards),
        once=once.cards,
        unsettled=sum(card.second not in (None, card.placing) for card in cards),
        no_card=sum(card.placing == NO_CARD and card.second is None for card in cards) - once.no_card,
        unreadable=sum(card.placing == UNREADABLE for card in cards),
    )


def _due(record: Record, judged: JudgingClass) -> set[int]:
    """Whose cards of a class are due: of all that judge it where it is void for everybody, of nobody where all have
    full points."""
    if judged.full_points and not judged.void:
        return set()
    judging = judged.divisions if judged.void else judged.counting_divisions
    return {c.number for c in record.contestants if c.present and c.division in judging}


def _present(record: Record) -> set[int]:
    return {contestant.number for contestant in record.contestants if contestant.present}


def _present_teams(record: Record) -> set[tuple[str, str]]:
    return {(c.division, c.team) for c in record.contestants if c.present and c.team}


def _people(record: Record) -> str:
    """Who is here: `58 contestants in 12 teams; 2 more are not present`."""
    here = len(_present(record))
    teams = len(_present_teams(record))
    absent = len(record.contestants) - here
    words = contestants_text(here)
    if teams:
        words = f"{words}, {_teams_text(teams)}"
    if absent:
        more = ngettext("{count} more is not present", "{count} more are not present", absent)
        words = f"{words}; {more.format(count=in_thousands(absent))}"
    return words


def contestants_text(count: int) -> str:
    return ngettext("{count} contestant", "{count} contestants", count).format(count=in_thousands(count))


def _teams_text(count: int) -> str:
    return ngettext("{count} team", "{count} teams", count).format(count=in_thousands(count))
