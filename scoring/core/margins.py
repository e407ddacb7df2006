"""How far apart the awards are, and which single misreads would change one: the cards and scores that decide.

For every card and score that counts, each value that one misread could have hidden (`misreads`) is put in its place,
and the totals it moves are looked at: the contestant's in every list, and their team's, with whoever counts then. An
award is changed where another would hold it, or where two would be level, so that a tie step had to decide.

The misreads of a field are looked at together, from what takes most to what adds most: those that change one award are
then a run of them, and its two ends are searched for. A run is kept as the bits of a whole number.

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
from functools import cache
from math import inf, lcm, prod
from typing import Literal, NamedTuple

from scoring.core.fields import Changes, Field, Room, misreads
from scoring.core.items import items_of
from scoring.core.record import HUNDREDTHS, Division, Record
from scoring.core.result import OVERALL, Result, Standing
from scoring.core.sets import each_contest
from scoring.core.standardising import counting_reasons

Kind = Literal["individuals", "teams"]
KINDS: tuple[Kind, Kind] = ("individuals", "teams")


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


def parts_open(fields: Iterable[Decides], sure: Container[Field] = frozenset()) -> list[float]:
    """Of each field what part of its misreads decide; without those that are `sure`, as somebody looked once more."""
    return [part.numerator / part.denominator for field, part in fields if field not in sure]


def chance(parts: Iterable[float], rate: float) -> float:
    """The chance that a misread changed what fields of such parts decide, where each was misread at this rate."""
    return 1 - prod([1 - rate * part for part in parts])


def margins_of(
    record: Record,
    result: Result,
    places: Mapping[tuple[str, str, str], int],
    answers: Mapping[Field, Sequence[int]] | None = None,
) -> Margins:
    """`places` says how many places get an award, by division, list and kind; `answers` what each misread answer would
    add to a mark that comes from a row of answers, in hundredths."""
    record = replace(record, reasons=tuple(counting_reasons(record)))
    officials = Counter([(class_number, number) for class_number, number, _official, _points in record.reasons])
    scale = HUNDREDTHS * lcm(*set(officials.values()))
    divisions = [
        _Division(of, its, division, f"{division.code}{in_set}", places, scale)
        for of, its, in_set in each_contest(record, result)
        for division in of.divisions
    ]
    rooms: dict[int, Room] = {}
    for division in divisions:
        for number, room in division.rooms.items():
            rooms[number] = room.within(rooms.get(number, room))
    for code, field, changes in misreads(record, scale, answers or {}, rooms):
        for division in divisions:
            if division.code == code:
                division.look_at(field, changes)
    fields: dict[Field, Fraction] = {}
    for division in divisions:
        for field, part in division.fields():
            fields[field] = max(part, fields.get(field, part))
    awards = [award for division in divisions for award in division.awards()]
    decides = tuple(Decides(*of) for of in fields.items())
    return Margins(tuple(sorted(awards, key=lambda award: award.place)), decides)


class _Run(NamedTuple):
    """Some of a field's misreads, which change who counts in the same way: those from `first` to before `last`, each of
    which adds itself, if it `counts` in the list, and `more` besides."""

    first: int
    last: int
    more: int
    counts: bool


class _List:
    """The rows of one list, from the best down, of which the first `places` hold an award; totals in units."""

    def __init__(self, standing: Standing, kind: Kind, places: int, items: set[str], scale: int) -> None:
        self.code, self.kind, self.items = standing.code, kind, items
        rows = standing.individuals if kind == "individuals" else standing.teams
        self.names: list[int | str] = [row[1] for row in rows]
        self.totals = [_units(row.total, scale) for row in rows]
        self.ties = [row.tie for row in rows]
        self.places = min(places, len(rows))
        self._falling = [-total for total in self.totals]
        self.changed: list[dict[Field, int]] = [{} for _ in range(self.places)]

    def room(self, here: int) -> Room:
        """How far whoever is `here` may go without changing an award; none where a tie is one."""
        totals, last = self.totals, self.places - 1
        if here > last:
            return Room(inf, totals[last] - totals[here])
        down = totals[here] - totals[here + 1] if here + 1 < len(totals) else inf
        return Room(down, totals[here - 1] - totals[here] if here else inf)

    def moved(self, here: int, added: Sequence[int], run: _Run) -> Iterator[tuple[int, int]]:
        """Each place with an award that would have another holder, or be level, with the misreads that make it so."""
        totals, had, gains = self.totals, self.totals[here] + run.more, -run.more
        first = max(run.first, bisect_right(added, gains))
        for place in range(min(here, self.places - 1) if here else -1, -1, -1):
            at_least = bisect_left(added, totals[place if place < here else here - 1] - had)
            first = first if first > at_least else at_least
            if first >= run.last:
                break
            yield place, _bits(first, run.last)
        end = min(run.last, bisect_left(added, gains))
        for place in range(here, self.places if here + 1 < len(totals) else 0):
            at_most = bisect_right(added, totals[place if place > here else here + 1] - had)
            end = end if end < at_most else at_most
            if end <= run.first:
                break
            yield place, _bits(run.first, end)

    def level(self, here: int) -> range:
        """The places with an award that are held by whoever has the same total as who is `here`; none by one alone."""
        total = -self.totals[here]
        first, last = bisect_left(self._falling, total), bisect_right(self._falling, total)
        return range(first, min(last, self.places)) if last - first > 1 else range(0)


class _Seat(NamedTuple):
    """Where somebody, or their team, stands in a list with awards, and how far one may go there without changing any;
    whether a member `counts` for the team, and if not instead of whom one would (`border`), or who would instead."""

    of: _List
    here: int
    room: Room
    counts: bool = True
    border: int | None = None


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
        self.code, self._listed, self._scale = division.code, listed, scale
        standings = [standing for standing in result.standings if standing.division == division.code]
        self._items = {standing.code: items_of(record, division.code, standing.code) for standing in standings}
        self._standings = {standing.code: standing for standing in standings}
        self._each = division.counting_members == "each"
        self._category_of = {item: judged.category for judged in record.classes for item in _items(judged.number)}
        self._category_of |= {f"part:{part.code}": part.category for part in record.parts}
        self._steps: dict[Kind, tuple[str, ...]] = {"individuals": record.individual_ties, "teams": record.team_ties}
        self._misreads: dict[Field, int] = {}
        self._deciding: dict[Field, int] = {}
        self._orders: dict[str, dict[int, tuple[int, int, int]]] = {}
        self._lists: list[_List] = []
        here = [who for who in record.contestants if who.present and who.division == division.code]
        self._numbers = sorted(who.number for who in here)
        self._totals: dict[str, dict[int, int]] = {}
        for standing in standings:
            rows = (*standing.individuals, *standing.apart)
            self._totals[standing.code] = dict.fromkeys(self._numbers, 0)  # a list of team parts has no rows of theirs
            self._totals[standing.code] |= {row.number: _units(row.total, scale) for row in rows}
            for kind in KINDS:
                if most := places.get((listed, standing.code, kind), 0):
                    self._lists.append(_List(standing, kind, most, self._items[standing.code], scale))
        self._lists = [of for of in self._lists if of.places]
        members: defaultdict[str, list[int]] = defaultdict(list)
        for who in here:
            if who.team:
                members[who.team].append(who.number)
        self._seats: defaultdict[int | str, list[_Seat]] = defaultdict(list)
        for of in self._lists:
            if of.kind == "individuals":
                for place, name in enumerate(of.names):
                    self._seats[name].append(_Seat(of, place, of.room(place)))
            else:
                self._seat_teams(of, members)
        self.rooms = {who.number: _least(self._seats[who.number]) for who in here}
        """How far everybody who is here may go in anything without changing an award of these lists."""

    def _seat_teams(self, of: _List, members: Mapping[str, Sequence[int]]) -> None:
        """Seat the teams of a list, and with them whoever is in one."""
        by = self._counts_by(of)
        totals, order = self._totals[by], self._order(by)
        in_list = self._totals[of.code]
        for here, row in enumerate(self._standings[of.code].teams):
            room = of.room(here)
            self._seats[row.team].append(_Seat(of, here, room))
            out = [who for who in members[row.team] if who not in row.counting]
            next_in = min(out, key=order.__getitem__, default=None)
            next_out = max(row.counting, key=order.__getitem__, default=None)
            for who in row.counting:
                # With less the team has less, until another counts instead: from then on it has the same.
                down = room.down
                if next_in is not None and (until := max(totals[who] - totals[next_in], 0)) < down:
                    down = inf if room.holds(Changes.of([in_list[next_in] - in_list[who]])) else until
                self._seats[who].append(_Seat(of, here, Room(down, room.up), True, next_in))
            for who in out:
                up = inf
                if next_out is not None:
                    # With more nothing changes until they count instead of another; then the team has what they have.
                    up, exchanged = max(totals[next_out] - totals[who], 0), in_list[who] - in_list[next_out]
                    up = up if -exchanged >= room.down else max(up, room.up - exchanged)
                tied = not room.down or not room.up
                self._seats[who].append(_Seat(of, here, Room(inf, 0 if tied else up), False, next_out))

    def _counts_by(self, of: _List) -> str:
        """The list by which it is chosen who counts for a team in a list."""
        return of.code if self._each else OVERALL

    def _order(self, code: str) -> Mapping[int, tuple[int, int, int]]:
        """By contestant, what puts a list into the order in which members count, the best first; who is not ranked
        comes by number after equal totals."""
        if code not in self._orders:
            totals, ranked = self._totals[code], [row.number for row in self._standings[code].individuals]
            everybody = dict.fromkeys((*ranked, *self._numbers))
            self._orders[code] = {number: (-totals[number], place, number) for place, number in enumerate(everybody)}
        return self._orders[code]

    def look_at(self, field: Field, changes: Changes) -> None:
        """Count which of a field's misreads change which award."""
        added = changes.added
        self._misreads[field] = len(added)
        moving = ~_bits(bisect_left(added, 0), bisect_right(added, 0))
        deciding = 0
        for seat in self._seats.get(field.team or field.number, ()):
            if not seat.room.holds(changes):
                for place, found in self._changed(seat, field, added):
                    if bits := found & moving:
                        changed = seat.of.changed[place]
                        changed[field] = changed.get(field, 0) + bits.bit_count()
                        deciding |= bits
        if deciding:
            self._deciding[field] = deciding.bit_count()

    def _changed(self, seat: _Seat, field: Field, added: Sequence[int]) -> Iterator[tuple[int, int]]:
        """Each place of a list with an award that changes, with some of the misreads by which it does."""
        of, here = seat.of, seat.here
        for run in self._runs(seat, field, added):
            if run.counts:
                yield from of.moved(here, added, run)
                # What adds nothing decides at most a tie; a misread that is 0 itself changes nothing at all.
                same = _bits(*_equal_range(added, -run.more, run)) if run.more else 0
            elif run.more:
                same = _bits(run.first, run.last)
                for place, _one in of.moved(here, (run.more,), _Run(0, 1, 0, True)):
                    yield place, same
                continue
            else:
                same = _bits(run.first, run.last)
            if same and (level := of.level(here)) and self._decides_tie(of, here, field.item):
                for place in level:
                    yield place, same

    def _runs(self, seat: _Seat, field: Field, added: Sequence[int]) -> list[_Run]:
        """A field's misreads by who would count: all alike, or those with less apart from those with more, where a
        member begins or ceases to count."""
        of, number, other, end = seat.of, field.number, seat.border, len(added)
        counts, by = field.item in of.items, self._counts_by(of)
        if other is None or field.item not in self._items[by]:
            return [_Run(0, end, 0, counts and seat.counts)]
        (total, *own), (others, *next_) = self._order(by)[number], self._order(by)[other]
        split = (bisect_right if own > next_ else bisect_left)(added, total - others)
        in_list = self._totals[of.code]
        exchanged = in_list[other] - in_list[number]
        runs = []
        if split:
            runs.append(_Run(0, split, exchanged if seat.counts else 0, False))
        if split < end:
            runs.append(_Run(split, end, 0 if seat.counts else -exchanged, counts))
        return runs

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
                name = str(of.names[place])
                yield Award(self._listed, of.code, of.kind, place + 1, name, margin, fields)

    def fields(self) -> Iterator[Decides]:
        return self._decides(self._deciding)

    def _decides(self, counts: Mapping[Field, int]) -> Iterator[Decides]:
        for field, count in sorted(counts.items()):
            yield Decides(field, _part(count, self._misreads[field]))


@cache
def _part(count: int, of: int) -> Fraction:
    return Fraction(count, of)


def _items(number: int) -> tuple[str, str]:
    return f"class:{number}", f"reasons:{number}"


def _bits(first: int, last: int) -> int:
    """A whole number with the bits from `first` to before `last`."""
    return (1 << last) - (1 << first) if first < last else 0


def _equal_range(added: Sequence[int], value: int, run: _Run) -> tuple[int, int]:
    return max(run.first, bisect_left(added, value)), min(run.last, bisect_right(added, value))


def _units(total: Fraction, scale: int) -> int:
    return total.numerator * (scale // total.denominator)


def _least(seats: Iterable[_Seat]) -> Room:
    least = Room(inf, inf)
    for seat in seats:
        least = seat.room.within(least)
    return least
