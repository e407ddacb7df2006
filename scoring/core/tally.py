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
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, repeat
from math import lcm
from operator import attrgetter

from scoring.core.deciding import decided_values, decisions_on, how_decided
from scoring.core.placing import ANIMALS, grid, is_placing, score
from scoring.core.points import fractions_of
from scoring.core.ranking import Ranking, ranked
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, Card, Division, JudgingClass, Record, Rules
from scoring.core.result import (
    OVERALL,
    PLACING,
    REASONS,
    IndividualRow,
    OfSet,
    Result,
    Scores,
    Standing,
    TeamRow,
    TeamScores,
)
from scoring.core.sets import listed, record_of_set
from scoring.core.standardising import counting_reasons
from scoring.core.steps import StepValues, TeamPart

Column = list[int]
DECIDED = "decided"
"""The step after the last: what a decision gives."""


def tally(record: Record) -> Result:
    """Score a whole contest by the rules of the book format, and each of its sets of results by itself."""
    sheets = _Sheets(record)
    whole = _result(record, sheets)
    if not record.sets:
        return whole
    records = [(of.code, record_of_set(record, of.code)) for of in record.sets]
    sets = tuple(OfSet(code, of, _result(of, sheets)) for code, of in records)
    lists = chain.from_iterable(listed(of.result.standings, of.code) for of in sets)
    return replace(whole, standings=tuple(lists), sets=sets, everybody=whole.standings)


def _result(record: Record, sheets: _Sheets) -> Result:
    """What a contest comes to, or a set of one whose slips are the whole contest's."""
    standings: list[Standing] = []
    scores: list[Scores] = []
    team_scores: list[TeamScores] = []
    for division in record.divisions:
        tables = _DivisionTables(record, division, sheets)
        standings += tables.standings()
        scores += tables.scores()
        team_scores += tables.team_scores()
    unsettled = tuple(sorted(sheets.unsettled, key=attrgetter("class_number", "number")))
    choices = tuple(choice for choice in record.choices if not choice.is_settled)
    return Result(tuple(standings), tuple(scores), tuple(team_scores), unsettled, choices)


def class_table(judging_class: JudgingClass, rules: Rules) -> dict[str, int]:
    """What each possible card of a class earns, in points: its placings, no card, and an unreadable card.

    Of more than four animals each placing is worked out when it is first asked for. The class must have its official
    placing and cuts.
    """
    judged = judging_class
    assert judged.official is not None and judged.cuts is not None
    if len(judged.animals) > len(ANIMALS):
        table: dict[str, int] = _WorkedOut(judged, rules)
        lowest = table[judged.official[::-1]]
    else:
        table = dict(grid(judged.official, judged.cuts, judged.perfect, judged.animals))
        if rules.negative_scores == "zero":
            table = {placing: max(0, points) for placing, points in table.items()}
        lowest = min(table.values())
    table[UNREADABLE] = lowest if rules.unreadable_card == "lowest" else 0
    table[NO_CARD] = 0
    return table


def grid_of(judged: JudgingClass, rules: Rules, given: Iterable[str] = ()) -> list[tuple[str, int]]:
    """The placings of a class with what each earns, best first: all of up to four animals; of more, where they would
    be hundreds, the official one and those that were `given`. Equal scores come as in `scoring.core.placing.grid`."""
    table = class_table(judged, rules)
    if len(judged.animals) <= len(ANIMALS):
        return [(placing, points) for placing, points in table.items() if placing not in (NO_CARD, UNREADABLE)]
    placings = {judged.official or "", *(placing for placing in given if is_placing(placing, judged.animals))}
    scores = [(placing, table[placing]) for placing in placings]
    return sorted(scores, key=lambda row: (-row[1], row[0] != judged.official, row[0]))


class _WorkedOut(dict[str, int]):
    """What the placings of a class earn that were asked for: of eight animals there are 40 320."""

    def __init__(self, judged: JudgingClass, rules: Rules) -> None:
        super().__init__()
        self._judged, self._least = judged, 0 if rules.negative_scores == "zero" else None

    def __missing__(self, placing: str) -> int:
        judged = self._judged
        assert judged.official is not None and judged.cuts is not None
        points = score(judged.official, judged.cuts, placing, judged.perfect, judged.animals)
        self[placing] = points if self._least is None else max(self._least, points)
        return self[placing]


class _Sheets:
    """The record's rows, indexed by what they belong to; reasons and marks in units."""

    def __init__(self, record: Record) -> None:
        # Tens of thousands of rows: these loops are most of a large tally, so they call nothing they need not.
        self.cards: defaultdict[int, dict[int, str]] = defaultdict(dict)
        self.unsettled: list[Card] = []
        for card in record.cards:
            class_number, number, placing, second = card
            self.cards[class_number][number] = placing
            if second is not None and second != placing:
                self.unsettled.append(card)

        heard: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
        least = least_reasons(record)
        for class_number, number, _, hundredths in counting_reasons(record):
            heard[class_number, number].append(max(hundredths, least.get(number, 0)) if least else hundredths)
        officials = lcm(*set(map(len, heard.values())))
        self.scale = HUNDREDTHS * officials
        self.reasons: defaultdict[int, dict[int, int]] = defaultdict(dict)
        for (class_number, number), sets in heard.items():
            self.reasons[class_number][number] = sum(sets) * officials // len(sets)

        self.marks: defaultdict[str, dict[int, int]] = defaultdict(dict)
        self.team_marks: defaultdict[tuple[str, str], dict[str, int]] = defaultdict(dict)
        for mark in record.marks:
            units = mark.hundredths * officials
            if mark.number is None:
                self.team_marks[mark.part, mark.division][mark.team] = units
            else:
                self.marks[mark.part][mark.number] = units
        parts = {part.code: part for part in record.parts}
        for choice in record.choices:
            self.marks[choice.part][choice.number] = parts[choice.part].worth(choice.kept) * self.scale
        self.fractions = fractions_of(self.scale)


def least_reasons(record: Record) -> dict[int, int]:
    """By contestant, in hundredths, what a reasons score counts at least; only of those for whom it is more than 0."""
    least = {division.code: division.reasons_least * HUNDREDTHS for division in record.divisions}
    if not any(least.values()):
        return {}
    return {person.number: least.get(person.division, 0) for person in record.contestants}


@dataclass(frozen=True, slots=True)
class _Item:
    """One column of a division: what it is called, whether it is a placing, reasons or a part, and its category."""

    name: str
    kind: str
    category: str
    column: Column


@dataclass(frozen=True, slots=True)
class _Counting:
    """One choice of who counts: the ranked teams by name and, in step with them, their counting members as rows of the
    columns and as numbers, and the teams' values in each tie step."""

    teams: list[str]
    members: list[list[int]]
    numbers: list[tuple[int, ...]]
    steps: list[Column]


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
        self._apart = [row for row, contestant in enumerate(present) if not contestant.ranked]
        members: defaultdict[str, list[int]] = defaultdict(list)
        for index, team in enumerate(self._team_of):
            if team:
                members[team].append(index)
        self._members = dict(sorted(members.items()))
        self._items = list(self._individual_items(sheets))
        self._team_items = list(self._team_part_items(sheets))
        self._lists = self._columns_by_list()
        self._steps = StepValues(
            0,
            len(present),
            {item.name: item.column for item in self._items},
            self._lists,
            self._members,
            self._team_items,
        )

    def scores(self) -> Iterable[Scores]:
        for item in self._items:
            points = tuple(map(self._fractions.__getitem__, item.column))
            yield Scores(self._division.code, item.name, self._numbers, points)

    def team_scores(self) -> Iterable[TeamScores]:
        for item in self._team_items:
            points = tuple(self._fractions[item.marks.get(team, 0)] for team in self._members)
            yield TeamScores(self._division.code, item.item, tuple(self._members), points)

    def standings(self) -> Iterable[Standing]:
        ties = self._record.individual_ties
        step_columns = [self._steps.of_contestants(step) for step in ties]
        counting = None
        for code in self._list_codes():
            column = self._lists[code]
            keys = list(zip(column, *step_columns, strict=True))
            if counting is None or self._division.counting_members == "each":
                counting = self._counting(ranked(keys, ties).order)
            ranking = self._individuals(keys, ties, code)
            rows = zip(
                ranking.ranks,
                map(self._numbers.__getitem__, ranking.order),
                map(self._team_of.__getitem__, ranking.order),
                (self._fractions[column[row]] for row in ranking.order),
                ranking.ties,
                strict=True,
            )
            has_individuals = code in (OVERALL, PLACING, REASONS) or any(i.category == code for i in self._items)
            apart = (
                IndividualRow(0, self._numbers[row], self._team_of[row], self._fractions[column[row]], "")
                for row in self._apart
            )
            yield Standing(
                self._division.code,
                code,
                tuple(map(IndividualRow._make, rows)) if has_individuals else (),
                tuple(self._team_rows(code, counting)),
                tuple(apart) if has_individuals else (),
            )

    def _individuals(self, keys: list[tuple[int, ...]], ties: Sequence[str], code: str) -> Ranking:
        """The ranking of those who are ranked, as rows of the columns."""
        names = list(map(str, self._numbers))
        if not self._apart:
            return self._ranked(keys, ties, code, "individuals", names)
        apart = set(self._apart)
        rows = [row for row in range(len(keys)) if row not in apart]
        ranking = self._ranked([keys[row] for row in rows], ties, code, "individuals", [names[row] for row in rows])
        return ranking._replace(order=[rows[place] for place in ranking.order])

    def _individual_items(self, sheets: _Sheets) -> Iterable[_Item]:
        record, code = self._record, self._division.code
        unit = sheets.scale
        for judged in record.classes:
            if code in judged.counting_divisions and judged.counts_placing:
                column = self._placing_column(judged, sheets.cards[judged.number], unit)
                yield _Item(f"class:{judged.number}", PLACING, judged.category, column)
        for judged in record.classes:
            if code in judged.counting_reasons and judged.counts_reasons:
                category = judged.category if record.rules.reasons_in_category else ""
                column = self._column(sheets.reasons[judged.number])
                yield _Item(f"reasons:{judged.number}", REASONS, category, column)
        for part in record.parts:
            if code in part.divisions and part.scope == "individual" and part.counts:
                yield _Item(f"part:{part.code}", "part", part.category, self._column(sheets.marks[part.code]))

    def _placing_column(self, judged: JudgingClass, cards: Mapping[int, str], unit: int) -> Column:
        if judged.full_points:
            return [judged.perfect * unit] * len(self._numbers)
        table = class_table(judged, self._record.rules)
        given = map(cards.get, self._numbers, repeat(NO_CARD))
        if isinstance(table, _WorkedOut):
            return [table[placing] * unit for placing in given]
        in_units = {placing: points * unit for placing, points in table.items()}
        return [in_units[placing] for placing in given]

    def _team_part_items(self, sheets: _Sheets) -> Iterable[TeamPart[int]]:
        for part in self._record.parts:
            if self._division.code in part.divisions and part.scope == "team":
                marks = sheets.team_marks[part.code, self._division.code]
                yield TeamPart(f"part:{part.code}", part.category, marks)

    def _column(self, by_number: Mapping[int, int]) -> Column:
        return list(map(by_number.get, self._numbers, repeat(0)))

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

    def _counting(self, order: list[int]) -> _Counting:
        """Who counts when `order` holds the whole division from the best down."""
        ranks_short = self._division.short_team == "zero"
        most = self._division.team_counting or len(order)
        standing = {index: position for position, index in enumerate(order)}
        teams = [
            team
            for team, members in self._members.items()
            if ranks_short or len(members) >= self._division.team_counting
        ]
        members = [sorted(self._members[team], key=standing.__getitem__)[:most] for team in teams]
        return _Counting(
            teams,
            members,
            [tuple(sorted(self._numbers[index] for index in counting)) for counting in members],
            [list(map(self._steps.of_team, repeat(step), teams, members)) for step in self._record.team_ties],
        )

    def _team_rows(self, code: str, counting: _Counting) -> Iterable[TeamRow]:
        totals = self._team_totals(code, counting.teams, counting.members)
        keys = list(zip(totals, *counting.steps, strict=True))
        ranking = self._ranked(keys, self._record.team_ties, code, "teams", counting.teams)
        for row, rank, tie in zip(*ranking, strict=True):
            yield TeamRow(rank, counting.teams[row], self._fractions[totals[row]], counting.numbers[row], tie)

    def _ranked(
        self, keys: list[tuple[int, ...]], steps: Sequence[str], code: str, kind: str, names: Sequence[str]
    ) -> Ranking:
        """Rows in order, where a draw or an official's word separates what no step does."""
        decisions = decisions_on(self._record, self._division.code, code, kind)
        if not decisions:
            return ranked(keys, steps)
        values = decided_values(keys, names, decisions)
        ranking = ranked([(*key, value) for key, value in zip(keys, values, strict=True)], (*steps, DECIDED))
        how = how_decided(names, decisions)
        ties = [
            how[names[row]].how if tie == DECIDED else tie for row, tie in zip(ranking.order, ranking.ties, strict=True)
        ]
        return ranking._replace(ties=ties)

    def _team_totals(self, code: str, teams: list[str], members: list[list[int]]) -> Column:
        """The teams' totals in a list: of their counting members, and of the team parts that belong to the list."""
        totals = _sums(self._lists[code], members)
        for item in self._team_items:
            if code in (OVERALL, item.category):
                totals = [total + item.marks.get(team, 0) for total, team in zip(totals, teams, strict=True)]
        return totals


def _sums(column: Column, members: list[list[int]]) -> Column:
    """The sum over each team's members of their values in a column."""
    return [sum(map(column.__getitem__, counting)) for counting in members]
