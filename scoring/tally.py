"""The tally: one pure function from the record of a contest to its result.

How it works. Every score is a whole number of units of 1/`scale` points, where `scale` is 100 (points have at most two
decimals) times the least common multiple of the numbers of officials who heard a set. Means, sums and comparisons are
then exact whole-number arithmetic; fractions are made once, at the end. A set scored 44.5 and 43 by two officials has
mean 8750 / 200: with scale 200 that is 8750 units, 43.75 points.

Each division is scored as columns, one a class, set of reasons or part, in step with the division's present contestants
by ascending number. Nothing depends on the order of the record's contestants, cards, reasons or marks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import lcm
from operator import attrgetter

from scoring.placing import grid
from scoring.points import FractionsOf
from scoring.ranking import ranked
from scoring.record import HUNDREDTHS, NO_CARD, UNREADABLE, Division, JudgingClass, Record, Rules
from scoring.result import (
    OVERALL,
    PLACING,
    REASONS,
    IndividualRow,
    Result,
    Scores,
    Standing,
    TeamRow,
    TeamScores,
)

Column = list[int]


def tally(record: Record) -> Result:
    """Score a whole contest by the rules of the book format."""
    sheets = _Sheets(record)
    standings: list[Standing] = []
    scores: list[Scores] = []
    team_scores: list[TeamScores] = []
    for division in record.divisions:
        tables = _DivisionTables(record, division, sheets)
        standings += tables.standings()
        scores += tables.scores()
        team_scores += tables.team_scores()
    unsettled = sorted((card for card in record.cards if not card.settled), key=lambda c: (c.class_number, c.number))
    return Result(tuple(standings), tuple(scores), tuple(team_scores), tuple(unsettled))


def class_table(judging_class: JudgingClass, rules: Rules) -> dict[str, int]:
    """What each possible card of a class earns, in points: the 24 placings, no card, and an unreadable card.

    The class must have its official placing and cuts.
    """
    assert judging_class.official is not None and judging_class.cuts is not None
    table = dict(grid(judging_class.official, judging_class.cuts, judging_class.perfect))
    if rules.negative_scores == "zero":
        table = {placing: max(0, points) for placing, points in table.items()}
    table[UNREADABLE] = min(table.values()) if rules.unreadable_card == "lowest" else 0
    table[NO_CARD] = 0
    return table


class _Sheets:
    """The record's rows, indexed by what they belong to; reasons and marks in units."""

    def __init__(self, record: Record) -> None:
        self.cards: defaultdict[int, dict[int, str]] = defaultdict(dict)
        for card in record.cards:
            self.cards[card.class_number][card.number] = card.placing

        heard: defaultdict[int, defaultdict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
        for given in record.reasons:
            heard[given.class_number][given.number].append(given.hundredths)
        officials = lcm(*{len(sets) for by_number in heard.values() for sets in by_number.values()})
        self.scale = HUNDREDTHS * officials
        self.reasons = {
            class_number: {number: sum(sets) * officials // len(sets) for number, sets in by_number.items()}
            for class_number, by_number in heard.items()
        }

        self.marks: defaultdict[str, dict[int, int]] = defaultdict(dict)
        self.team_marks: defaultdict[tuple[str, str], dict[str, int]] = defaultdict(dict)
        for mark in record.marks:
            units = mark.hundredths * officials
            if mark.number is None:
                self.team_marks[mark.part, mark.division][mark.team] = units
            else:
                self.marks[mark.part][mark.number] = units
        self.fractions = FractionsOf(self.scale)


@dataclass(frozen=True, slots=True)
class _Item:
    """One column of a division: what it is called, whether it is a placing, reasons or a part, and its category."""

    name: str
    kind: str
    category: str
    column: Column


@dataclass(frozen=True, slots=True)
class _TeamItem:
    name: str
    category: str
    marks: dict[str, int]


class _DivisionTables:
    """One division's columns, and the lists and scores made of them."""

    def __init__(self, record: Record, division: Division, sheets: _Sheets) -> None:
        self._record = record
        self._division = division
        self._fractions = sheets.fractions
        present = [c for c in record.contestants if c.present and c.division == division.code]
        present.sort(key=attrgetter("number"))
        self._numbers = tuple(contestant.number for contestant in present)
        self._team_of = [contestant.team for contestant in present]
        members: defaultdict[str, list[int]] = defaultdict(list)
        for index, team in enumerate(self._team_of):
            if team:
                members[team].append(index)
        self._members = dict(sorted(members.items()))
        self._items = list(self._individual_items(sheets))
        self._team_items = list(self._team_part_items(sheets))
        self._lists = self._columns_by_list()
        self._steps = {step: self._step_column(step) for step in record.individual_ties + record.team_ties}

    def scores(self) -> Iterable[Scores]:
        for item in self._items:
            points = tuple(map(self._fractions.__getitem__, item.column))
            yield Scores(self._division.code, item.name, self._numbers, points)

    def team_scores(self) -> Iterable[TeamScores]:
        for item in self._team_items:
            points = tuple(self._fractions[item.marks.get(team, 0)] for team in self._members)
            yield TeamScores(self._division.code, item.name, tuple(self._members), points)

    def standings(self) -> Iterable[Standing]:
        ties = self._record.individual_ties
        step_columns = [self._steps[step] for step in ties]
        counting: dict[str, list[int]] = {}
        for code in self._list_codes():
            keys = list(zip(self._lists[code], *step_columns, strict=True))
            places = ranked(keys, ties)
            if code == OVERALL or self._division.counting_members == "each":
                counting = self._counting([place.row for place in places])
            rows = (
                IndividualRow(
                    place.rank,
                    self._numbers[place.row],
                    self._team_of[place.row],
                    self._fractions[keys[place.row][0]],
                    place.tie,
                )
                for place in places
            )
            has_individuals = code in (OVERALL, PLACING, REASONS) or any(i.category == code for i in self._items)
            yield Standing(
                self._division.code,
                code,
                tuple(rows) if has_individuals else (),
                tuple(self._team_rows(code, counting)),
            )

    def _individual_items(self, sheets: _Sheets) -> Iterable[_Item]:
        record, code = self._record, self._division.code
        unit = sheets.scale
        for judged in record.classes:
            if code in judged.divisions and judged.counts_placing:
                table = {placing: points * unit for placing, points in class_table(judged, record.rules).items()}
                cards = sheets.cards[judged.number]
                column = [table[cards.get(number, NO_CARD)] for number in self._numbers]
                yield _Item(f"class:{judged.number}", PLACING, judged.category, column)
        for judged in record.classes:
            if code in judged.reasons and judged.counts_reasons:
                category = judged.category if record.rules.reasons_in_category else ""
                column = self._column(sheets.reasons.get(judged.number, {}))
                yield _Item(f"reasons:{judged.number}", REASONS, category, column)
        for part in record.parts:
            if code in part.divisions and part.scope == "individual":
                yield _Item(f"part:{part.code}", "part", part.category, self._column(sheets.marks[part.code]))

    def _team_part_items(self, sheets: _Sheets) -> Iterable[_TeamItem]:
        for part in self._record.parts:
            if self._division.code in part.divisions and part.scope == "team":
                marks = sheets.team_marks[part.code, self._division.code]
                yield _TeamItem(f"part:{part.code}", part.category, marks)

    def _column(self, by_number: Mapping[int, int]) -> Column:
        return [by_number.get(number, 0) for number in self._numbers]

    def _columns_by_list(self) -> dict[str, Column]:
        """The contestants' totals in every list that the contest could have, whether or not this division has it."""
        lists = {
            OVERALL: self._sum(item.column for item in self._items),
            PLACING: self._sum(item.column for item in self._items if item.kind == PLACING),
            REASONS: self._sum(item.column for item in self._items if item.kind == REASONS),
        }
        for category in self._record.categories:
            lists[category.code] = self._sum(item.column for item in self._items if item.category == category.code)
        return lists

    def _sum(self, columns: Iterable[Column]) -> Column:
        rows = list(columns)
        return list(map(sum, zip(*rows, strict=True))) if rows else [0] * len(self._numbers)

    def _list_codes(self) -> Iterable[str]:
        """The division's lists, in order: those in which it does anything that counts."""
        kinds = {item.kind for item in self._items}
        categories = {item.category for item in self._items} | {item.category for item in self._team_items}
        yield OVERALL
        yield from (code for code in (PLACING, REASONS) if code in kinds)
        yield from (category.code for category in self._record.categories if category.code in categories)

    def _step_column(self, step: str) -> Column:
        """Each contestant's value in a tie step; 0 in what the division does not do."""
        kind, _, name = step.partition(":")
        if step == "total":
            return self._lists[OVERALL]
        if step in (PLACING, REASONS):
            return self._lists[step]
        if step == "best-class":
            placings = [item.column for item in self._items if item.kind == PLACING]
            return list(map(max, zip(*placings, strict=True))) if placings else self._column({})
        if kind == "category":
            return self._lists[name]
        return next((item.column for item in self._items if item.name == step), self._column({}))

    def _counting(self, order: list[int]) -> dict[str, list[int]]:
        """By team, the members who count: the first of `order`, which holds the whole division from the best down."""
        most = self._division.team_counting or len(order)
        standing = {index: position for position, index in enumerate(order)}
        return {
            team: sorted(members, key=standing.__getitem__)[:most]
            for team, members in self._members.items()
            if self._division.short_team == "zero" or len(members) >= self._division.team_counting
        }

    def _team_rows(self, code: str, counting: dict[str, list[int]]) -> Iterable[TeamRow]:
        ties = self._record.team_ties
        teams = list(counting)
        keys = [
            (
                self._team_total(code, team, members),
                *(self._team_step(step, team, members) for step in ties),
            )
            for team, members in counting.items()
        ]
        for place in ranked(keys, ties):
            team = teams[place.row]
            numbers = tuple(sorted(self._numbers[index] for index in counting[team]))
            yield TeamRow(place.rank, team, self._fractions[keys[place.row][0]], numbers, place.tie)

    def _team_total(self, code: str, team: str, members: list[int]) -> int:
        column = self._lists[code]
        own = sum(item.marks.get(team, 0) for item in self._team_items if code in (OVERALL, item.category))
        return sum(column[index] for index in members) + own

    def _team_step(self, step: str, team: str, members: list[int]) -> int:
        if step == "left-out":
            left_out = set(self._members[team]).difference(members)
            return max((self._lists[OVERALL][index] for index in left_out), default=0)
        if step == "total":
            return self._team_total(OVERALL, team, members)
        if step.startswith("category:"):
            return self._team_total(step.removeprefix("category:"), team, members)
        for item in self._team_items:
            if item.name == step:
                return item.marks.get(team, 0)
        column = self._steps[step]
        return sum(column[index] for index in members)
