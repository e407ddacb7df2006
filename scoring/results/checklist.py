"""What stands between a contest and its results, as the program works it out. Each line leads to where it is mended."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Max
from django.urls import reverse

from contest.keys import DISPUTED
from contest.models import Contest, State
from contest.records.tallying import Tallied
from contest.watch.doubts import ABSENT, UNKNOWN, WRONG_CLASS, Doubt
from contest.watch.finding import waiting
from scoring.core import suspicious
from scoring.core.due import Owner, fewer_officials, missing_cards, missing_marks, missing_reasons
from scoring.core.explain import counted, first_numbers, list_names, listed, some_of, standardised_note
from scoring.core.placing import limits
from scoring.core.points import figure
from scoring.core.record import Record
from scoring.core.result import IndividualRow, Result, TeamRow
from scoring.standings.open_ends import OpenEnds, open_ends

CARDS, KEYS, SCORES, TIES, LOOK = "Cards", "Keys", "Reasons and marks", "Shared places", "Worth a look"
SECTIONS = (CARDS, KEYS, SCORES, TIES, LOOK)

USUAL_PLACES = 10
"""Places that get an award where the contest has not said how many."""


STRAYS = {
    UNKNOWN: ("reading of a number that nobody has", "readings of numbers that nobody has"),
    WRONG_CLASS: ("card of somebody who does not judge the class", "cards of contestants who do not judge the class"),
    ABSENT: ("card of somebody who is marked absent", "cards of contestants who are marked absent"),
}


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that is not as it should be, or may not be. `address` leads to its mending."""

    section: str
    text: str
    address: str
    mend: str

    @property
    def key(self) -> str:
        """Stands for what the line says, so that nobody accepts more than they saw."""
        return hashlib.sha256(f"{self.section}: {self.text}".encode()).hexdigest()[:16]


def checklist(contest: Contest, shown: Tallied) -> list[Item]:
    """Everything that is open or looks wrong, in the order of SECTIONS."""
    return _Checking(contest, shown.record, shown.result, open_ends(contest)).items()


class _Checking:
    def __init__(self, contest: Contest, record: Record, result: Result, ends: OpenEnds) -> None:
        self._contest, self._record, self._result, self._ends = contest, record, result, ends
        self._divisions = {division.code: division.name for division in record.divisions}
        self._void = {judged.number for judged in record.classes if judged.void}
        self._doubts = waiting(contest).doubts

    def items(self) -> list[Item]:
        return [*self._cards(), *self._keys(), *self._scores(), *self._ties(), *self._worth_a_look()]

    def _cards(self) -> Iterator[Item]:
        yield from self._doubtful_cards(self._doubts)
        for number, people in sorted(self._ends.cards.items()):
            once = sorted(person for person, state in people.items() if state == State.ONCE)
            if once and number not in self._void:
                text = f"Class {number}: {counted(len(once), 'card')} read only once: {first_numbers(once)}"
                yield self._item(CARDS, text, "Read them", "progress-class", number)
        for number, missing in missing_cards(self._record).items():
            text = f"Class {number}: {counted(len(missing), 'card')} missing: {first_numbers(missing)}"
            yield self._item(CARDS, text, "See the class", "progress-class", number)

    def _doubtful_cards(self, doubts: Iterable[Doubt]) -> Iterator[Item]:
        differing: dict[int, list[int]] = {}
        strays: dict[tuple[int, str], list[int]] = {}
        for doubt in doubts:
            if doubt.about != "card" or doubt.class_number is None or doubt.number is None:
                continue
            if doubt.kind in STRAYS:
                strays.setdefault((doubt.class_number, doubt.kind), []).append(doubt.number)
            elif doubt.class_number not in self._void:
                differing.setdefault(doubt.class_number, []).append(doubt.number)
        for number, people in sorted(differing.items()):
            text = f"Class {number}: {counted(len(people), 'card')} in doubt: {first_numbers(sorted(people))}"
            yield self._item(CARDS, text, "Decide", "doubts")
        for (number, kind), people in sorted(strays.items()):
            text = f"Class {number}: {counted(len(people), *STRAYS[kind])}: {first_numbers(sorted(people))}"
            yield self._item(CARDS, text, "Decide", "doubts")

    def _keys(self) -> Iterator[Item]:
        for judged in self._record.classes:
            if not judged.places or judged.void:
                continue
            if judged.official is None or judged.cuts is None:
                text = f"Class {judged.number} has no key and counts for nobody"
                yield self._item(KEYS, text, "Enter it", "key", judged.number)
                continue
            if state := self._ends.keys.get(judged.number):
                trouble = "two entries of its key differ" if state == DISPUTED else "its key was typed only once"
                yield self._item(KEYS, f"Class {judged.number}: {trouble}", "See the key", "key", judged.number)
            for limit in limits(judged.cuts, judged.perfect):
                text = f"Class {judged.number}: {limit.message}"
                yield self._item(KEYS, text, "See the key", "key", judged.number)

    def _scores(self) -> Iterator[Item]:
        if self._record.rules.reasons_standardised and self._record.reasons:
            text = f"{standardised_note()}: every list counts them so. Does the rulebook order it?"
            yield self._item(SCORES, text, "See what it does", "reasons-fairness")
        for number, people in missing_reasons(self._record).items():
            text = f"Class {number}: {counted(len(people), 'set')} of reasons without a score: {first_numbers(people)}"
            yield self._item(SCORES, text, "See the scores", "scores-class", number)
        for number, people in fewer_officials(self._record).items():
            text = f"Class {number}: scored by fewer officials than others: {first_numbers(people)}"
            yield self._item(SCORES, text, "See the scores", "scores-class", number)
        for number, states in sorted(self._ends.reasons.items()):
            if number not in self._void:
                yield from self._unsettled(states, f"Class {number}: reasons", "scores-class", number)
        parts = {part.code: part.name for part in self._record.parts}
        for code, owners in missing_marks(self._record).items():
            yield from self._missing_marks(code, parts[code], owners)
        for code, marks in self._ends.marks.items():
            yield from self._unsettled(marks, f"{parts[code]}: marks", "scores-part", code)
        absent = sorted({d.number for d in self._doubts if d.kind == ABSENT and d.about != "card" and d.number})
        if absent:
            text = f"Reasons or marks of {counted(len(absent), 'contestant')} marked absent: {first_numbers(absent)}"
            yield self._item(SCORES, text, "Decide", "doubts")

    def _missing_marks(self, code: str, part: str, owners: tuple[Owner, ...]) -> Iterator[Item]:
        """A division of which nothing was entered is a line of its own: a whole sheet may still lie somewhere."""
        divisions = {c.number: c.division for c in self._record.contestants}
        entered = {mark.division or divisions[mark.number or 0] for mark in self._record.marks if mark.part == code}
        for division, name in self._divisions.items():
            whose = [o for o in owners if (o[0] if isinstance(o, tuple) else divisions[o]) == division]
            missing = f"{counted(len(whose), 'mark')} missing" if division in entered else "no mark at all"
            if whose:
                text = f"{part}, {name}: {missing}: {self._owners(whose)}"
                yield self._item(SCORES, text, "See the marks", "scores-part", code)

    def _unsettled(self, states: dict[Any, str], trouble: str, address: str, *args: int | str) -> Iterator[Item]:
        for state, words in ((State.DOUBT, "in doubt"), (State.ONCE, "read only once")):
            whose = sorted((owner for owner, owner_state in states.items() if owner_state == state), key=str)
            text = f"{trouble} {words}: {self._owners(whose)}"
            if whose and state == State.DOUBT:
                yield self._item(SCORES, text, "Decide", "doubts")
            elif whose:
                yield self._item(SCORES, text, "Read them", address, *args)

    def _ties(self) -> Iterator[Item]:
        places = self._places_with_awards()
        names = list_names(self._record)
        for standing in self._result.standings:
            for kind, rows in (("individuals", standing.individuals), ("teams", standing.teams)):
                most = places.get((standing.division, standing.code, kind), 0)
                for rank, whose in shared_ranks(rows, most):
                    where = f"{self._divisions[standing.division]}, {names[standing.code]}"
                    text = f"{where}: {'teams ' if kind == 'teams' else ''}{some_of(whose)} share rank {rank}"
                    address = reverse("standings-list", args=[self._contest.pk, standing.division, standing.code])
                    yield Item(TIES, text, address, "See the list")

    def _places_with_awards(self) -> dict[tuple[str, str, str], int]:
        """How many places get an award, by division, list and kind."""
        rows = list(self._contest.award_lists.values_list("division", "code", "kind", "places"))
        if rows:
            return {(division, code, kind): places for division, code, kind, places in rows}
        most = self._contest.ribbons.aggregate(most=Max("place"))["most"] or USUAL_PLACES
        return {(s.division, s.code, kind): most for s in self._result.standings for kind in ("individuals", "teams")}

    def _worth_a_look(self) -> Iterator[Item]:
        odd = suspicious.OddCards(self._record)
        yield from self._odd_keys(odd)
        reversals, far_out = odd.reversed_cards(), odd.far_out()
        for number, people in reversals.items():
            yield self._cards_to_look_at(
                number, people, "is the official placing reversed", "are the official placing reversed"
            )
        for number, people in far_out.items():
            others = [person for person in people if person not in reversals.get(number, ())]
            if others:
                unlike = "nearly everything, unlike their others"
                yield self._cards_to_look_at(number, others, f"loses {unlike}", f"lose {unlike}")
        for number, people in suspicious.odd_reasons(self._record).items():
            text = (
                f"Class {number}: reasons scored far from what the same official gave others: {first_numbers(people)}"
            )
            yield self._item(LOOK, text, "See the scores", "scores-class", number)
        if people := suspicious.without_any_card(self._record):
            text = f"Present, but without any card: {first_numbers(people)}"
            yield self._item(LOOK, text, "See who is here", "check_in")
        for same in suspicious.alike(self._record):
            members = "every member" if same.whole_team else listed(map(str, same.members))
            where = f"{self._divisions[same.division]}, {same.team}"
            text = f"{where}: the same card from {members} in all of {counted(same.classes, 'class', 'classes')}"
            team_pk = self._ends.teams[same.division, same.team]
            yield self._item(LOOK, text, "See the team", "standings-team", same.division, team_pk)

    def _odd_keys(self, odd: suspicious.OddCards) -> Iterator[Item]:
        hard = {odd_key.number: odd_key for odd_key in odd.no_better_than_blind()}
        for number, odd_key in hard.items():
            text = (
                f"Class {number}: its {odd_key.cards} cards lose {figure(odd_key.lost)} on average, placing blindly "
                f"loses {figure(odd_key.blind)}: is its key right?"
            )
            yield self._item(LOOK, text, "See the key", "key", number)
        for rare in odd.rarely_given():
            if rare.number not in hard:
                rarely = (
                    f"{rare.given or 'none'} of its {counted(rare.cards, 'card')} {'have' if rare.given > 1 else 'has'}"
                )
                text = f"Class {rare.number}: {rarely} the official placing: is its key right?"
                yield self._item(LOOK, text, "See the key", "key", rare.number)
        for number, names in suspicious.cuts_of_nothing(self._record).items():
            are = "cut is" if len(names) == 1 else "cuts are"
            yield self._item(LOOK, f"Class {number}: the {listed(names)} {are} 0", "See the key", "key", number)

    def _cards_to_look_at(self, number: int, people: list[int], one_is: str, several_are: str) -> Item:
        """One card by itself; of several, the class's page, where each is a link."""
        if len(people) == 1:
            text = f"Class {number}: the card of {people[0]} {one_is}"
            return self._item(LOOK, text, "See the card", "card", number, people[0])
        text = f"Class {number}: the cards of {some_of([*map(str, people)])} {several_are}"
        return self._item(LOOK, text, "See the cards", "progress-class", number)

    def _owners(self, owners: Iterable[Owner]) -> str:
        return first_numbers([owner[1] if isinstance(owner, tuple) else owner for owner in owners])

    def _item(self, section: str, text: str, mend: str, address: str, *args: int | str) -> Item:
        return Item(section, text, reverse(address, args=[self._contest.pk, *args]), mend)


def shared_ranks(rows: Iterable[IndividualRow | TeamRow], most: int) -> Iterator[tuple[int, list[str]]]:
    """The ranks up to `most` that several rows share, with whose rows they are."""
    shared: dict[int, list[str]] = {}
    for row in rows:
        if row.rank <= most:
            shared.setdefault(row.rank, []).append(row.team if isinstance(row, TeamRow) else str(row.number))
    yield from ((rank, whose) for rank, whose in shared.items() if len(whose) > 1)
