"""Making a contest, and the facts and rules that hold for all of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from contest.changes import changes, take_turn
from contest.models import Contest
from contest.records import load_record, save_record
from contest.setup.presets import Preset
from contest.setup.values import FACTS, RULES, check_fingerprint, plain_values, write_down
from contest.slips.resettling import resettle_contest
from contest.trail import record_change, sentence
from contest.trail.sentences import Sentence
from scoring.core.record import Record

SETTLING = ("readings_per_card", "same_reader_twice")
"""The rules that say how many readings settle a card."""


@changes
def create_contest(name: str, held_on: date | None, place: str, by: str) -> Contest:
    """Make an empty contest with the usual rules."""
    contest = Contest.objects.create(name=name, held_on=held_on, place=place)
    record_change(contest, by, sentence("contest_made"), after={"name": name})
    return contest


@changes
def create_from_preset(preset: Preset, name: str, held_on: date | None, place: str, by: str) -> Contest:
    """Make a contest of a preset's outline and rules, with nobody in it. All of it can be changed in the set-up."""
    outline = preset.outline()
    contest = save_record(replace(outline, rules=replace(outline.rules, name=name, held_on=held_on, place=place)), by)
    for number, minutes in preset.minutes.items():
        contest.classes.filter(number=number).update(minutes=minutes)
    least, most = preset.sizes
    contest.divisions.update(team_least=least, team_most=most)
    what = sentence("preset_taken", preset=sentence(f"preset_{preset.code}"))
    record_change(contest, by, what, after={"name": name})
    contest.refresh_from_db()
    return contest


@changes
def copy_contest(contest: Contest, name: str, held_on: date | None, by: str) -> Contest:
    """Make a new contest with the outline and rules of an earlier one, but nothing of its people and its day.

    Entries, cards, reasons scores, marks and keys stay behind, and no class of the copy is void.
    """
    _revision, record = load_record(contest.pk)
    copy = save_record(_without_its_day(record, name, held_on), by)
    _copy_what_no_record_holds(contest, copy)
    record_change(copy, by, sentence("outline_copied", contest=contest.name), after={"contest": contest.pk})
    copy.refresh_from_db()
    return copy


def _copy_what_no_record_holds(contest: Contest, copy: Contest) -> None:
    for judged in contest.classes.all():
        copy.classes.filter(number=judged.number).update(minutes=judged.minutes, handling=judged.handling)
    for division in contest.divisions.all():
        copy.divisions.filter(code=division.code).update(
            team_least=division.team_least,
            team_most=division.team_most,
            alternates_compete=division.alternates_compete,
        )


def _without_its_day(record: Record, name: str, held_on: date | None) -> Record:
    return Record(
        rules=replace(record.rules, name=name, held_on=held_on),
        divisions=record.divisions,
        categories=record.categories,
        classes=tuple(
            replace(judged, official=None, cuts=None, void=False, void_divisions=(), full_points=False)
            for judged in record.classes
        ),
        parts=record.parts,
        individual_ties=record.individual_ties,
        team_ties=record.team_ties,
        sets=record.sets,
    )


@changes
def change_facts(contest: Contest, by: str, mark: str | None = None, **values: Any) -> Contest:
    """Change what the contest is called, when and where it is, how it is timed and how people are shown.

    `values` are of FACTS. Raises ChangedMeanwhile where `mark` (see `values.fingerprint`) is no longer true.
    """
    return _change(contest, by, sentence("facts_changed"), FACTS, mark, values)


@changes
def change_rules(contest: Contest, by: str, mark: str | None = None, **values: Any) -> Contest:
    """Change the rules of scoring and of reading cards; `values` are of RULES.

    How many readings settle a card decides anew about every card read so far. Raises ChangedMeanwhile.
    """
    return _change(contest, by, sentence("rules_changed"), RULES, mark, values)


def _change(
    contest: Contest, by: str, what: Sentence, fields: tuple[str, ...], mark: str | None, values: dict[str, Any]
) -> Contest:
    take_turn(contest.pk)
    contest.refresh_from_db()
    before = plain_values(contest, fields)
    check_fingerprint(before, mark)
    for field in fields:
        if field in values:
            setattr(contest, field, values[field])
    contest.save(update_fields=list(fields))
    if any(name in before and before[name] != getattr(contest, name) for name in SETTLING):
        resettle_contest(contest)
    write_down(contest, by, what, before, plain_values(contest, fields))
    return contest
