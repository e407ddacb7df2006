"""How far apart the awards are, and which single misreads would change one: the cards and scores that decide.

For every card and score that counts, each value that one misread could have hidden (`misreads`) is put in its place,
and the totals it moves are looked at: the contestant's in every list, and their team's, with whoever counts then. An
award is changed where another would hold it, or where two would be level, so that a tie step had to decide.

Worked example: 101 leads Senior, Overall with 412 points, 117 has 410. 101's card of class 3 may have been 1324, 3214
or 3142 on the paper, for 3, 5 or 2 points less: each would end the lead or make a tie, so that card decides by all of
its misreads. A reasons score of 40 for 101 decides where it was less by 2 or more. The chance that one of these was
misread, and that this changed the award, is what each is misread at times the part of its misreads that change it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm
from typing import Literal, NamedTuple

from scoring.core.items import items_of
from scoring.core.misreads import neighbours_exchanged, other_choices, other_marks, other_scores
from scoring.core.record import HUNDREDTHS, MOST_REASONS, NO_CARD, UNREADABLE, Division, Record
from scoring.core.result import OVERALL, IndividualRow, Result, Standing, TeamRow
from scoring.core.sets import each_contest
from scoring.core.standardising import counting_reasons
from scoring.core.tally import class_table

Kind = Literal["individuals", "teams"]
KINDS: tuple[Kind, Kind] = ("individuals", "teams")


class Field(NamedTuple):
    """What was read off one card or slip: of an item such as `class:3`, of a contestant's number or, where that is 0,
    of a team of the division before it; `official` gave a reasons score."""

    item: str
    number: int
    division: str = ""
    team: str = ""
    official: str = ""


class Decides(NamedTuple):
    """A field with the part of its misreads that would change an award."""

    field: Field
    part: Fraction


@dataclass(frozen=True, slots=True)
class Award:
    """One place of one list: who holds it, the points to whoever is next (None for the last), and what decides it."""

    division: str
    code: str
    kind: Kind
    place: int
    holder: str
    margin: Fraction | None
    fields: tuple[Decides, ...]


@dataclass(frozen=True, slots=True)
class Margins:
    """The awards, first places first, and each field that decides any, with the part of its misreads that do."""

    awards: tuple[Award, ...]
    fields: tuple[Decides, ...]

    def firsts(self) -> list[Decides]:
        """What decides any first place, with the largest part of its misreads that changes one."""
        parts: dict[Field, Fraction] = {}
        for award in self.awards:
            if award.place == 1:
                for field, part in award.fields:
                    parts[field] = max(part, parts.get(field, Fraction(0)))
        return [Decides(field, part) for field, part in parts.items()]


def chance(fields: Iterable[Decides], rate: float, sure: Container[Field] = frozenset()) -> float:
    """The chance that a misread changed what these fields decide, where each was misread at this rate; `sure` are those
    that were looked at once more."""
    stays = 1.0
    for field, part in fields:
        if field not in sure:
            stays *= 1 - rate * float(part)
    return 1 - stays


def margins_of(
    record: Record,
    result: Result,
    places: Mapping[tuple[str, str, str], int],
    answers: Mapping[Field, Sequence[int]] | None = None,
) -> Margins:
    """`places` says how many places get an award, by division, list and kind; `answers` what each misread answer would
    add to a mark that comes from a row of answers, in hundredths."""
    record = replace(record, reasons=tuple(counting_reasons(record)))
    officials = Counter((score.class_number, score.number) for score in record.reasons)
    scale = HUNDREDTHS * lcm(*set(officials.values()))
    awards: list[Award] = []
    fields: dict[Field, Fraction] = {}
    misreads = _misreads(record, officials, scale, answers or {})
    for of, its, in_set in each_contest(record, result):
        for division in of.divisions:
            found = _Division(of, its, division, f"{division.code}{in_set}", places, scale)
            for field, changes in misreads.get(division.code, ()):
                found.look_at(field, changes)
            awards += found.awards()
            for field, part in found.fields():
                fields[field] = max(part, fields.get(field, part))
    decides = tuple(Decides(*of) for of in fields.items())
    return Margins(tuple(sorted(awards, key=lambda award: award.place)), decides)


def _misreads(
    record: Record, officials: Mapping[tuple[int, int], int], scale: int, answers: Mapping[Field, Sequence[int]]
) -> dict[str, list[tuple[Field, list[int]]]]:
    """By division, each field with what each of its misreads would add to its item, in units of 1/scale points."""
    division_of = {contestant.number: contestant.division for contestant in record.contestants if contestant.present}
    found: defaultdict[str, list[tuple[Field, list[int]]]] = defaultdict(list)
    tables = {judged.number: class_table(judged, record.rules) for judged in record.classes if judged.counts_cards}
    void = record.void
    for card in record.cards:
        division, table = division_of.get(card.number), tables.get(card.class_number)
        if (
            division
            and table
            and card.placing not in (NO_CARD, UNREADABLE)
            and (card.class_number, division) not in void
        ):
            others = neighbours_exchanged(card.placing)
            changes = [(table[other] - table[card.placing]) * scale for other in others]
            found[division].append((Field(f"class:{card.class_number}", card.number), changes))
    count = {judged.number for judged in record.classes if judged.counts_reasons}
    for score in record.reasons:
        division = division_of.get(score.number)
        if division and score.class_number in count and (score.class_number, division) not in void:
            unit = scale // HUNDREDTHS // officials[score.class_number, score.number]
            scores = sorted(other_scores(score.hundredths, MOST_REASONS * HUNDREDTHS))
            field = Field(f"reasons:{score.class_number}", score.number, official=score.official)
            found[division].append((field, [(other - score.hundredths) * unit for other in scores]))
    most = {part.code: part.most * HUNDREDTHS for part in record.parts}
    for mark in record.marks:
        division = mark.division if mark.number is None else division_of.get(mark.number)
        if division:
            of = f"part:{mark.part}"
            field = Field(of, 0, mark.division, mark.team) if mark.number is None else Field(of, mark.number)
            unit = scale // HUNDREDTHS
            added = answers.get(field)
            if added is None:
                marks = sorted(other_marks(mark.hundredths, most[mark.part]))
                added = [other - mark.hundredths for other in marks]
            found[division].append((field, [points * unit for points in added]))
    parts = {part.code: part for part in record.parts if part.values is not None}
    for choice in record.choices:
        division, part = division_of.get(choice.number), parts.get(choice.part)
        if division and part and choice.kept != UNREADABLE and len(choice.kept) == part.keep:
            worth = part.worth(choice.kept)
            others = other_choices(choice.kept, part.animals)
            field = Field(f"part:{choice.part}", choice.number)
            found[division].append((field, [(part.worth(other) - worth) * scale for other in others]))
    return found


class _List:
    """The rows of one list, from the best down, of which the first `places` hold an award; totals in units."""

    def __init__(self, standing: Standing, kind: Kind, places: int, scale: int) -> None:
        self.standing, self.kind = standing, kind
        self.names: list[int | str] = []
        rows: Sequence[IndividualRow] | Sequence[TeamRow]
        if kind == "individuals":
            rows = standing.individuals
            self.names += [row.number for row in rows]
        else:
            rows = standing.teams
            self.names += [row.team for row in rows]
        self.totals = [int(row.total * scale) for row in rows]
        self.ties = [row.tie for row in rows]
        self.places = min(places, len(rows))
        self.place_of = {name: place for place, name in enumerate(self.names)}
        self._falling = [-total for total in self.totals]
        self.changed: list[Counter[Field]] = [Counter() for _ in range(self.places)]

    def moved(self, here: int, added: int) -> range:
        """The places with an award that would have another holder, or be level, if whoever is `here` had more."""
        total = self.totals[here] + added
        if added > 0 and here and total >= self.totals[min(here, self.places) - 1]:
            return self._held(range(bisect_left(self._falling, -total), here + 1))
        if added < 0 and here < self.places and here + 1 < len(self.totals) and total <= self.totals[here + 1]:
            return self._held(range(here, bisect_right(self._falling, -total)))
        return range(0)

    def may_move(self, here: int, least: int, most: int) -> bool:
        """Whether anything between `least` and `most` more could change an award; quickly, as few can."""
        if here >= self.places:
            return self.totals[self.places - 1] - self.totals[here] <= most
        up = here > 0 and self.totals[here - 1] - self.totals[here] <= most
        return up or (here + 1 < len(self.totals) and self.totals[here] - self.totals[here + 1] <= -least)

    def level(self, here: int) -> range:
        """The places with an award that are held by whoever has the same total as who is `here`; none by one alone."""
        total = -self.totals[here]
        places = range(bisect_left(self._falling, total), bisect_right(self._falling, total))
        return self._held(places) if len(places) > 1 else range(0)

    def _held(self, places: range) -> range:
        return range(places.start, min(places.stop, self.places))


class _Division:
    """The lists of a division, and which of their awards each field decides."""

    def __init__(
        self,
        record: Record,
        result: Result,
        division: Division,
        listed: str,
        places: Mapping[tuple[str, str, str], int],
        scale: int,
    ) -> None:
        code, self._division, self._listed, self._scale = division.code, division, listed, scale
        standings = [standing for standing in result.standings if standing.division == code]
        self._items = {standing.code: items_of(record, code, standing.code) for standing in standings}
        self._lists: list[_List] = []
        for standing in standings:
            for kind in KINDS:
                if most := places.get((listed, standing.code, kind), 0):
                    self._lists.append(_List(standing, kind, most, scale))
        points: defaultdict[int, dict[str, int]] = defaultdict(dict)
        for scores in result.scores:
            if scores.division == code:
                for number, much in zip(scores.numbers, scores.points, strict=True):
                    points[number][scores.item] = int(much * scale)
        here = [who for who in record.contestants if who.present and who.division == code]
        self._totals = {
            of: {who.number: sum([much for i, much in points[who.number].items() if i in items]) for who in here}
            for of, items in self._items.items()
        }
        self._team_of = {who.number: who.team for who in here if who.team}
        self._members: defaultdict[str, list[int]] = defaultdict(list)
        for number, team in self._team_of.items():
            self._members[team].append(number)
        self._rank = {standing.code: _order_of(standing) for standing in standings}
        self._category_of = {item: judged.category for judged in record.classes for item in _items(judged.number)}
        self._category_of |= {f"part:{part.code}": part.category for part in record.parts}
        self._steps: dict[Kind, tuple[str, ...]] = {"individuals": record.individual_ties, "teams": record.team_ties}
        self._would_count: dict[tuple[str, int, int], tuple[int, ...]] = {}
        self._misreads: dict[Field, int] = {}
        self._deciding: Counter[Field] = Counter()

    def look_at(self, field: Field, changes: Sequence[int]) -> None:
        """Count which of a field's misreads, by what each would add, change which award."""
        self._misreads[field] = len(changes)
        places = self._placed(field, min(changes, default=0), max(changes, default=0))
        for more in changes:
            if more and places and self._change(field, more, places):
                self._deciding[field] += 1

    def _placed(self, field: Field, least: int, most: int) -> list[tuple[_List, int]]:
        """The lists with awards that a field may change by so much, and where in each its contestant or team stands."""
        team = field.team or self._team_of.get(field.number, "")
        found = []
        for of in self._lists:
            here = of.place_of.get(team if of.kind == "teams" else field.number)
            if here is None or not of.places:
                continue
            in_list = field.item in self._items[of.standing.code]
            others = self._others_may_count(of, team) if of.kind == "teams" and not field.team else 0
            if of.may_move(here, (min(least, 0) if in_list else 0) - others, (max(most, 0) if in_list else 0) + others):
                found.append((of, here))
        return found

    def _others_may_count(self, of: _List, team: str) -> int:
        """The most that a team's total could move by others counting, as the overall list chooses who does."""
        members = self._members[team]
        most = self._division.team_counting
        if not 0 < most < len(members):
            return 0
        totals = [self._totals[of.standing.code][who] for who in members]
        return max(totals) - min(totals)

    def _change(self, field: Field, more: int, places: list[tuple[_List, int]]) -> bool:
        changed = False
        for of, here in places:
            added = more if field.item in self._items[of.standing.code] else 0
            if of.kind == "teams" and not field.team:
                added = self._added_to_team(of, here, field, more)
            if added:
                moved = of.moved(here, added)
            else:
                moved = of.level(here) if self._decides_tie(of, here, field.item) else range(0)
            for place in moved:
                of.changed[place][field] += 1
                changed = True
        return changed

    def _added_to_team(self, of: _List, here: int, field: Field, more: int) -> int:
        """What more a team would have, with whoever counts then, if a member had `more` in an item."""
        row, code, number = of.standing.teams[here], of.standing.code, field.number
        own = more if field.item in self._items[code] else 0
        by = code if self._division.counting_members == "each" else OVERALL
        counting = self._counting(row.team, by, number, more if field.item in self._items[by] else 0)
        added = own if number in counting else 0
        if counting != row.counting:
            in_list = self._totals[code]
            added += sum([in_list[who] for who in counting]) - sum([in_list[who] for who in row.counting])
        return added

    def _counting(self, team: str, by: str, number: int, more: int) -> tuple[int, ...]:
        """Who would count in a team by a list if one of its members had more in it, ascending."""
        key = by, number, more
        if key not in self._would_count:
            totals, rank, members = self._totals[by], self._rank[by], self._members[team]
            best = [(-totals[who] - (more if who == number else 0), rank.get(who, who), who) for who in members]
            most = self._division.team_counting or len(members)
            self._would_count[key] = tuple(sorted([who for _total, _rank, who in sorted(best)[:most]]))
        return self._would_count[key]

    def _decides_tie(self, of: _List, here: int, item: str) -> bool:
        """Whether an item is looked at to separate who is `here` from others of the same total: by the step that does,
        or by one before it."""
        tie, steps = of.ties[here], self._steps[of.kind]
        if tie in steps:
            steps = steps[: steps.index(tie) + 1]
        return bool(tie) and any(self._touches(step, item) for step in steps)

    def _touches(self, step: str, item: str) -> bool:
        """Whether a tie step looks at an item."""
        kind, _colon, of = step.partition(":")
        return (
            step == item
            or kind in ("total", "left-out")
            or (kind == "reasons" and item.startswith("reasons:"))
            or (kind in ("placing", "best-class") and item.startswith("class:"))
            or (kind == "category" and self._category_of.get(item) == of)
        )

    def awards(self) -> Iterator[Award]:
        for of in self._lists:
            for place in range(of.places):
                last = place + 1 == len(of.totals)
                margin = None if last else Fraction(of.totals[place] - of.totals[place + 1], self._scale)
                fields = tuple(self._decides(of.changed[place]))
                code, name = of.standing.code, str(of.names[place])
                yield Award(self._listed, code, of.kind, place + 1, name, margin, fields)

    def fields(self) -> Iterator[Decides]:
        return self._decides(self._deciding)

    def _decides(self, counts: Counter[Field]) -> Iterator[Decides]:
        for field, count in sorted(counts.items()):
            yield Decides(field, Fraction(count, self._misreads[field]))


def _order_of(standing: Standing) -> dict[int, int]:
    """Where each contestant comes among those who may count; who is not ranked comes by number after equal totals."""
    return {row.number: place for place, row in enumerate((*standing.individuals, *standing.apart))}


def _items(number: int) -> tuple[str, str]:
    return f"class:{number}", f"reasons:{number}"
