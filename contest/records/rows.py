"""The rows of a new contest, made of a record."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from typing import Any, Protocol
from uuid import uuid4

from django.utils import timezone

from contest.models import (
    Card,
    Category,
    ClassDivision,
    Contest,
    Contestant,
    Division,
    JudgingClass,
    Key,
    Mark,
    MarkReading,
    Part,
    Reading,
    ReasonsOfficial,
    ReasonsReading,
    ReasonsScore,
    State,
    Team,
    TieStep,
)
from contest.models.outline import STEP_FIELDS
from contest.records.fields import shared, shared_values
from scoring.core.record import NO_CARD, Record
from scoring.core.record import Card as CardRow
from scoring.core.record import Mark as GivenMark
from scoring.core.record import ReasonsScore as GivenReasons
from scoring.core.settling import Given, settle
from scoring.core.steps import read_step

BOOK = "contest book"
"""What confirms a key and decides a score that a book brings."""


class Writes(Protocol):
    """How rows get into the database: `rows` of one model at a time, `size` of them at the most."""

    size: int

    def write(self, rows: list[Any]) -> None: ...


class Saving:
    """Makes the rows of one record. Each step keeps what the next ones refer to, by code, number or name."""

    def __init__(self, contest: Contest, record: Record, by: str, writes: Writes) -> None:
        self._contest = contest
        self._writes = writes
        self._record = record
        self._by = by

    def save(self) -> None:
        self._save_outline()
        self._save_ties()
        self._save_people()
        self._save_scores()

    def _save_outline(self) -> None:
        record = self._record
        self._divisions = self._create_in_order(Division, record.divisions)
        self._categories = self._create_in_order(Category, record.categories)
        self._classes = self._create_in_order(JudgingClass, record.classes)
        self._add(
            ClassDivision(
                judging_class=self._classes[judged.number],
                division=self._divisions[code],
                gives_reasons=code in judged.reasons,
            )
            for judged in record.classes
            for code in judged.divisions
        )
        self._add(
            Key(
                judging_class=self._classes[judged.number],
                version=1,
                official=judged.official,
                top=judged.cuts[0],
                middle=judged.cuts[1],
                bottom=judged.cuts[2],
                by=self._by,
                confirmed_by=BOOK,
                confirmed_at=timezone.now(),
            )
            for judged in record.classes
            if judged.cuts
        )
        self._parts = self._create_in_order(Part, record.parts)
        self._add(
            Part.divisions.through(part=self._parts[part.code], division=self._divisions[code])
            for part in record.parts
            for code in part.divisions
        )

    def _create_in_order(self, model: Any, records: Iterable[Any]) -> dict[Any, Any]:
        """Rows that have a place in the contest's order, by the number or code that names them."""
        return self._create(
            model,
            (
                {"position": position, **self._category_of(record), **shared_values(model, record)}
                for position, record in enumerate(records)
            ),
        )

    def _category_of(self, record: Any) -> dict[str, Any]:
        return {"category": self._categories.get(record.category)} if hasattr(record, "category") else {}

    def _save_ties(self) -> None:
        orders = {
            TieStep.Scope.INDIVIDUAL: self._record.individual_ties,
            TieStep.Scope.TEAM: self._record.team_ties,
        }
        self._add(
            TieStep(contest=self._contest, scope=scope, position=position, **self._tie(step))
            for scope, steps in orders.items()
            for position, step in enumerate(steps)
        )

    def _tie(self, written: str) -> dict[str, Any]:
        step, name = read_step(written)
        if step.looks_at is None:
            return {"kind": step.code}
        named = {"class": self._classes, "category": self._categories, "part": self._parts}[step.looks_at]
        return {"kind": step.code, STEP_FIELDS[step.looks_at]: named[int(name) if step.looks_at == "class" else name]}

    def _save_people(self) -> None:
        contestants = self._record.contestants
        names = dict.fromkeys((contestant.division, contestant.team) for contestant in contestants if contestant.team)
        teams = [Team(division=self._divisions[division], name=name) for division, name in names]
        self._add(teams)
        self._teams = dict(zip(names, teams, strict=True))
        self._contestants = self._create(
            Contestant,
            (
                {
                    "division": self._divisions[contestant.division],
                    "team": self._teams.get((contestant.division, contestant.team)),
                    **shared_values(Contestant, contestant),
                }
                for contestant in contestants
            ),
        )

    def _save_scores(self) -> None:
        self._save_cards()
        self._save_reasons()
        self._save_marks()

    def _save_cards(self) -> None:
        """Cards, with the readings that they come from: a second reading is somebody else's than the first."""
        self._add(
            Reading(**self._of(row), number=row.number, placing=given.value, by=given.reader, submission=uuid4())
            for row in self._record.cards
            for given in self._given(row)
        )
        needed = self._record.rules.readings_per_card
        self._add(
            Card(**self._of(row), placing=row.placing, second=row.second, state=self._state(row, needed))
            for row in self._record.cards
        )

    def _of(self, row: CardRow | GivenReasons) -> dict[str, Any]:
        return {"judging_class": self._classes[row.class_number], "contestant": self._contestants[row.number]}

    def _given(self, row: CardRow) -> list[Given[str]]:
        first = Given(row.placing, self._by)
        return [first] if row.second is None else [first, Given(row.second, f"{self._by}, second reading")]

    def _state(self, row: CardRow, needed: int) -> str:
        settlement = settle(self._given(row), needed, nothing=NO_CARD)
        assert settlement is not None
        return settlement.state

    def _save_reasons(self) -> None:
        """Reasons scores; a book holds only what is decided, so each comes with a reading that decides."""
        scores = self._record.reasons
        names = dict.fromkeys(given.official for given in scores)
        officials = self._create(ReasonsOfficial, ({"name": name} for name in names))

        def row(given: GivenReasons) -> dict[str, Any]:
            return {**self._of(given), "official": officials[given.official], "hundredths": given.hundredths}

        self._add(ReasonsReading(**row(given), **self._decision()) for given in scores)
        self._add(ReasonsScore(**row(given), state=State.SETTLED) for given in scores)

    def _save_marks(self) -> None:

        def row(mark: GivenMark) -> dict[str, Any]:
            return {
                "part": self._parts[mark.part],
                "contestant": None if mark.number is None else self._contestants[mark.number],
                "team": self._teams[mark.division, mark.team] if mark.number is None else None,
                "hundredths": mark.hundredths,
            }

        self._add(MarkReading(**row(mark), **self._decision()) for mark in self._record.marks)
        self._add(Mark(**row(mark), state=State.SETTLED) for mark in self._record.marks)

    def _decision(self) -> dict[str, Any]:
        return {"submission": uuid4(), "by": self._by, "decides": True, "reason": BOOK}

    def _create(self, model: Any, rows: Iterable[dict[str, Any]]) -> dict[Any, Any]:
        """Write rows of the contest that others refer to, and return them with their keys, by what names them."""
        named = "name" if model is ReasonsOfficial else shared(model)[0]
        made = [model(contest=self._contest, **values) for values in rows]
        self._add(made)
        return {getattr(row, named): row for row in made}

    def _add(self, rows: Iterable[Any]) -> None:
        """Write rows that nothing refers to: made as they are written, so that they never are all in memory."""
        left = iter(rows)
        while batch := list(islice(left, self._writes.size)):
            self._writes.write(batch)
