"""Reading a contest's record from the database."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import product
from typing import Any

from contest.models import Card, ClassDivision, Contest, Contestant, Key, Mark, Part, Team, Touches
from contest.snapshot import one_snapshot
from reasons.models import ReasonsScore
from scoring import record as pure

FEW_CARDS = 200
"""Cards changed since that are read one by one; the desks of a large hall read as many in some minutes."""

CHUNK = 10_000
"""Rows fetched at once; Django's own hundred would cost a call of the database for each."""


@one_snapshot()
def load_record(contest_id: int, known: tuple[int, pure.Record] | None = None) -> tuple[int, pure.Record]:
    """A contest's revision and its record at that revision. Raises Contest.DoesNotExist.

    With `known`, what this function gave before, only what the trail says was touched since is read again.
    """
    contest = Contest.objects.get(pk=contest_id)
    return contest.revision, _brought_up_to_date(contest, *known) if known else _Loading(contest).record()


def _brought_up_to_date(contest: Contest, revision: int, record: pure.Record) -> pure.Record:
    entries = contest.trail.filter(revision__gt=revision, revision__lte=contest.revision)
    touched = list(entries.values_list("touches", "about"))
    kinds = {kind for kind, _ in touched}
    # An entry for every revision, or the database is not the one that was read before.
    if Touches.EVERYTHING in kinds or len(touched) != contest.revision - revision:
        return _Loading(contest).record()
    if Touches.CLASSES in kinds:
        record = replace(record, classes=_Loading(contest).classes())
    if Touches.CARDS in kinds:
        cards = _touched_cards([about for kind, about in touched if kind == Touches.CARDS])
        fresh = _some_cards(contest, record.cards, cards) if cards is not None else _Loading(contest).cards()
        record = replace(record, cards=fresh)
    return record


def _touched_cards(abouts: Iterable[str]) -> set[tuple[int, int]] | None:
    """The cards that entries of the trail are about, by class and number, and perhaps a few more; None where an entry
    names none, or where they are so many that reading all is as fast."""
    found: set[tuple[int, int]] = set()
    for about in abouts:
        classes, numbers = ([int(n) for n in re.findall(rf" {kind}:(\d+)", about)] for kind in ("class", "contestant"))
        if not classes or not numbers:
            return None
        found.update(product(classes, numbers))
    return found if len(found) <= FEW_CARDS else None


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
    """Reads the rows of one contest.

    The tables that grow with the contestants come as plain tuples: objects of Django's would take most of a tally.
    """

    def __init__(self, contest: Contest) -> None:
        self._contest = contest
        self._divisions = {division.pk: division for division in contest.divisions.all()}
        self._categories = {category.pk: category for category in contest.categories.all()}
        self._classes = {judged.pk: judged for judged in contest.classes.all()}
        self._parts = {part.pk: part for part in contest.parts.all()}
        teams = Team.objects.filter(division__in=self._divisions).order_by("pk")
        self._teams = {pk: (division, name) for pk, division, name in teams.values_list("pk", "division_id", "name")}
        self._numbers: dict[int, int] = {}

    def record(self) -> pure.Record:
        contest = self._contest
        ties = self._ties()
        contestants = tuple(self._load_contestants())
        officials = dict(contest.reasons_officials.values_list("pk", "name"))
        marks, no_marks = self._load_marks()
        return pure.Record(
            rules=pure.Rules(
                name=contest.name,
                held_on=contest.held_on,
                place=contest.place,
                readings_per_card=contest.readings_per_card,
                show_people_as=contest.show_people_as,
                negative_scores=contest.negative_scores,
                unreadable_card=contest.unreadable_card,
                reasons_in_category=contest.reasons_in_category,
                reasons_standardised=contest.reasons_standardised,
            ),
            divisions=tuple(
                pure.Division(d.code, d.name, d.team_counting, d.short_team, d.counting_members)
                for d in self._divisions.values()
            ),
            categories=tuple(pure.Category(c.code, c.name) for c in self._categories.values()),
            classes=self.classes(),
            parts=tuple(self._load_parts()),
            individual_ties=ties["individual"],
            team_ties=ties["team"],
            contestants=contestants,
            cards=tuple(self._load_cards()),
            reasons=tuple(self._load_reasons(officials)),
            marks=tuple(marks),
            no_reasons=tuple(self._load_no_reasons(officials)),
            no_marks=tuple(no_marks),
        )

    def classes(self) -> tuple[pure.JudgingClass, ...]:
        return tuple(self._load_classes())

    def cards(self) -> tuple[pure.Card, ...]:
        rows = Contestant.objects.filter(contest=self._contest)
        self._numbers = dict(rows.values_list("pk", "number"))
        return tuple(self._load_cards())

    def _load_classes(self) -> Iterable[pure.JudgingClass]:
        judging: defaultdict[int, list[str]] = defaultdict(list)
        giving: defaultdict[int, list[str]] = defaultdict(list)
        for row in ClassDivision.objects.filter(judging_class__in=self._classes).order_by("pk"):
            code = self._divisions[row.division_id].code
            judging[row.judging_class_id].append(code)
            if row.gives_reasons:
                giving[row.judging_class_id].append(code)
        keys = {
            key.judging_class_id: key for key in Key.objects.filter(judging_class__in=self._classes).order_by("version")
        }
        for pk, judged in self._classes.items():
            key = keys.get(pk)  # the newest version: later ones took the place of earlier ones
            yield pure.JudgingClass(
                number=judged.number,
                name=judged.name,
                divisions=tuple(judging[pk]),
                category=self._category_code(judged.category_id),
                places=judged.places,
                reasons=tuple(giving[pk]),
                perfect=judged.perfect,
                official=key.official if key else None,
                cuts=key.cuts if key else None,
                void=judged.void,
            )

    def _load_parts(self) -> Iterable[pure.Part]:
        doing: defaultdict[int, list[str]] = defaultdict(list)
        through = Part.divisions.through.objects.filter(part__in=self._parts).order_by("pk")
        for part_id, division_id in through.values_list("part_id", "division_id"):
            doing[part_id].append(self._divisions[division_id].code)
        for pk, part in self._parts.items():
            category = self._category_code(part.category_id)
            yield pure.Part(part.code, part.name, tuple(doing[pk]), part.most, part.scope, category)

    def _category_code(self, pk: int | None) -> str:
        return self._categories[pk].code if pk else ""

    def _ties(self) -> dict[str, tuple[str, ...]]:
        orders: dict[str, list[str]] = {"individual": [], "team": []}
        for tie in self._contest.tie_steps.select_related("judging_class", "category", "part"):
            orders[tie.scope].append(tie.step)
        return {scope: tuple(steps) for scope, steps in orders.items()}

    def _load_contestants(self) -> list[pure.Contestant]:
        """Also keeps every contestant's number by key, for the rows that follow."""
        rows = Contestant.objects.filter(contest=self._contest).order_by("pk")
        values = list(
            rows.values_list(
                *("pk", "number", "division_id", "team_id", "first_name", "last_name", "group"),
                *("show_name", "present", "ineligible"),
            )
        )
        self._numbers = {pk: number for pk, number, *_ in values}
        return [
            pure.Contestant(
                number,
                self._divisions[division_id].code,
                self._teams[team_id][1] if team_id else "",
                first_name,
                last_name,
                "member" if team_id else "individual",
                group,
                show_name,
                present and not ineligible,  # a book knows one way to count for nobody
            )
            for _, number, division_id, team_id, first_name, last_name, group, show_name, present, ineligible in values
        ]

    def _load_cards(self) -> list[pure.Card]:
        rows = Card.objects.filter(judging_class__in=self._classes).order_by("pk")
        values = rows.values_list("judging_class_id", "contestant_id", "placing", "second").iterator(CHUNK)
        return _translated(pure.Card, values, self._class_numbers(), self._numbers)

    def _load_reasons(self, officials: dict[int, str]) -> list[pure.ReasonsScore]:
        rows = self._reasons_rows().filter(hundredths__isnull=False)
        values = rows.values_list("judging_class_id", "contestant_id", "official_id", "hundredths").iterator(CHUNK)
        return _translated(pure.ReasonsScore, values, self._class_numbers(), self._numbers, officials)

    def _load_no_reasons(self, officials: dict[int, str]) -> list[pure.NoReasons]:
        rows = self._reasons_rows().filter(hundredths__isnull=True)
        values = rows.values_list("judging_class_id", "contestant_id", "official_id")
        return _translated(pure.NoReasons, values, self._class_numbers(), self._numbers, officials)

    def _reasons_rows(self) -> Any:
        return ReasonsScore.objects.filter(judging_class__in=self._classes).order_by("pk")

    def _load_marks(self) -> tuple[list[pure.Mark], list[pure.NoMark]]:
        """The marks that were given, and the slips that say that none was."""
        marks, none = [], []
        rows = Mark.objects.filter(part__in=self._parts).order_by("pk")
        for part_id, contestant_id, team_id, hundredths in rows.values_list(
            "part_id", "contestant_id", "team_id", "hundredths"
        ):
            owner = self._owner(contestant_id, team_id)
            if hundredths is None:
                none.append(pure.NoMark(self._parts[part_id].code, *owner))
            else:
                marks.append(pure.Mark(self._parts[part_id].code, hundredths, *owner))
        return marks, none

    def _owner(self, contestant_id: int | None, team_id: int) -> tuple[int | None, str, str]:
        if contestant_id:
            return self._numbers[contestant_id], "", ""
        division_id, team = self._teams[team_id]
        return None, self._divisions[division_id].code, team

    def _class_numbers(self) -> dict[int, int]:
        return {pk: judged.number for pk, judged in self._classes.items()}


def _translated(row_type: Any, values: Iterable[tuple[Any, ...]], *keys: Mapping[int, Any]) -> list[Any]:
    """Rows of a named tuple's type, whose first columns are looked up in `keys`; whole columns at a time, for speed."""
    columns: list[Iterable[Any]] = list(zip(*values, strict=True))
    if not columns:
        return []
    for place, known in enumerate(keys):
        columns[place] = map(known.__getitem__, columns[place])
    return list(map(row_type._make, zip(*columns, strict=True)))
