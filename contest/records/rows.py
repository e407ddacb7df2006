"""The rows of a new contest, made of a record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, replace
from datetime import datetime
from itertools import islice
from typing import Any, Generic, NamedTuple, Protocol, TypeVar
from uuid import uuid4

from django.utils import timezone

from contest.changes.desks_first import while_desks_rest
from contest.models import (
    Card,
    Category,
    Choice,
    ChoiceReading,
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
    MarkReading,
    Part,
    PartKey,
    Reading,
    ReasonsOfficial,
    ReasonsReading,
    ReasonsScore,
    ResultSet,
    SetMember,
    Team,
    TieDecision,
    TieStep,
)
from contest.models.outline import STEP_FIELDS
from contest.records.day import BOOK, SECOND, Points, card_of, points_of
from contest.records.fields import shared, shared_values
from scoring.core.record import NO_CARD, NONE, HowRead, NoMark, PersonsDay, Record
from scoring.core.settling import Given, Settlement, settle
from scoring.core.steps import read_step

DECIDED = HowRead(by=BOOK, decided=BOOK)
"""How a score counts of which a book says no more: it holds what was decided."""

Value = TypeVar("Value")


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
        self._sets = self._create_in_order(ResultSet, record.sets)
        self._classes = self._create_in_order(JudgingClass, record.classes)
        self._add(
            ClassDivision(
                judging_class=self._classes[judged.number],
                division=self._divisions[code],
                gives_reasons=code in judged.reasons,
                void=code in judged.void_divisions,
            )
            for judged in record.classes
            for code in judged.divisions
        )
        self._add(
            Key(
                judging_class=self._classes[judged.number],
                version=1,
                official=judged.official,
                cuts=judged.cuts,
                by=self._by,
                confirmed_by=BOOK,
                confirmed_at=timezone.now(),
            )
            for judged in record.classes
            if judged.official and judged.cuts
        )
        self._save_committees()
        # What a keep/cull part can give is its key's to say.
        parts = [replace(part, most=0) if part.animals else part for part in record.parts]
        self._parts = self._create_in_order(Part, parts)
        confirmed = {"by": self._by, "confirmed_by": BOOK, "confirmed_at": timezone.now()}
        self._add(
            PartKey(part=self._parts[part.code], version=1, given=" ".join(map(str, part.values)), **confirmed)
            for part in record.parts
            if part.values is not None
        )
        self._add(
            Part.divisions.through(part=self._parts[part.code], division=self._divisions[code])
            for part in record.parts
            for code in part.divisions
        )

    def _save_committees(self) -> None:
        panel = self._record.panel
        names = dict.fromkeys(key.official for key in panel)
        officials = self._create(CommitteeOfficial, ({"name": name} for name in names))
        seats = [
            CommitteeSeat(judging_class=self._classes[key.class_number], official=officials[key.official])
            for key in panel
        ]
        self._add(seats)
        self._add(
            CommitteeKey(seat=seat, version=1, placing=key.placing, cuts=key.cuts, by=self._by)
            for seat, key in zip(seats, panel, strict=True)
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

        self._add(
            TieDecision(contest=self._contest, **{**asdict(decided), "order": list(decided.order)})
            for decided in self._record.decided
        )

    def _tie(self, written: str) -> dict[str, Any]:
        step, name = read_step(written)
        if step.looks_at is None:
            return {"kind": step.code}
        named = {"class": self._classes, "category": self._categories, "part": self._parts}[step.looks_at]
        return {"kind": step.code, STEP_FIELDS[step.looks_at]: named[int(name) if step.looks_at == "class" else name]}

    def _save_people(self) -> None:
        contestants = self._record.contestants
        days = {person.number: person for person in self._record.day.people}
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
                    "unranked": "" if contestant.ranked else Contestant.Unranked.ASKED,
                    **shared_values(Contestant, contestant),
                    **_of_the_day(days.get(contestant.number)),
                }
                for contestant in contestants
            ),
        )

        self._add(
            SetMember(result_set=self._sets[member.set], contestant=self._contestants[member.number], team=member.team)
            for member in self._record.members
        )

    def _save_scores(self) -> None:
        self._save_cards()
        self._save_reasons()
        self._save_marks()
        self._save_choices()

    def _save_cards(self) -> None:
        """Cards, with the readings that they come from."""
        how_read = {read[:-1]: read.how for read in self._record.day.cards}

        cards = [
            (row, _of_card(row.placing, row.second, how_read.get(row[:2], HowRead()))) for row in self._record.cards
        ]
        self._add(
            Reading(**self._of(row), number=row.number, placing=read.value, **self._by_whom(read))
            for row, readings in cards
            for read in readings
        )
        self._add(
            Card(**self._of(row), placing=row.placing, second=row.second, state=self._settled(readings, NO_CARD).state)
            for row, readings in cards
        )

    def _of(self, row: Any) -> dict[str, Any]:
        # By their keys: a row is made in half the time where Django need not look whether it is given the right model.
        judged, contestant = self._classes[row.class_number], self._contestants[row.number]
        return {"judging_class_id": judged.pk, "contestant_id": contestant.pk}

    def _save_choices(self) -> None:
        """What was kept, in the order of the labels, so that two who typed the same say the same."""
        how_read = {read[:-1]: read.how for read in self._record.day.choices}
        parts = {part.code: part for part in self._record.parts}
        choices = []
        for row in self._record.choices:
            in_order, how = parts[row.part].in_order, how_read.get(row[:2], HowRead())
            kept, second = in_order(row.kept), None if row.second is None else in_order(row.second)
            if how.second not in ("", NONE):
                how = how._replace(second=in_order(how.second))
            of = {"part": self._parts[row.part], "contestant": self._contestants[row.number]}
            choices.append((of, kept, second, _of_card(kept, second, how)))
        self._add(
            ChoiceReading(**of, chosen=read.value, **self._by_whom(read))
            for of, _kept, _second, readings in choices
            for read in readings
        )
        self._add(
            Choice(**of, chosen=kept, second=second, state=self._settled(readings, NO_CARD).state)
            for of, kept, second, readings in choices
        )

    def _save_reasons(self) -> None:
        """Reasons scores, with the readings that they come from."""
        record = self._record
        how_read = {read[:-1]: read.how for read in record.day.reasons}
        scores: list[tuple[tuple[int, int, str], int | None]] = [
            (score[:3], score.hundredths) for score in record.reasons
        ]
        scores += [(none[:3], None) for none in record.no_reasons]
        names = dict.fromkeys(official for (_, _, official), _ in scores)
        officials = self._create(ReasonsOfficial, ({"name": name} for name in names))
        self._save_points(
            (ReasonsReading, ReasonsScore),
            (
                (
                    {
                        "judging_class": self._classes[of[0]],
                        "contestant": self._contestants[of[1]],
                        "official": officials[of[2]],
                    },
                    points,
                    how_read.get(of, DECIDED),
                )
                for of, points in scores
            ),
        )

    def _save_marks(self) -> None:
        record = self._record
        how_read = {read[:-1]: read.how for read in record.day.marks}
        marks: list[tuple[NoMark, int | None]] = [
            (NoMark(mark.part, *mark[2:]), mark.hundredths) for mark in record.marks
        ]
        marks += [(none, None) for none in record.no_marks]
        self._save_points(
            (MarkReading, Mark),
            (
                (
                    {
                        "part": self._parts[of.part],
                        "contestant": None if of.number is None else self._contestants[of.number],
                        "team": self._teams[of.division, of.team] if of.number is None else None,
                    },
                    points,
                    how_read.get(of, DECIDED),
                )
                for of, points in marks
            ),
        )

    def _save_points(self, models: tuple[Any, Any], scores: Iterable[tuple[dict[str, Any], Points, HowRead]]) -> None:
        reading, score = models
        read = [(of, _given(points, how, points_of)) for of, points, how in scores]
        self._add(
            reading(**of, hundredths=of_reading.value, **self._by_whom(of_reading))
            for of, readings in read
            for of_reading in readings
        )
        self._add(
            score(**of, hundredths=settled.value, second=settled.second, state=settled.state)
            for of, readings in read
            for settled in (self._settled(readings, None),)
        )

    def _settled(self, readings: Sequence[Read[Any]], nothing: Any) -> Settlement[Any]:
        rules = self._record.rules
        as_read = [Given(read.value, read.by.casefold(), bool(read.because)) for read in readings]
        settlement = settle(as_read, rules.readings_per_card, rules.same_reader_twice, nothing)
        assert settlement is not None
        return settlement

    def _by_whom(self, read: Read[Any]) -> dict[str, Any]:
        return {"by": read.by, "submission": uuid4(), "decides": bool(read.because), "reason": read.because}

    def _create(self, model: Any, rows: Iterable[dict[str, Any]]) -> dict[Any, Any]:
        """Write rows of the contest that others refer to, and return them with their keys, by what names them."""
        named = "name" if model in (ReasonsOfficial, CommitteeOfficial) else shared(model)[0]
        made = [model(contest=self._contest, **values) for values in rows]
        self._add(made)
        return {getattr(row, named): row for row in made}

    def _add(self, rows: Iterable[Any]) -> None:
        """Write rows that nothing refers to: made as they are written, so that they never are all in memory."""
        left = while_desks_rest(rows)
        while batch := list(islice(left, self._writes.size)):
            self._writes.write(batch)


class Read(NamedTuple, Generic[Value]):
    """A reading that a book tells of; `because` is why it decides, empty where it does not."""

    value: Value
    by: str
    because: str = ""


def _of_card(value: str, second: str | None, how: HowRead) -> list[Read[str]]:
    """The readings of a card, whose own second reading is what it says where the day says nothing else."""
    return _given(value, how if how.second else how._replace(second=second or ""), card_of)


def _given(value: Any, how: HowRead, said: Callable[[str], Any]) -> list[Read[Any]]:
    """The readings of one card or score. What was decided came last, when everything else was known."""
    first = Read(value, how.by or BOOK, how.decided)
    if not how.second:
        return [first]
    second = Read(said(how.second), how.second_by or SECOND)
    return [second, first] if how.decided else [first, second]


def _of_the_day(day: PersonsDay | None) -> dict[str, Any]:
    if day is None:
        return {}
    arrived = timezone.make_aware(datetime.fromisoformat(day.arrived)) if day.arrived else None
    columns: dict[str, Any] = {"checked_in_at": arrived, "say_name": day.say_name}
    if day.ineligible:
        columns |= {"ineligible": True, "ineligible_reason": day.ineligible, "present": day.was_there}
    return columns
