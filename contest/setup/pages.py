"""What the set-up page shows: every section of a contest's outline, with what it lacks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from contest.models import Contest, TieStep
from contest.setup.ties import step_label, steps_offered
from scoring.core.explain import counted, list_names, listed, part_in_words, rules_in_words, team_rule, tie_step
from scoring.core.placing import PERFECT
from scoring.core.record import JudgingClass, Part, Record

TIE_TITLES = {
    TieStep.Scope.INDIVIDUAL.value: "Equal totals of individuals",
    TieStep.Scope.TEAM.value: "Equal totals of teams",
}


@dataclass(frozen=True, slots=True)
class OutlineLine:
    """One row of a list that can be put in order. `key` names it in an order; `mark` stands before its name."""

    key: str
    name: str
    mark: str = ""
    words: str = ""
    void: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """A list that can be put in order: `kind` as addresses and anchors call it, `one` as people do."""

    kind: str
    one: str
    lines: list[OutlineLine] = field(default_factory=list)

    @property
    def order(self) -> str:
        """The order as the page shows it, for whoever changes it."""
        return " ".join(line.key for line in self.lines)


def setup_page(contest: Contest, record: Record) -> dict[str, Any]:
    """Everything the set-up page shows. Keys come from the database's rows, words from the record."""
    divisions = {division.code: " ".join(team_rule(division)) for division in record.divisions}
    classes = {judged.number: class_in_words(judged, record) for judged in record.classes}
    parts = {part.code: _part_in_words(part, record) for part in record.parts}
    return {
        "facts": _facts(contest),
        "rules_in_words": _rules(contest, record),
        "divisions": Listing("divisions", "division", _coded(contest.divisions.all(), divisions)),
        "categories": Listing("categories", "category", _coded(contest.categories.all(), {})),
        "classes": Listing(
            "classes",
            "class",
            [
                OutlineLine(str(row.pk), row.name, str(row.number), classes.get(row.number, ""), row.void)
                for row in contest.classes.all()
            ],
        ),
        "parts": Listing("parts", "part", _coded(contest.parts.all(), parts)),
        "ties": [_ties(scope, record) for scope in TIE_TITLES],
        "contents": _contents(contest, record),
    }


def class_in_words(judged: JudgingClass, record: Record) -> str:
    """A class in one sentence: `Halter; judged by Junior and Senior; oral reasons: Senior.`"""
    names = {division.code: division.name for division in record.divisions}
    every = len(judged.divisions) == len(names) > 1
    whom = "all divisions" if every else listed(names[code] for code in judged.divisions) or "nobody yet"
    words = [list_names(record).get(judged.category, "no category"), f"judged by {whom}"]
    if judged.reasons:
        words.append(f"oral reasons: {listed(names[code] for code in judged.reasons)}")
    if not judged.places:
        words.append("no placing score")
    elif judged.perfect != PERFECT:
        words.append(f"perfect score {judged.perfect}")
    return "; ".join(words)


def _part_in_words(part: Part, record: Record) -> str:
    names = {division.code: division.name for division in record.divisions}
    whom = listed(names[code] for code in part.divisions) or "nobody yet"
    return "; ".join([list_names(record).get(part.category, "no category"), part_in_words(part), f"done by {whom}"])


def _coded(rows: Iterable[Any], words: dict[str, str]) -> list[OutlineLine]:
    return [OutlineLine(str(row.pk), row.name, row.code, words.get(row.code, "")) for row in rows]


def _facts(contest: Contest) -> list[str]:
    starts = f"starts at {contest.starts_at:%H:%M}" if contest.starts_at else "no starting time yet"
    return [f"{counted(contest.minutes_per_class, 'minute')} a class; {starts}."]


def _rules(contest: Contest, record: Record) -> list[str]:
    words = rules_in_words(record.rules)
    if contest.same_reader_twice and contest.readings_per_card > 1:
        words[0] = "Every card is read twice, by the same helper if need be."
    return words


def _ties(scope: str, record: Record) -> dict[str, Any]:
    steps = record.team_ties if scope == TieStep.Scope.TEAM else record.individual_ties
    lines = [OutlineLine(step, step_label(step, record)) for step in steps]
    return {
        "scope": scope,
        "title": TIE_TITLES[scope],
        "listing": Listing(f"ties-{scope}", "step", lines),
        "offered": [(step, step_label(step, record)) for step in steps_offered(record, scope)],
    }


def _contents(contest: Contest, record: Record) -> list[dict[str, str]]:
    """The sections in the order in which a contest is set up, each with how far it is."""
    here = [
        ("facts", "Facts", "" if contest.held_on else "no date yet"),
        ("rules", "Rules", ""),
        ("divisions", "Divisions", _how_many(record.divisions, "none yet")),
        ("categories", "Categories", _how_many(record.categories, "none")),
        ("classes", "Classes", _how_many(record.classes, "none yet")),
        ("parts", "Other parts", _how_many(record.parts, "none")),
        ("ties-individual", "Ties of individuals", _how_many(record.individual_ties, "ranks are shared")),
        ("ties-team", "Ties of teams", _how_many(record.team_ties, "ranks are shared")),
    ]
    return [{"anchor": anchor, "title": title, "state": state} for anchor, title, state in here]


def _how_many(rows: tuple[Any, ...], none: str) -> str:
    return str(len(rows)) if rows else none


def order_in_words(kind: str, order: list[str], listing: Listing, record: Record) -> str:
    """An order that somebody asked for, by name, where it can no longer be made as it is."""
    names = {line.key: line.name for line in listing.lines}
    return listed(names.get(key) or (tie_step(key, record) if kind.startswith("ties") else key) for key in order)
