"""What loading an entry list would do, row by row. Plain Python: rows, a layout and who is entered give a plan.

A row is about somebody who is entered already where the number and the name fit; else where name, team and division
fit, whatever the number; else where the number does. Everybody else is new. A cell left empty changes nothing, so a
list loaded twice changes nothing the second time. Where a list says where people came from, one name from two places is
two people, and one team's name from two places two teams (`contest.entries.origins`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import Enum

from contest.book import entry_columns as column
from contest.book.text import LARGEST_NUMBER, why_not_text
from contest.entries.matching import division_of, split_name
from contest.entries.numbers import free_from
from contest.entries.origins import may_be_same, remark_namesakes, tell_teams_apart
from contest.uploads.spreadsheets import Line
from scoring.core.people import fold, whole_name
from scoring.core.sets import members_of, membership_written, why_not_membership
from scoring.core.texts import gettext as _


class Verdict(Enum):
    ADD = "add"
    CHANGE = "change"
    SAME = "same"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True)
class Values:
    """What an entry says. `division` is a code; without a `team` it is an individual."""

    number: int
    division: str
    team: str = ""
    first_name: str = ""
    last_name: str = ""
    group: str = ""
    show_name: bool = True
    present: bool = True
    came_from: str = ""
    result_sets: str = ""  # of results, as `scoring.core.sets.membership` reads it, in their order


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who is entered. `read` says that something of theirs was read, so they must stay the same person;
    `barred` says of a division's code why they cannot move there."""

    key: int
    values: Values
    read: bool = False
    barred: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Layout:
    """How the lines are understood, as guessed and then corrected.

    `headings` is the index of the line with the headings, None where there are none; `columns` the field of each
    column; `divisions` what a cell of the division column means; `division` the one of rows that name none. Rows
    without a number are given the free ones from `numbers_from` on, or are refused where that is None. `teams` says
    which team is meant by a name, by division and name, where that is nearly another's.
    """

    headings: int | None
    columns: tuple[str, ...]
    divisions: Mapping[str, str] = field(default_factory=dict)
    division: str = ""
    numbers_from: int | None = None
    teams: Mapping[tuple[str, str], str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Change:
    field: str
    old: str | int | bool
    new: str | int | bool


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """What one line comes to. `key` is the person's whose entry it is; `notes` are refusals, or remarks, in words: no
    part of the digest by which a plan is known again. `lacks_number` says that a number is all that it lacks."""

    line: int
    kind: Verdict
    cells: tuple[str, ...]
    values: Values | None = None
    key: int | None = None
    changes: tuple[Change, ...] = ()
    notes: tuple[str, ...] = field(default=(), repr=False)
    lacks_number: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    rows: tuple[PlannedRow, ...]

    def count(self, kind: Verdict) -> int:
        return sum(row.kind == kind for row in self.rows)

    @property
    def changes_anything(self) -> bool:
        return any(row.kind in (Verdict.ADD, Verdict.CHANGE) for row in self.rows)


def make_plan(
    lines: Sequence[Line],
    layout: Layout,
    divisions: Sequence[tuple[str, str]],
    people: Sequence[Person],
    renumber: bool,
    sets: Sequence[str] = (),
) -> Plan:
    """What the lines under the headings would add, change and leave, and what is refused and why.

    `divisions` are (code, name), `sets` the codes of the sets of results; `renumber` says whether anybody may still be
    given another number.
    """
    start = 0 if layout.headings is None else layout.headings + 1
    drafts = [Draft(line, layout, divisions, sets) for line in lines[start:]]
    tell_teams_apart(drafts, people)
    _refuse_repeats(drafts)
    _match(drafts, people, renumber)
    spelling = _spelling(people)
    for draft in drafts:
        draft.finish(renumber, spelling)
    remark_namesakes(drafts, people)
    while _refuse_collisions(drafts, people):
        pass  # a refused row keeps its number, which may be what another one was to have
    _give_numbers(drafts, layout.numbers_from, {person.values.number for person in people})
    return Plan(tuple(draft.planned() for draft in drafts))


class Draft:
    """One line on its way to becoming a planned row."""

    def __init__(
        self, line: Line, layout: Layout, divisions: Sequence[tuple[str, str]], sets: Sequence[str] = ()
    ) -> None:
        self.line = line
        self.meant = layout.teams
        self.person: Person | None = None
        self.values: Values | None = None
        self.refused: list[str] = []
        self.remarks: list[str] = []
        self.lacks_number = False
        self.given: dict[str, str] = {
            field: cell for field, cell in zip(layout.columns, line.cells, strict=False) if field and cell
        }
        for name, cell in self.given.items():
            if reason := why_not_text(cell, column.called(name).lower()):
                self.refused.append(reason)
        if column.NAME in self.given:
            first, last = split_name(self.given.pop(column.NAME))
            self.given.setdefault(column.FIRST, first)
            self.given.setdefault(column.LAST, last)
        self.number = self._number()
        self.division = self._division(layout, divisions)
        self.alone = self._alone()
        self.show_name = self._yes_no(column.SHOW_NAME)
        self.present = self._yes_no(column.PRESENT)
        self.sets = self._sets(sets)
        if not self.number and not self.name and not self.refused:
            self.refused.append(_("neither a number nor a name stands here"))

    def get(self, name: str) -> str:
        return self.given.get(name, "")

    @property
    def name(self) -> tuple[str, str] | None:
        """First and last name as they are compared; None where the list gives none."""
        first, last = fold(self.get(column.FIRST)), fold(self.get(column.LAST))
        return (first, last) if first or last else None

    @property
    def who(self) -> tuple[str, str, tuple[str, str]] | None:
        return (self.division, "" if self.alone else fold(self.get(column.TEAM)), self.name) if self.name else None

    @property
    def came_from(self) -> str:
        return self.get(column.CAME_FROM)

    def may_name(self, values: Values) -> bool:
        """Whether what the list gives of a name is this one's."""
        first, last = self.name or ("", "")
        return first in ("", fold(values.first_name)) and last in ("", fold(values.last_name))

    def _number(self) -> int | None:
        text = self.get(column.NUMBER).strip("# .").removesuffix(".0")
        if not text:
            return None
        if not text.isascii() or not text.isdecimal() or not 0 < int(text[:11]) <= LARGEST_NUMBER:
            told = _("{text!r} is not a number that a contestant can have")
            self.refused.append(told.format(text=self.get(column.NUMBER)))
            return None
        return int(text)

    def _division(self, layout: Layout, divisions: Sequence[tuple[str, str]]) -> str:
        text = self.get(column.DIVISION)
        if not text:
            return layout.division
        code = layout.divisions.get(text, "") or division_of(text, divisions)
        if not code:
            names = ", ".join(name for _code, name in divisions)
            told = _("no division is called {text!r}; they are {divisions}")
            self.refused.append(told.format(text=text, divisions=names))
        return code

    def _alone(self) -> bool:
        text = self.get(column.ROLE).casefold()
        if text in ("", "member", "team", "team member", "m", "t", "no", "n"):
            if text and text[0] in "mt" and column.TEAM not in self.given:
                self.refused.append(_("a member of a team needs a team; name it, or make the role individual"))
            return False
        if text in ("individual", "individuals", "individual only", "ind", "indiv", "i", "alone", "yes", "y", "x"):
            if team := self.given.pop(column.TEAM, ""):
                self.remarks.append(_("competes as an individual, so {team!r} is not kept").format(team=team))
            return True
        self.refused.append(_("the role is {text!r}; it can be member or individual").format(text=text))
        return False

    def _yes_no(self, name: str) -> bool | None:
        text = self.get(name).casefold()
        if text in ("yes", "y", "true", "1", "x"):
            return True
        if text in ("no", "n", "false", "0"):
            return False
        if text:
            told = _("{column} is {text!r}; it can be yes, no or empty")
            self.refused.append(told.format(column=column.called(name).lower(), text=text))
        return None

    def _sets(self, codes: Sequence[str]) -> str:
        text = self.get(column.SETS)
        if reason := why_not_membership(text, codes):
            self.refused.append(reason)
        return membership_written(members_of(text, codes))

    def finish(self, renumber: bool, spelling: dict[tuple[str, str], str]) -> None:
        """Work out what the entry will say, and whether it may."""
        if self.refused:
            return
        old = self.person.values if self.person else None
        division = self.division if column.DIVISION in self.given or not old else old.division
        if not division:
            self.refused.append(_("no division is named; name it here, or choose one for the rows without"))
            return
        team = "" if self.alone else self.get(column.TEAM) or (old.team if old else "")
        if team:
            team = self.meant.get((division, team), team)
            folded = spelling.setdefault((division, fold(team)), team)  # one team, however it is typed
            team = spelling.get((division, team), folded)
        values = Values(
            number=self.number or (old.number if old else 0),
            division=division,
            team=team,
            first_name=self.get(column.FIRST) or (old.first_name if old else ""),
            last_name=self.get(column.LAST) or (old.last_name if old else ""),
            group=self.get(column.GROUP) or (old.group if old else ""),
            show_name=_first(self.show_name, old.show_name if old else None, True),
            present=_first(self.present, old.present if old else None, True),
            came_from=self.came_from or (old.came_from if old else ""),
            result_sets=self.sets or (old.result_sets if old else ""),
        )
        if self.person and old:
            if values.division != old.division and (why := self.person.barred.get(values.division)):
                self.refused.append(why)
            if not same_person(values, old):
                self.remarks.append(_("another person takes this number"))
            if self.person.read and not same_person(values, old):
                told = _(
                    "{number} is {name}, and something of theirs was read; "
                    "scratch them, and enter the other person under another number"
                )
                name = whole_name(old.first_name, old.last_name)
                self.refused.append(told.format(number=old.number, name=name))
            if values.number != old.number and not renumber:
                told = _("they are entered as {number}, and cards have been read: numbers stay as they are")
                self.refused.append(told.format(number=old.number))
        self.values = values

    def planned(self) -> PlannedRow:
        cells = tuple(self.line.cells)
        if self.refused or self.values is None:
            return PlannedRow(
                self.line.number, Verdict.REFUSE, cells, notes=tuple(self.refused), lacks_number=self.lacks_number
            )
        notes = tuple(self.remarks)
        if self.person is None:
            return PlannedRow(self.line.number, Verdict.ADD, cells, self.values, notes=notes)
        changes = differences(self.person.values, self.values)
        kind = Verdict.CHANGE if changes else Verdict.SAME
        return PlannedRow(self.line.number, kind, cells, self.values, self.person.key, changes, notes)


def differences(old: Values, new: Values) -> tuple[Change, ...]:
    """What changes, field by field."""
    pairs = ((each.name, getattr(old, each.name), getattr(new, each.name)) for each in fields(Values))
    return tuple(Change(name, before, after) for name, before, after in pairs if before != after)


def _first(*choices: bool | None) -> bool:
    return next(choice for choice in choices if choice is not None)


def same_person(new: Values, old: Values) -> bool:
    """Whether a change of name can be a correction: one of the two names stays, or there was none."""
    if not old.first_name and not old.last_name:
        return True
    return fold(new.first_name) == fold(old.first_name) or fold(new.last_name) == fold(old.last_name)


def _refuse_repeats(drafts: Iterable[Draft]) -> None:
    numbers: dict[int, int] = {}
    names: dict[object, int] = {}
    for draft in drafts:
        if draft.refused:
            continue
        if draft.number:
            first = numbers.setdefault(draft.number, draft.line.number)
            if first != draft.line.number:
                told = _("number {number} stands in line {line} too")
                draft.refused.append(told.format(number=draft.number, line=first))
        if draft.who and not draft.number:
            first = names.setdefault((draft.who, fold(draft.came_from)), draft.line.number)
            if first != draft.line.number:
                told = _("the same person stands in line {line}; give both a number if they are two")
                draft.refused.append(told.format(line=first))


def _match(drafts: Sequence[Draft], people: Sequence[Person], renumber: bool) -> None:
    """Find the person of each line: by number and name, then by who they are, then by number alone."""
    by_number = {person.values.number: person for person in people}
    by_who: dict[object, list[Person]] = defaultdict(list)
    for person in people:
        old = person.values
        by_who[old.division, fold(old.team), (fold(old.first_name), fold(old.last_name))].append(person)
    taken: set[int] = set()

    def take(draft: Draft, person: Person | None) -> None:
        if person and person.key not in taken:
            draft.person = person
            taken.add(person.key)

    open_drafts = [draft for draft in drafts if not draft.refused]
    for draft in open_drafts:
        holder = by_number.get(draft.number or 0)
        if holder and draft.may_name(holder.values):
            take(draft, holder)
    for draft in open_drafts:
        matches = [
            person
            for person in by_who.get(draft.who, [])
            if person.key not in taken and may_be_same(draft.came_from, person.values.came_from)
        ]
        if (
            draft.person is None
            and len(matches) == 1
            and (renumber or not draft.number or draft.number not in by_number)
        ):
            take(draft, matches[0])
    for draft in open_drafts:
        if draft.person is None:
            take(draft, by_number.get(draft.number or 0))


def _refuse_collisions(drafts: Iterable[Draft], people: Iterable[Person]) -> bool:
    """Refuse the rows whose number would be somebody else's in the end; whether there were any."""
    holders = {person.key: person.values for person in people}
    standing = [draft for draft in drafts if draft.values and not draft.refused]
    for draft in standing:
        if draft.person and draft.values:
            holders[draft.person.key] = draft.values
    by_number: dict[int, list[int]] = defaultdict(list)
    for key, values in holders.items():
        by_number[values.number].append(key)
    refused = False
    for draft in standing:
        own = draft.person.key if draft.person else None
        if draft.number and any(key != own for key in by_number[draft.number]):
            draft.refused.append(_("number {number} is somebody else's").format(number=draft.number))
            refused = True
    return refused


def _spelling(people: Iterable[Person]) -> dict[tuple[str, str], str]:
    """How teams are written, by division and what may be typed for them."""
    known: dict[tuple[str, str], str] = {}
    for person in people:
        if team := person.values.team:
            known[person.values.division, team] = team
            known.setdefault((person.values.division, fold(team)), team)
    return known


def _give_numbers(drafts: Sequence[Draft], start: int | None, held: set[int]) -> None:
    """Numbers for the lines that are new and have none."""
    waiting = [draft for draft in drafts if draft.values and not draft.values.number and not draft.refused]
    if start is None:
        for draft in waiting:
            draft.lacks_number = True
            draft.refused.append(_("it has no number; write one, or let those without be given the next free ones"))
        return
    wanted = held | {draft.number for draft in drafts if draft.number}
    for draft, number in zip(waiting, free_from(start, wanted, len(waiting)), strict=True):
        assert draft.values is not None
        draft.values = replace(draft.values, number=number)
