"""Loading an entry list: the plan is made anew when it is confirmed, and applied whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from contest.changes import changes, take_turn
from contest.changes.inserting import insert_rows, update_rows
from contest.entries.assigning import NotAsSeen, digest, write_numbers
from contest.entries.entered import anything_read, people_of
from contest.entries.late import is_late, lateness
from contest.entries.people import claim_strays, drop_empty_teams, settle_strays
from contest.entries.plan import Layout, Person, Plan, PlannedRow, Values, Verdict, make_plan
from contest.entries.sets import put_into_sets
from contest.models import Contest, Contestant, Division, Reading, Team
from contest.trail import record_change, sentence
from contest.trail.subjects import contestants
from contest.uploads.spreadsheets import Line


@dataclass(frozen=True, slots=True)
class Entered:
    """The entries at one moment, as far as a plan goes by them."""

    divisions: list[tuple[str, str]]
    people: list[Person]
    renumber: bool
    sets: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Made:
    """A plan with its digest, the entries that it was made for, and the revision that the contest had no later."""

    plan: Plan
    digest: str
    entered: Entered
    revision: int | None = None


def plan_for(contest: Contest, lines: Sequence[Line], layout: Layout) -> Plan:
    """What loading these lines would do to the entries as they are now."""
    return made_for(_entered(contest), lines, layout).plan


def plan_ahead(contest: Contest, lines: Sequence[Line], layout: Layout) -> Made:
    """The plan, for `load_entries` to find it made: a long list takes longer than the desks can be held up."""
    revision = Contest.objects.values_list("revision", flat=True).get(pk=contest.pk)
    return replace(made_for(_entered(contest), lines, layout), revision=revision)


def made_for(entered: Entered, lines: Sequence[Line], layout: Layout) -> Made:
    plan = make_plan(lines, layout, entered.divisions, entered.people, entered.renumber, entered.sets)
    return Made(plan, digest(plan), entered)


def _entered(contest: Contest) -> Entered:
    divisions = list(contest.divisions.values_list("code", "name"))
    sets = list(contest.sets.values_list("code", flat=True))
    return Entered(divisions, people_of(contest), renumber=not anything_read(contest), sets=sets)


@changes
def load_entries(
    contest: Contest, lines: Sequence[Line], layout: Layout, by: str, expected: str, made: Made | None = None
) -> Plan:
    """Do what the preview showed: add and change entries, and leave refused rows alone.

    `expected` is the digest of the plan that was shown, `made` the plan if it was made ahead; it is made anew where the
    entries have changed meanwhile. Raises NotAsSeen where it is no longer the one that was shown, and NotPossible where
    it adds somebody and late entries are refused by now.
    """
    turn = take_turn(contest.pk)
    if made is None or made.revision != turn.revision:
        entered = _entered(contest)
        if made is None or made.entered != entered:
            made = made_for(entered, lines, layout)
    plan = made.plan
    if made.digest != expected:
        raise NotAsSeen
    if plan.changes_anything:
        before = _counts(contest)
        _Loading(contest).apply(plan)
        after = {
            **_counts(contest),
            "added": [_said(row.values) for row in plan.rows if row.kind == Verdict.ADD and row.values],
            "changed": [
                {"number": row.values.number, "fields": _told(row)}
                for row in plan.rows
                if row.kind == Verdict.CHANGE and row.values
            ],
        }
        added, changed = plan.count(Verdict.ADD), plan.count(Verdict.CHANGE)
        what = sentence("entry_list_loaded", added=added, changed=changed)
        about = contestants(
            row.values.number for row in plan.rows if row.kind in (Verdict.ADD, Verdict.CHANGE) and row.values
        )
        record_change(contest, by, what, before, after, about=about)
    return plan


def _said(values: Values) -> dict[str, Any]:
    """What an entry says: as `asdict` has it, which takes ten times as long."""
    return {name: getattr(values, name) for name in Values.__slots__ if name != "result_sets" or values.result_sets}


def _told(row: PlannedRow) -> dict[str, list[Any]]:
    """What changes of an entry, each field's old and new value."""
    return {change.field: [change.old, change.new] for change in row.changes}


def _counts(contest: Contest) -> dict[str, int]:
    teams = Team.objects.filter(division__contest=contest).count()
    return {"contestants": contest.contestants.count(), "teams": teams}


COLUMNS = ("division_id", "team_id", "first_name", "last_name", "group", "show_name", "present", "came_from")
"""What an entry list says of a contestant, besides the number."""


class _Loading:
    """Applies one plan."""

    def __init__(self, contest: Contest) -> None:
        self._contest = contest
        self._divisions: dict[str, Division] = {division.code: division for division in contest.divisions.all()}
        teams = Team.objects.filter(division__contest=contest).select_related("division")
        self._teams = {(team.division.code, team.name): team for team in teams}

    def apply(self, plan: Plan) -> None:
        changed = [row for row in plan.rows if row.kind == Verdict.CHANGE]
        numbers = {row.key: row.values.number for row in changed if row.values and row.key and _renumbers(row)}
        if numbers:
            write_numbers(self._contest, numbers)
        self._make_teams(row.values for row in plan.rows if row.kind in (Verdict.ADD, Verdict.CHANGE) and row.values)
        self._change(changed)
        self._add([row.values for row in plan.rows if row.kind == Verdict.ADD and row.values])
        drop_empty_teams(self._contest)

    def _change(self, rows: Sequence[PlannedRow]) -> None:
        alone = [row.key for row in rows if row.values and not row.values.team]
        self._contest.contestants.filter(pk__in=alone, alternate=True).update(alternate=False)
        update_rows(Contestant, COLUMNS, [(*self._columns(row.values), row.key) for row in rows if row.values])
        in_sets = {row.key: row.values.result_sets for row in rows if row.values and row.key and _moves_sets(row)}
        put_into_sets(self._contest, in_sets)
        moved = [row.key for row in rows if row.key and any(change.field == "division" for change in row.changes)]
        settle_strays(self._contest, moved)

    def _add(self, entries: Sequence[Values]) -> None:
        late = bool(entries) and is_late(lateness(self._contest.pk))
        people = [(*self._columns(values), self._contest.pk, values.number, late) for values in entries]
        insert_rows(Contestant, (*COLUMNS, "contest_id", "number", "late"), people)
        in_sets = {values.number: values.result_sets for values in entries if values.result_sets}
        if in_sets:
            keys = self._contest.contestants.filter(number__in=in_sets).values_list("pk", "number")
            put_into_sets(self._contest, {pk: in_sets[number] for pk, number in keys})
        strays = Reading.objects.filter(
            judging_class__contest=self._contest, contestant__isnull=True, withdrawn_at__isnull=True
        )
        waited_for = set(strays.values_list("number", flat=True)) & {values.number for values in entries}
        for contestant in self._contest.contestants.filter(number__in=waited_for):
            claim_strays(contestant)

    def _columns(self, values: Values) -> tuple[Any, ...]:
        team = self._teams[values.division, values.team].pk if values.team else None
        said = (values.first_name, values.last_name, values.group, values.show_name, values.present, values.came_from)
        return self._divisions[values.division].pk, team, *said

    def _make_teams(self, entries: Iterable[Values]) -> None:
        named = dict.fromkeys((values.division, values.team) for values in entries if values.team)
        new = [key for key in named if key not in self._teams]
        teams = Team.objects.bulk_create(Team(division=self._divisions[code], name=name) for code, name in new)
        self._teams.update(zip(new, teams, strict=True))


def _moves_sets(row: PlannedRow) -> bool:
    return any(change.field == "result_sets" for change in row.changes)


def _renumbers(row: PlannedRow) -> bool:
    return any(change.field == "number" for change in row.changes)
