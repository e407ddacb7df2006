"""Reading a contest's record from the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cached_property, partial
from itertools import compress
from typing import Any

from contest.changes.snapshot import one_snapshot
from contest.models import (
    Card,
    Category,
    Choice,
    ClassDivision,
    CommitteeKey,
    CommitteeOfficial,
    CommitteeSeat,
    Contest,
    Contestant,
    Division,
    JudgingClass,
    Key,
    Mark,
    Part,
    PartKey,
    ReasonsOfficial,
    ReasonsScore,
    ResultSet,
    SetMember,
    Team,
    TieDecision,
    TieStep,
)
from contest.records.answers import questions_of
from contest.records.fields import shared
from contest.records.sources import Rows, RowsNow
from contest.trail.touched import touched_since
from scoring.core import record as pure
from scoring.core.questions import points_of

BY_ANSWER = ("questions", "options", "worth")
"""Columns of a part that are no record's: what is answered counts as marks."""

# Of these there are tens of thousands: made without Python's own function of each named tuple, in half the time.
_card: Callable[[tuple[int, int, str, str]], pure.Card] = partial(tuple.__new__, pure.Card)
_reasons_score: Callable[[tuple[int, int, str, int]], pure.ReasonsScore] = partial(tuple.__new__, pure.ReasonsScore)


@one_snapshot()
def load_record(contest_id: int, known: tuple[int, pure.Record] | None = None) -> tuple[int, pure.Record]:
    """A contest's revision and its record at that revision. Raises Contest.DoesNotExist.

    With `known`, what this function gave before, only what the trail says was touched since is read again.
    """
    contest = Contest.objects.get(pk=contest_id)
    return contest.revision, _brought_up_to_date(contest, *known) if known else record_from_rows(RowsNow(contest.pk))


def _brought_up_to_date(contest: Contest, revision: int, record: pure.Record) -> pure.Record:
    touched = touched_since(contest, revision)
    if touched is None:
        return record_from_rows(RowsNow(contest.pk))
    if touched.classes:
        loading = _Loading(RowsNow(contest.pk))
        record = replace(record, classes=loading.classes(), panel=loading.panel())
    if touched.cards is None:
        record = replace(record, cards=_Loading(RowsNow(contest.pk)).cards())
    elif touched.cards:
        record = replace(record, cards=_some_cards(contest, record.cards, touched.cards))
    return record


def record_from_rows(rows: Rows) -> pure.Record:
    """The record that a contest's rows make."""
    return _Loading(rows).record()


def _some_cards(contest: Contest, known: tuple[pure.Card, ...], wanted: set[tuple[int, int]]) -> tuple[pure.Card, ...]:
    """The cards known before, with those that are wanted as they are now."""
    people = Contestant.objects.filter(contest=contest, number__in={number for _, number in wanted})
    classes = contest.classes.filter(number__in={judged for judged, _ in wanted})
    rows = Card.objects.filter(judging_class__in=list(classes.values_list("pk", flat=True)), contestant__in=people)
    columns = ("judging_class__number", "contestant__number", "placing", "second")
    now = {row[:2]: pure.Card(*row) for row in rows.order_by("pk").values_list(*columns)}
    gone = wanted - now.keys()
    kept = tuple(now.pop(card[:2], card) for card in known if card[:2] not in gone)
    return kept + tuple(now.values())


class _Loading:
    """Makes a record of the rows of one contest, which come as plain tuples: objects of Django's would take most of a
    tally."""

    def __init__(self, rows: Rows) -> None:
        self._rows = rows
        self._divisions = {pk: pure.Division(**values) for pk, values in self._in_order(Division)}
        self._categories = {pk: pure.Category(**values) for pk, values in self._in_order(Category)}
        self._sets = {pk: pure.ResultSet(**values) for pk, values in self._in_order(ResultSet)}
        self._classes = dict(self._in_order(JudgingClass, "category_id"))
        self._class_numbers = {pk: judged["number"] for pk, judged in self._classes.items()}
        self._parts = dict(self._in_order(Part, "category_id", *BY_ANSWER))
        by_answer = {pk: [part.pop(name) for name in BY_ANSWER] for pk, part in self._parts.items()}
        self._questions = {pk: questions_of(*columns) for pk, columns in by_answer.items() if columns[0]}
        self._part_codes = {pk: part["code"] for pk, part in self._parts.items()}
        self._teams = {pk: (division, name) for pk, division, name in rows.of(Team, "pk", "division_id", "name")}
        self._idle_alternates = {pk for pk, compete in rows.of(Division, "pk", "alternates_compete") if not compete}
        self._numbers: dict[int, int] = {}
        self._alternates: set[int] = set()

    def _in_order(self, model: Any, *more: str) -> Iterable[tuple[int, dict[str, Any]]]:
        """Rows that have a place in the contest's order: by key, what they share with their records, and more."""
        names = (*shared(model), *more)
        for pk, *values in self._rows.of(model, "pk", *names, order=("position", "pk")):
            yield pk, dict(zip(names, values, strict=True))

    def record(self) -> pure.Record:
        (rules,) = self._rows.of(Contest, *shared(Contest))
        ties = self._ties()
        contestants = tuple(self._load_contestants())
        officials = dict(self._rows.of(ReasonsOfficial, "pk", "name"))
        reasons, no_reasons = self._load_reasons(officials)
        marks, no_marks = self._load_marks()
        return pure.Record(
            rules=pure.Rules(**dict(zip(shared(Contest), rules, strict=True))),
            divisions=tuple(self._divisions.values()),
            categories=tuple(self._categories.values()),
            classes=self.classes(),
            parts=tuple(self._load_parts()),
            individual_ties=ties["individual"],
            team_ties=ties["team"],
            contestants=contestants,
            cards=tuple(self._load_cards()),
            reasons=tuple(reasons),
            marks=tuple(marks),
            no_reasons=tuple(no_reasons),
            no_marks=tuple(no_marks),
            decided=tuple(self._load_decided()),
            choices=tuple(self._load_choices()),
            panel=self.panel(),
            sets=tuple(self._sets.values()),
            members=tuple(self._load_members()),
        )

    def classes(self) -> tuple[pure.JudgingClass, ...]:
        return tuple(self._load_classes())

    def panel(self) -> tuple[pure.PanelKey, ...]:
        """What the officials of committees handed in last, class by class in the contest's order."""
        officials = dict(self._rows.of(CommitteeOfficial, "pk", "name"))
        if not officials:
            return ()
        newest = self._rows.of(CommitteeKey, "seat_id", "placing", "cuts", order=("version",))
        keys = {seat: key for seat, *key in newest}
        seats = self._rows.of(CommitteeSeat, "pk", "judging_class_id", "official_id", order=("pk",))
        made = [pure.PanelKey(self._class_numbers[of], officials[by], *keys[pk]) for pk, of, by in seats if pk in keys]
        order = list(self._class_numbers.values())
        return tuple(sorted(made, key=lambda key: order.index(key.class_number)))

    def cards(self) -> tuple[pure.Card, ...]:
        self._numbers = dict(self._rows.of(Contestant, "pk", "number"))
        return tuple(self._load_cards())

    def _load_classes(self) -> Iterable[pure.JudgingClass]:
        judging: defaultdict[int, list[str]] = defaultdict(list)
        giving: defaultdict[int, list[str]] = defaultdict(list)
        void_for: defaultdict[int, list[str]] = defaultdict(list)
        for class_id, division_id, gives, void in self._rows.of(
            ClassDivision, "judging_class_id", "division_id", "gives_reasons", "void"
        ):
            code = self._divisions[division_id].code
            judging[class_id].append(code)
            if gives:
                giving[class_id].append(code)
            if void:
                void_for[class_id].append(code)
        # The newest version: later ones took the place of earlier ones.
        newest = self._rows.of(Key, "judging_class_id", "official", "cuts", order=("version",))
        keys = {pk: key for pk, *key in newest}
        for pk, values in self._classes.items():
            official, cuts = keys.get(pk, (None, None))
            yield pure.JudgingClass(
                **self._with_category(values),
                divisions=tuple(judging[pk]),
                reasons=tuple(giving[pk]),
                void_divisions=tuple(void_for[pk]),
                official=official,
                cuts=cuts,
            )

    def _load_parts(self) -> Iterable[pure.Part]:
        doing: defaultdict[int, list[str]] = defaultdict(list)
        for part_id, division_id in self._rows.of(Part.divisions.through, "part_id", "division_id"):
            doing[part_id].append(self._divisions[division_id].code)
        given = self._confirmed_keys
        for pk, values in self._parts.items():
            part = pure.Part(**self._with_category(values), divisions=tuple(doing[pk]))
            yield part.worth_keeping(whole_numbers(given[pk])) if part.animals and pk in given else part

    @cached_property
    def _confirmed_keys(self) -> dict[int, str]:
        """By part, the newest key that two people agree on."""
        if not self._has_parts_with_keys():
            return {}
        versions = self._rows.of(PartKey, "part_id", "given", "confirmed_by", order=("version",))
        return {pk: given for pk, given, confirmed_by in versions if confirmed_by}

    def _has_parts_with_keys(self) -> bool:
        return bool(self._questions) or any(part["animals"] for part in self._parts.values())

    def _with_category(self, values: dict[str, Any]) -> dict[str, Any]:
        plain = {name: value for name, value in values.items() if name != "category_id"}
        return plain | {"category": self._category_code(values["category_id"])}

    def _category_code(self, pk: int | None) -> str:
        return self._categories[pk].code if pk else ""

    def _ties(self) -> dict[str, tuple[str, ...]]:
        orders: dict[str, list[str]] = {"individual": [], "team": []}
        columns = ("scope", "kind", "judging_class_id", "category_id", "part_id")
        for scope, kind, class_id, category_id, part_id in self._rows.of(
            TieStep, *columns, order=("scope", "position", "pk")
        ):
            number, code = self._class_numbers.get(class_id), self._category_code(category_id)
            orders[scope].append(TieStep.as_written(kind, number, code, self._part_codes.get(part_id)))
        return {scope: tuple(steps) for scope, steps in orders.items()}

    def _load_decided(self) -> Iterable[pure.DecidedTie]:
        columns = ("division", "list", "kind", "order", "how", "reason")
        for division, code, kind, order, how, reason in self._rows.of(TieDecision, *columns, order=("pk",)):
            yield pure.DecidedTie(division, code, kind, tuple(order), how, reason)

    def _load_contestants(self) -> list[pure.Contestant]:
        """Also keeps every contestant's number by key, for the rows that follow."""
        names = ("pk", "division_id", "team_id", "ineligible", "unranked", "alternate", *shared(Contestant))
        columns = dict(zip(names, zip(*self._rows.of(Contestant, *names), strict=True), strict=False))
        if not columns:
            return []
        teams = columns["team_id"]
        self._numbers = dict(zip(columns["pk"], columns["number"], strict=True))
        columns["division"] = tuple(self._divisions[pk].code for pk in columns["division_id"])
        self._alternates = set(compress(columns["pk"], columns["alternate"]))
        # An alternate counts for no team: an individual, and one of no list where alternates do not compete.
        members = [pk and not alternate for pk, alternate in zip(teams, columns["alternate"], strict=True)]
        columns["team"] = tuple(self._teams[pk][1] if member else "" for pk, member in zip(teams, members, strict=True))
        columns["role"] = tuple("member" if member else "individual" for member in members)
        ranked = zip(columns["unranked"], columns["alternate"], columns["division_id"], strict=True)
        columns["ranked"] = tuple(
            not (unranked or (alternate and division in self._idle_alternates))
            for unranked, alternate, division in ranked
        )
        # A book knows one way to count for nobody.
        counts = zip(columns["present"], columns["ineligible"], strict=True)
        columns["present"] = tuple(present and not ineligible for present, ineligible in counts)
        fields = zip(*(columns[name] for name in pure.Contestant._fields), strict=True)
        return list(map(pure.Contestant._make, fields))

    def _load_members(self) -> list[pure.SetMember]:
        """Who is in which set of results, in the order of the contestants and then of the sets."""
        if not self._sets:
            return []
        sets, people = (dict(zip(of, range(len(of)), strict=True)) for of in (self._sets, self._numbers))
        rows = sorted(
            self._rows.of(SetMember, "result_set_id", "contestant_id", "team"),
            key=lambda row: (people[row[1]], sets[row[0]]),
        )
        return [
            pure.SetMember(self._sets[of].code, self._numbers[who], "" if who in self._alternates else team)
            for of, who, team in rows
        ]

    def _load_cards(self) -> list[pure.Card]:
        rows = self._rows.of(Card, "judging_class_id", "contestant_id", "placing", "second")
        classes, numbers = self._class_numbers, self._numbers
        return [_card((classes[judged], numbers[person], placing, second)) for judged, person, placing, second in rows]

    def _load_reasons(self, officials: dict[int, str]) -> tuple[list[pure.ReasonsScore], list[pure.NoReasons]]:
        """The scores that were given, and the slips that say that none was."""
        rows = list(self._rows.of(ReasonsScore, "judging_class_id", "contestant_id", "official_id", "hundredths"))
        classes, numbers = self._class_numbers, self._numbers
        scores = [
            _reasons_score((classes[judged], numbers[person], officials[official], hundredths))
            for judged, person, official, hundredths in rows
            if hundredths is not None
        ]
        none = [row for row in rows if row[3] is None]
        return scores, [pure.NoReasons(classes[row[0]], numbers[row[1]], officials[row[2]]) for row in none]

    def _load_marks(self) -> tuple[list[pure.Mark], list[pure.NoMark]]:
        """The marks that were given, and the slips that say that none was."""
        marks, none = [], []
        columns = ("part_id", "contestant_id", "team_id", "hundredths")
        for part_id, contestant_id, team_id, hundredths in self._rows.of(Mark, *columns):
            owner = self._owner(contestant_id, team_id)
            if hundredths is None:
                none.append(pure.NoMark(self._part_codes[part_id], *owner))
            else:
                marks.append(pure.Mark(self._part_codes[part_id], hundredths, *owner))
        for part_id, contestant_id, chosen, _second in self._chosen:
            if part_id in self._questions and (key := self._confirmed_keys.get(part_id)):
                code, number = self._part_codes[part_id], self._numbers[contestant_id]
                if chosen == pure.NO_CARD:
                    none.append(pure.NoMark(code, number))
                else:
                    questions = replace(self._questions[part_id], key=key)
                    marks.append(pure.Mark(code, points_of(questions, chosen), number))
        return marks, none

    @cached_property
    def _chosen(self) -> list[tuple[Any, ...]]:
        if not self._has_parts_with_keys():
            return []
        return list(self._rows.of(Choice, "part_id", "contestant_id", "chosen", "second"))

    def _load_choices(self) -> list[pure.Choice]:
        """What was kept; answers count as marks, once they have a key."""
        parts, numbers = self._part_codes, self._numbers
        return [
            pure.Choice(parts[part], numbers[person], chosen, second)
            for part, person, chosen, second in self._chosen
            if part not in self._questions
        ]

    def _owner(self, contestant_id: int | None, team_id: int) -> tuple[int | None, str, str]:
        if contestant_id:
            return self._numbers[contestant_id], "", ""
        division_id, team = self._teams[team_id]
        return None, self._divisions[division_id].code, team


def whole_numbers(text: str) -> tuple[int, ...]:
    """Such as `14 2 11 1`, as a key holds them."""
    return tuple(map(int, text.split()))
