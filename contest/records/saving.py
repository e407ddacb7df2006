"""Writing a record into the database, as a new contest."""

from __future__ import annotations

from collections.abc import Iterable
from operator import attrgetter
from typing import Any
from uuid import uuid4

from django.db.models import Model
from django.utils import timezone

from contest.changes import changes
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
    State,
    Team,
    TieStep,
)
from contest.trail import record_change
from reasons.models import ReasonsOfficial, ReasonsReading, ReasonsScore
from scoring.record import NO_CARD, Record
from scoring.settling import Given, settle

BOOK = "contest book"
"""What confirms a key and decides a score that a book brings."""

BATCH = 1000
"""Rows a statement: enough to be fast, few enough for a statement's limit on variables."""


@changes
def save_record(record: Record, by: str) -> Contest:
    """Make a new contest of a record, in one transaction; `by` says who, for the trail."""
    rules = record.rules
    contest = Contest.objects.create(
        name=rules.name,
        held_on=rules.held_on,
        place=rules.place,
        readings_per_card=rules.readings_per_card,
        show_people_as=rules.show_people_as,
        negative_scores=rules.negative_scores,
        unreadable_card=rules.unreadable_card,
        reasons_in_category=rules.reasons_in_category,
        reasons_standardised=rules.reasons_standardised,
    )
    _Saving(contest, record, by).save()
    counts = {
        "name": rules.name,
        "contestants": len(record.contestants),
        "cards": len(record.cards),
        "reasons": len(record.reasons),
        "marks": len(record.marks),
    }
    record_change(contest, by, "contest made from a book", after=counts)
    return contest


class _Saving:
    """Writes the rows of one record. Each step keeps what the next ones refer to, by code, number or name."""

    def __init__(self, contest: Contest, record: Record, by: str) -> None:
        self._contest = contest
        self._record = record
        self._by = by

    def save(self) -> None:
        self._save_outline()
        self._save_ties()
        self._save_people()
        self._save_scores()

    def _save_outline(self) -> None:
        contest, record = self._contest, self._record
        self._divisions = _by(
            "code",
            _create(
                Division(
                    contest=contest,
                    position=position,
                    code=division.code,
                    name=division.name,
                    team_counting=division.team_counting,
                    short_team=division.short_team,
                    counting_members=division.counting_members,
                )
                for position, division in enumerate(record.divisions)
            ),
        )
        self._categories = _by(
            "code",
            _create(
                Category(contest=contest, position=position, code=category.code, name=category.name)
                for position, category in enumerate(record.categories)
            ),
        )
        self._classes = _by(
            "number",
            _create(
                JudgingClass(
                    contest=contest,
                    position=position,
                    number=judged.number,
                    name=judged.name,
                    category=self._categories.get(judged.category),
                    places=judged.places,
                    perfect=judged.perfect,
                    void=judged.void,
                )
                for position, judged in enumerate(record.classes)
            ),
        )
        _create(
            ClassDivision(
                judging_class=self._classes[judged.number],
                division=self._divisions[code],
                gives_reasons=code in judged.reasons,
            )
            for judged in record.classes
            for code in judged.divisions
        )
        _create(
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
        self._parts = _by(
            "code",
            _create(
                Part(
                    contest=contest,
                    position=position,
                    code=part.code,
                    name=part.name,
                    category=self._categories.get(part.category),
                    most=part.most,
                    scope=part.scope,
                )
                for position, part in enumerate(record.parts)
            ),
        )
        _create(
            Part.divisions.through(part=self._parts[part.code], division=self._divisions[code])
            for part in record.parts
            for code in part.divisions
        )

    def _save_ties(self) -> None:
        orders = {
            TieStep.Scope.INDIVIDUAL: self._record.individual_ties,
            TieStep.Scope.TEAM: self._record.team_ties,
        }
        _create(
            TieStep(contest=self._contest, scope=scope, position=position, **self._tie(step))
            for scope, steps in orders.items()
            for position, step in enumerate(steps)
        )

    def _tie(self, step: str) -> dict[str, Any]:
        kind, _, name = step.partition(":")
        fields: dict[str, Any] = {"kind": kind}
        if kind == TieStep.Kind.CLASS:
            fields["judging_class"] = self._classes[int(name)]
        elif kind == TieStep.Kind.CATEGORY:
            fields["category"] = self._categories[name]
        elif kind == TieStep.Kind.PART:
            fields["part"] = self._parts[name]
        return fields

    def _save_people(self) -> None:
        contestants = self._record.contestants
        names = dict.fromkeys((contestant.division, contestant.team) for contestant in contestants if contestant.team)
        teams = _create(Team(division=self._divisions[division], name=name) for division, name in names)
        self._teams = dict(zip(names, teams, strict=True))
        self._contestants = _by(
            "number",
            _create(
                Contestant(
                    contest=self._contest,
                    number=contestant.number,
                    division=self._divisions[contestant.division],
                    team=self._teams.get((contestant.division, contestant.team)),
                    first_name=contestant.first_name,
                    last_name=contestant.last_name,
                    group=contestant.group,
                    show_name=contestant.show_name,
                    present=contestant.present,
                )
                for contestant in contestants
            ),
        )

    def _save_scores(self) -> None:
        self._save_cards()
        self._save_reasons()
        self._save_marks()

    def _save_cards(self) -> None:
        """Cards, with the readings that they come from: a second reading is somebody else's than the first."""
        needed = self._record.rules.readings_per_card
        second_reader = f"{self._by}, second reading"
        readings: list[Reading] = []
        cards: list[Card] = []
        for row in self._record.cards:
            card = {
                "judging_class": self._classes[row.class_number],
                "contestant": self._contestants[row.number],
            }
            given = [Given(row.placing, self._by)]
            if row.second is not None:
                given.append(Given(row.second, second_reader))
            settlement = settle(given, needed, nothing=NO_CARD)
            assert settlement is not None
            cards.append(Card(**card, placing=row.placing, second=row.second, state=settlement.state))
            readings += (
                Reading(**card, number=row.number, placing=reading.value, by=reading.reader, submission=uuid4())
                for reading in given
            )
        _create(readings)
        _create(cards)

    def _save_reasons(self) -> None:
        """Reasons scores; a book holds only what is decided, so each comes with a reading that decides."""
        scores = self._record.reasons
        names = dict.fromkeys(given.official for given in scores)
        officials = _by("name", _create(ReasonsOfficial(contest=self._contest, name=name) for name in names))
        rows = [
            {
                "judging_class": self._classes[given.class_number],
                "contestant": self._contestants[given.number],
                "official": officials[given.official],
                "hundredths": given.hundredths,
            }
            for given in scores
        ]
        _create(ReasonsReading(**row, **self._decision()) for row in rows)
        _create(ReasonsScore(**row, state=State.SETTLED) for row in rows)

    def _save_marks(self) -> None:
        rows = [
            {
                "part": self._parts[mark.part],
                "contestant": None if mark.number is None else self._contestants[mark.number],
                "team": self._teams[mark.division, mark.team] if mark.number is None else None,
                "hundredths": mark.hundredths,
            }
            for mark in self._record.marks
        ]
        _create(MarkReading(**row, **self._decision()) for row in rows)
        _create(Mark(**row, state=State.SETTLED) for row in rows)

    def _decision(self) -> dict[str, Any]:
        return {"submission": uuid4(), "by": self._by, "decides": True, "reason": BOOK}


def _create(rows: Iterable[Model]) -> list[Any]:
    """Insert rows of one model, and return them with their keys."""
    made = list(rows)
    return type(made[0])._default_manager.bulk_create(made, batch_size=BATCH) if made else []


def _by(name: str, rows: Iterable[Any]) -> dict[Any, Any]:
    value = attrgetter(name)
    return {value(row): row for row in rows}
