"""Loading an entry list: the plan is made anew when it is confirmed, and applied whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from contest.changes import changes, take_turn
from contest.entries.assigning import NotAsSeen, digest, write_numbers
from contest.entries.entered import anything_read, people_of
from contest.entries.people import claim_strays, drop_empty_teams, settle_cards
from contest.entries.plan import Kind, Layout, Plan, PlannedRow, Values, make_plan
from contest.entries.sheets import Line
from contest.models import Contest, Contestant, Division, Reading, Team
from contest.trail import record_change
from contest.trail.subjects import contestants

BATCH = 200


def plan_for(contest: Contest, lines: Sequence[Line], layout: Layout) -> Plan:
    """What loading these lines would do to the entries as they are now."""
    divisions = list(contest.divisions.values_list("code", "name"))
    return make_plan(lines, layout, divisions, people_of(contest), renumber=not anything_read(contest))


@changes
def load_entries(contest: Contest, lines: Sequence[Line], layout: Layout, by: str, expected: str) -> Plan:
    """Do what the preview showed: add and change entries, and leave refused rows alone.

    `expected` is the digest of the plan that was shown. Raises NotAsSeen where the entries have changed since, so that
    the plan would be another.
    """
    take_turn(contest.pk)
    plan = plan_for(contest, lines, layout)
    if digest(plan) != expected:
        raise NotAsSeen
    if plan.changes_anything:
        before = _counts(contest)
        _Loading(contest).apply(plan)
        after = {
            **_counts(contest),
            "added": [asdict(row.values) for row in plan.rows if row.kind == Kind.ADD and row.values],
            "changed": [
                {"number": row.values.number, "fields": _told(row)}
                for row in plan.rows
                if row.kind == Kind.CHANGE and row.values
            ],
        }
        added, changed = plan.count(Kind.ADD), plan.count(Kind.CHANGE)
        what = f"entry list loaded: {added} added, {changed} changed"
        about = contestants(
            row.values.number for row in plan.rows if row.kind in (Kind.ADD, Kind.CHANGE) and row.values
        )
        record_change(contest, by, what, before, after, about=about)
    return plan


def _told(row: PlannedRow) -> dict[str, list[Any]]:
    """What changes of an entry, each field's old and new value."""
    return {change.field: [change.old, change.new] for change in row.changes}


def _counts(contest: Contest) -> dict[str, int]:
    teams = Team.objects.filter(division__contest=contest).count()
    return {"contestants": contest.contestants.count(), "teams": teams}


class _Loading:
    """Applies one plan."""

    def __init__(self, contest: Contest) -> None:
        self._contest = contest
        self._divisions: dict[str, Division] = {division.code: division for division in contest.divisions.all()}
        teams = Team.objects.filter(division__contest=contest).select_related("division")
        self._teams = {(team.division.code, team.name): team for team in teams}

    def apply(self, plan: Plan) -> None:
        changed = [row for row in plan.rows if row.kind == Kind.CHANGE]
        numbers = {row.key: row.values.number for row in changed if row.values and row.key and _renumbers(row)}
        if numbers:
            write_numbers(self._contest, numbers)
        self._change(changed)
        self._add([row.values for row in plan.rows if row.kind == Kind.ADD and row.values])
        drop_empty_teams(self._contest)

    def _change(self, rows: Sequence[PlannedRow]) -> None:
        people = self._contest.contestants.in_bulk([row.key for row in rows])
        for row in rows:
            assert row.key is not None and row.values is not None
            contestant, values = people[row.key], row.values
            contestant.division = self._divisions[values.division]
            contestant.team = self._team(values)
            contestant.first_name, contestant.last_name = values.first_name, values.last_name
            contestant.group = values.group
            contestant.show_name, contestant.present = values.show_name, values.present
        fields = ["division", "team", "first_name", "last_name", "group", "show_name", "present"]
        Contestant.objects.bulk_update(people.values(), fields, batch_size=BATCH)
        for row in rows:
            if row.key and any(change.field == "division" for change in row.changes):
                settle_cards(people[row.key])

    def _add(self, entries: Sequence[Values]) -> None:
        made = Contestant.objects.bulk_create(
            [
                Contestant(
                    contest=self._contest,
                    number=values.number,
                    division=self._divisions[values.division],
                    team=self._team(values),
                    first_name=values.first_name,
                    last_name=values.last_name,
                    group=values.group,
                    show_name=values.show_name,
                    present=values.present,
                )
                for values in entries
            ],
            batch_size=BATCH,
        )
        strays = Reading.objects.filter(
            judging_class__contest=self._contest, contestant__isnull=True, withdrawn_at__isnull=True
        )
        waited_for = set(strays.values_list("number", flat=True))
        for contestant in made:
            if contestant.number in waited_for:
                claim_strays(contestant)

    def _team(self, values: Values) -> Team | None:
        if not values.team:
            return None
        key = (values.division, values.team)
        if key not in self._teams:
            self._teams[key] = Team.objects.create(division=self._divisions[values.division], name=values.team)
        return self._teams[key]


def _renumbers(row: PlannedRow) -> bool:
    return any(change.field == "number" for change in row.changes)
