"""The rows of entries, cards, reasons and marks, checked against contest.toml and against each other."""

from __future__ import annotations

from collections.abc import Hashable
from typing import TypeVar

from contest.book.day import HOW_READ, PERSONS_DAY, SETS, UNRANKED, how_read, persons_day
from contest.book.files import CARDS, CHOICES, ENTRIES, MARKS, PANEL, REASONS
from contest.book.problems import Problems
from contest.book.tables import Columns, OnProgress, Row, Rows
from contest.book.text import LARGEST_NUMBER, hundredths, whole_number
from scoring.core.placing import ANIMALS, is_placing, why_not_a_placing, why_not_cuts
from scoring.core.points import figure, written_hundredths
from scoring.core.record import (
    HUNDREDTHS,
    MOST_REASONS,
    NO_CARD,
    NONE,
    UNREADABLE,
    Card,
    CardRead,
    Choice,
    ChoiceRead,
    Contestant,
    Day,
    JudgingClass,
    Mark,
    MarkRead,
    NoMark,
    NoReasons,
    PanelKey,
    Part,
    PersonsDay,
    ReasonsRead,
    ReasonsScore,
    Record,
    SetMember,
)
from scoring.core.sets import members_of, why_not_membership
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

COLUMNS = {
    ENTRIES: Columns(
        ("number", "division", "role"),
        ("team", "first_name", "last_name", "group", "show_name", "present", *PERSONS_DAY, UNRANKED, SETS),
    ),
    CARDS: Columns(("class", "number", "placing"), HOW_READ),
    REASONS: Columns(("class", "number", "official", "score"), HOW_READ),
    MARKS: Columns(("part", "points"), ("number", "team", "division", *HOW_READ)),
    CHOICES: Columns(("part", "number", "kept"), HOW_READ),
    PANEL: Columns(("class", "official", "placing", "cuts")),
}

Key = TypeVar("Key", bound=Hashable)


class BookRows:
    """Reads the CSV files of one book. `contestants` comes first: the other files refer to it, and `day` last."""

    def __init__(self, outline: Record, problems: Problems, on_progress: OnProgress) -> None:
        self._problems = problems
        self._on_progress = on_progress
        self._divisions = {division.code for division in outline.divisions}
        self._classes = {judged.number: judged for judged in outline.classes}
        self._parts = {part.code: part for part in outline.parts}
        self._sets = [of.code for of in outline.sets]
        self._members: list[SetMember] = []
        self._contestants: dict[int, Contestant] = {}
        self._teams: set[tuple[str, str]] = set()
        self._entries_are_whole = True
        self._people: list[PersonsDay] = []
        self._card_reads: list[CardRead] = []
        self._reasons_reads: list[ReasonsRead] = []
        self._mark_reads: list[MarkRead] = []
        self._choice_reads: list[ChoiceRead] = []
        self._no_reasons: list[NoReasons] = []
        self._no_marks: list[NoMark] = []

    @property
    def no_reasons(self) -> tuple[NoReasons, ...]:
        return tuple(self._no_reasons)

    @property
    def no_marks(self) -> tuple[NoMark, ...]:
        return tuple(self._no_marks)

    @property
    def members(self) -> tuple[SetMember, ...]:
        """Who is in which set of results."""
        return tuple(self._members)

    @property
    def day(self) -> Day:
        """What the rows read so far say of the day."""
        return Day(
            tuple(self._people),
            tuple(self._card_reads),
            tuple(self._reasons_reads),
            tuple(self._mark_reads),
            tuple(self._choice_reads),
        )

    def contestants(self, text: str | None) -> tuple[Contestant, ...]:
        first_lines: dict[int, int] = {}
        rows = self._rows(ENTRIES, text)
        for row in rows:
            number = self._number(row)
            division = self._division(row)
            role = row["role"]
            if role not in ("member", "individual"):
                row.problem(_("role is {value!r}; it must be member or individual").format(value=role))
            elif role == "member" and not row["team"]:
                row.problem(_("a member needs a team; name it, or make the role individual"))
            elif role == "individual" and row["team"]:
                row.problem(_("an individual has no team, and this row names {team!r}").format(team=row["team"]))
            show_name, present = self._yes_no(row, "show_name"), self._yes_no(row, "present")
            if number is None or division not in self._divisions:
                # What the other files say of this contestant or team cannot be judged.
                rows.whole = False
                continue
            twice = gettext_noop("contestant {number} stands twice; the first is in line {line}")
            if not _first(row, first_lines, number, twice, number=number):
                continue
            day = persons_day(row, number, present)
            if day:
                self._people.append(day)
            self._members += self._sets_of(row, number)
            self._contestants[number] = Contestant(
                number=number,
                division=division,
                team=row["team"],
                first_name=row["first_name"],
                last_name=row["last_name"],
                role="member" if role == "member" else "individual",
                group=row["group"],
                show_name=show_name,
                present=present and not (day and day.ineligible),
                ranked=self._yes_no(row, UNRANKED),
            )
        self._entries_are_whole = rows.whole
        contestants = tuple(self._contestants.values())
        self._teams = {(contestant.division, contestant.team) for contestant in contestants if contestant.team}
        return contestants

    def cards(self, text: str | None) -> tuple[Card, ...]:
        cards: list[Card] = []
        first_lines: dict[tuple[int, int], int] = {}
        for row in self._rows(CARDS, text):
            judged, contestant = self._class(row), self._contestant(row)
            animals = judged.animals if judged else ANIMALS
            placing = self._card(row, "placing", animals)
            second = None if row["second"] == NONE else self._card(row, "second", animals) or None
            if row["decided"]:
                second = placing or None
            if judged is None or contestant is None:
                continue
            if not judged.places:
                told = _("class {number} is a reasons-only class and takes no cards")
                row.problem(told.format(number=judged.number))
            elif contestant.division not in judged.divisions:
                row.problem(_not_judged(contestant, judged))
            twice = gettext_noop(
                "the card of class {judged} and contestant {number} stands twice; the first is in line {line}"
            )
            key = judged.number, contestant.number
            if _first(row, first_lines, key, twice, judged=judged.number, number=contestant.number):
                cards.append(Card(judged.number, contestant.number, placing, second))
                if how := how_read(row, row["second"] if row["second"] == NONE or row["decided"] else ""):
                    self._card_reads.append(CardRead(judged.number, contestant.number, how))
        return tuple(cards)

    def reasons(self, text: str | None) -> tuple[ReasonsScore, ...]:
        scores: list[ReasonsScore] = []
        first_lines: dict[tuple[int, int, str], int] = {}
        for row in self._rows(REASONS, text):
            judged, contestant = self._class(row), self._contestant(row)
            official = row["official"]
            if not official:
                row.problem(_("the official is missing; give a name or a letter"))
            points = None if row["score"] == NONE else self._points(row, "score", MOST_REASONS)
            how = how_read(row, self._second_points(row, MOST_REASONS))
            if judged is None or contestant is None:
                continue
            if contestant.division not in judged.reasons:
                told = _("division {division} of contestant {number} gives no reasons on class {judged}")
                row.problem(told.format(division=contestant.division, number=contestant.number, judged=judged.number))
            twice = gettext_noop(
                "official {official}'s score of contestant {number} on class {judged} stands twice; "
                "the first is in line {line}"
            )
            key = judged.number, contestant.number, official
            if _first(row, first_lines, key, twice, official=official, number=contestant.number, judged=judged.number):
                if points is None:
                    self._no_reasons.append(NoReasons(*key))
                else:
                    scores.append(ReasonsScore(*key, points))
                if how:
                    self._reasons_reads.append(ReasonsRead(*key, how))
        return tuple(scores)

    def marks(self, text: str | None) -> tuple[Mark, ...]:
        marks: list[Mark] = []
        first_lines: dict[NoMark, int] = {}
        for row in self._rows(MARKS, text):
            part = self._parts.get(row["part"])
            if part is None:
                row.problem(_("part {code!r} is not defined in contest.toml").format(code=row["part"]))
            most = part.most if part else LARGEST_NUMBER
            points = None if row["points"] == NONE else self._points(row, "points", most)
            how = how_read(row, self._second_points(row, most))
            none = self._no_mark(row, part) if part else None
            if none is not None:
                twice = (
                    gettext_noop("the mark of {team} for {part} stands twice; the first is in line {line}")
                    if none.number is None
                    else gettext_noop(
                        "the mark of contestant {number} for {part} stands twice; the first is in line {line}"
                    )
                )
                if _first(row, first_lines, none, twice, team=none.team, number=none.number, part=none.part):
                    if points is None:
                        self._no_marks.append(none)
                    else:
                        marks.append(Mark(none.part, points, *none[1:]))
                    if how:
                        self._mark_reads.append(MarkRead(*none, how))
        return tuple(marks)

    def choices(self, text: str | None) -> tuple[Choice, ...]:
        choices: list[Choice] = []
        first_lines: dict[tuple[str, int], int] = {}
        for row in self._rows(CHOICES, text):
            part, contestant = self._parts.get(row["part"]), self._contestant(row)
            if part is None or not part.animals:
                told = _("part {code!r} is no keep/cull part of contest.toml")
                row.problem(told.format(code=row["part"]))
                continue
            kept = self._kept(row, "kept", part)
            second = None if row["second"] == NONE else self._kept(row, "second", part) or None
            if row["decided"]:
                second = kept or None
            if contestant is None:
                continue
            if contestant.division not in part.divisions:
                row.problem(_part_not_done(contestant, part))
            twice = gettext_noop("what contestant {number} kept in {part} stands twice; the first is in line {line}")
            key = part.code, contestant.number
            if _first(row, first_lines, key, twice, number=contestant.number, part=part.code):
                choices.append(Choice(*key, kept, second))
                if how := how_read(row, row["second"] if row["second"] == NONE or row["decided"] else ""):
                    self._choice_reads.append(ChoiceRead(*key, how))
        return tuple(choices)

    def panel(self, text: str | None) -> tuple[PanelKey, ...]:
        keys: list[PanelKey] = []
        first_lines: dict[tuple[int, str], int] = {}
        for row in self._rows(PANEL, text):
            judged, official = self._class(row), row["official"]
            if not official:
                row.problem(_("the official is missing; give a name or a letter"))
            if judged is None:
                continue
            if reason := why_not_a_placing(row["placing"], judged.animals):
                row.problem(_("placing: {reason}").format(reason=reason))
            cuts = [whole_number(cut) for cut in row["cuts"].split()]
            if reason := why_not_cuts(cuts, len(judged.animals)):
                row.problem(_("cuts: {reason}").format(reason=reason))
            twice = gettext_noop("official {official} of class {judged} stands twice; the first is in line {line}")
            key = judged.number, official
            if _first(row, first_lines, key, twice, official=official, judged=judged.number):
                keys.append(PanelKey(*key, row["placing"], tuple(cut or 0 for cut in cuts)))
        return tuple(keys)

    def _sets_of(self, row: Row, number: int) -> list[SetMember]:
        if reason := why_not_membership(row[SETS], self._sets):
            row.problem(f"{SETS}: {reason}")
        return members_of(row[SETS], self._sets, number)

    def _kept(self, row: Row, column: str, part: Part) -> str:
        text = row[column]
        if text not in (NO_CARD, UNREADABLE) and (len(set(text)) < len(text) or not set(text) <= set(part.animals)):
            told = _("{column} is {value!r}; write each of {animals} that was kept once, or {unreadable}, or nothing")
            animals = ", ".join(part.animals)
            row.problem(told.format(column=column, value=text, animals=animals, unreadable=UNREADABLE))
        return text

    def _no_mark(self, row: Row, part: Part) -> NoMark | None:
        """Whose mark it is, without what it says."""
        if part.animals:
            told = _("{code} is keep/cull; what was kept stands in {file}")
            row.problem(told.format(code=part.code, file=CHOICES))
            return None
        if part.scope == "team":
            if row["number"]:
                told = _("{code} is a team part; leave the number empty and name the team and its division")
                row.problem(told.format(code=part.code))
                return None
            division, team = row["division"], row["team"]
            if (division, team) not in self._teams:
                if self._entries_are_whole:
                    told = _("there is no team {team!r} in division {division!r} in {file}")
                    row.problem(told.format(team=team, division=division, file=ENTRIES))
                return None
            if division not in part.divisions:
                told = _("division {division} does not do part {code}")
                row.problem(told.format(division=division, code=part.code))
            return NoMark(part.code, division=division, team=team)
        if row["team"] or row["division"]:
            told = _("{code} is an individual part; leave team and division empty and give the number")
            row.problem(told.format(code=part.code))
            return None
        contestant = self._contestant(row)
        if contestant is None:
            return None
        if contestant.division not in part.divisions:
            row.problem(_part_not_done(contestant, part))
        return NoMark(part.code, number=contestant.number)

    def _rows(self, file: str, text: str | None) -> Rows:
        return Rows(file, text, COLUMNS[file], self._problems, self._on_progress)

    def _number(self, row: Row) -> int | None:
        number = whole_number(row["number"])
        if not number:
            told = _("number is {value!r}; it must be a positive whole number of at most nine digits")
            row.problem(told.format(value=row["number"]))
        return number or None

    def _division(self, row: Row) -> str:
        if row["division"] not in self._divisions:
            told = _("division {code!r} is not defined in contest.toml")
            row.problem(told.format(code=row["division"]))
        return row["division"]

    def _class(self, row: Row) -> JudgingClass | None:
        judged = self._classes.get(whole_number(row["class"]) or 0)
        if judged is None:
            row.problem(_("class {number!r} is not defined in contest.toml").format(number=row["class"]))
        return judged

    def _contestant(self, row: Row) -> Contestant | None:
        contestant = self._contestants.get(whole_number(row["number"]) or 0)
        if contestant is None and self._entries_are_whole:
            row.problem(_("contestant {number!r} is not in {file}").format(number=row["number"], file=ENTRIES))
        return contestant

    def _card(self, row: Row, column: str, animals: str) -> str:
        text = row[column]
        if text not in (NO_CARD, UNREADABLE) and not is_placing(text, animals):
            told = _("{column}: {reason}; or write {unreadable}, or nothing where no card came in")
            row.problem(told.format(column=column, reason=why_not_a_placing(text, animals), unreadable=UNREADABLE))
        return text

    def _points(self, row: Row, column: str, most: int) -> int:
        points = hundredths(row[column], row.decimal_comma)
        if isinstance(points, str):
            row.problem(f"{column}: {points}")
            return 0
        if points > most * HUNDREDTHS:
            told = _("{column}: {points} is more than {most}, the most it can be")
            row.problem(told.format(column=column, points=row[column], most=figure(most)))
        return points

    def _second_points(self, row: Row, most: int) -> str:
        """What the second reading says, as this book writes it."""
        text = row["second"]
        return text if text in ("", NONE) else written_hundredths(self._points(row, "second", most))

    def _yes_no(self, row: Row, column: str) -> bool:
        if row[column] not in ("", "yes", "no"):
            told = _("{column} is {value!r}; it must be yes, no or empty (which means yes)")
            row.problem(told.format(column=column, value=row[column]))
        return row[column] != "no"


def _first(row: Row, lines: dict[Key, int], key: Key, twice: str, **values: object) -> bool:
    """Whether this is the first row of its key; of a later one `twice` says so, with the line of the first."""
    first = lines.setdefault(key, row.line)
    if first != row.line:
        row.problem(_(twice).format(line=first, **values))
    return first == row.line


def _not_judged(contestant: Contestant, judged: JudgingClass) -> str:
    told = _("division {division} of contestant {number} does not judge class {judged}")
    return told.format(division=contestant.division, number=contestant.number, judged=judged.number)


def _part_not_done(contestant: Contestant, part: Part) -> str:
    told = _("division {division} of contestant {number} does not do part {code}")
    return told.format(division=contestant.division, number=contestant.number, code=part.code)
