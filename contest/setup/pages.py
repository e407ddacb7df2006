"""What the set-up page shows: every section of a contest's outline, with what it lacks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext, pgettext

from contest.models import Contest, TieStep
from contest.models import JudgingClass as ClassRow
from contest.setup.kinds import CATEGORIES, CLASSES, DIVISIONS, PARTS, SETS, RowKind
from contest.setup.presets import Preset
from contest.setup.ties import step_label, steps_offered
from scoring.core.explain import list_names, listed, part_in_words, rules_in_words, team_rule, tie_step
from scoring.core.placing import ANIMALS, PERFECT
from scoring.core.points import in_thousands
from scoring.core.record import JudgingClass, Part, Record

TIE_TITLES = {
    TieStep.Scope.INDIVIDUAL.value: gettext_noop("Equal totals of individuals"),
    TieStep.Scope.TEAM.value: gettext_noop("Equal totals of teams"),
}
TO_ADD = {
    TieStep.Scope.INDIVIDUAL.value: gettext_noop("Add this step for individual ties"),
    TieStep.Scope.TEAM.value: gettext_noop("Add this step for team ties"),
}


HANDLING = {"allowed": gettext_noop("handling allowed"), "forbidden": gettext_noop("no handling")}


@dataclass(frozen=True, slots=True)
class OutlineLine:
    """One row of a list that can be put in order. `key` names it in an order; `mark` stands before its name.

    `to_change`, `to_remove` and `to_void` say what its links do, for whoever cannot see where they stand.
    """

    key: str
    name: str
    mark: str = ""
    words: str = ""
    void: bool = False
    counts_again: bool = False
    to_change: str = ""
    to_remove: str = ""
    to_void: str = ""


@dataclass(frozen=True, slots=True)
class Listing:
    """A list that can be put in order: `kind` as addresses and anchors call it, `one` as templates ask for it."""

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
    of_the_day = {judged.number: _of_the_day(judged) for judged in contest.classes.all()}
    classes = {
        judged.number: "; ".join([class_in_words(judged, record), *of_the_day.get(judged.number, ())])
        for judged in record.classes
    }
    parts = {part.code: _part_in_words(part, record) for part in record.parts}
    return {
        "facts": _facts(contest),
        "rules_in_words": _rules(contest, record),
        "divisions": _listing(DIVISIONS, contest.divisions.all(), divisions),
        "categories": _listing(CATEGORIES, contest.categories.all(), {}),
        "classes": _listing(CLASSES, contest.classes.prefetch_related("class_divisions"), classes),
        "parts": _listing(PARTS, contest.parts.all(), parts),
        "sets": _listing(SETS, contest.sets.all(), _members(record)),
        "ties": [_ties(scope, record) for scope in TIE_TITLES],
        "contents": _contents(contest, record),
    }


def class_in_words(judged: JudgingClass, record: Record) -> str:
    """A class in one sentence: `Halter; judged by Junior and Senior; oral reasons: Senior.`"""
    names = record.division_names
    every = len(judged.divisions) == len(record.divisions) > 1
    divisions = listed(names[code] for code in judged.divisions)
    words = [list_names(record).get(judged.category) or _("no category")]
    if every:
        words.append(_("judged by all divisions"))
    else:
        words.append(_("judged by {divisions}").format(divisions=divisions) if divisions else _("judged by nobody yet"))
    if judged.reasons:
        words.append(_("oral reasons: {divisions}").format(divisions=listed(names[code] for code in judged.reasons)))
    if judged.full_points and not judged.void:
        words.append(_("full points for everybody"))
    if judged.void_divisions and not judged.void:
        void_for = listed(names[code] for code in judged.void_divisions)
        words.append(_("void for {divisions}").format(divisions=void_for))
    if not judged.places:
        words.append(_("no placing score"))
    elif judged.perfect != PERFECT:
        words.append(_("perfect score {points}").format(points=judged.perfect))
    if judged.places and judged.animals != ANIMALS:
        words.append(_("animals {animals}").format(animals=", ".join(judged.animals)))
    return "; ".join(words)


def _of_the_day(judged: ClassRow) -> list[str]:
    """What the day goes by in a class, besides its scoring."""
    minutes = judged.minutes or 0
    told = ngettext("{count} minute", "{count} minutes", minutes).format(count=minutes) if minutes else ""
    return [*filter(None, [told, *(_(HANDLING[rule]) for rule in (judged.handling,) if rule)])]


def preset_page(preset: Preset) -> dict[str, Any]:
    """Everything that a preset sets, in words, and what was read where."""
    record = preset.outline()
    least, most = preset.sizes
    return {
        "rules_in_words": rules_in_words(record.rules),
        "sizes": _("A team has {least} to {most} members.").format(least=least, most=most) if most else "",
        "divisions": [(division.code, division.name, " ".join(team_rule(division))) for division in record.divisions],
        "categories": [(category.code, category.name) for category in record.categories],
        "classes": [
            (judged.number, judged.name, "; ".join([class_in_words(judged, record), _minutes(preset, judged, record)]))
            for judged in record.classes
        ],
        "parts": [(part.code, part.name, _part_in_words(part, record)) for part in record.parts],
        "ties": [
            (_(TIE_TITLES[scope]), [tie_step(step, record) for step in steps])
            for scope, steps in zip(TIE_TITLES, (record.individual_ties, record.team_ties), strict=True)
        ],
        "said": [(_(said.what), said.source) for said in preset.said],
    }


def _minutes(preset: Preset, judged: JudgingClass, record: Record) -> str:
    minutes = preset.minutes.get(judged.number, record.rules.minutes_per_class)
    return ngettext("{count} minute", "{count} minutes", minutes).format(count=minutes)


def _members(record: Record) -> dict[str, str]:
    """How many contestants are in each set of results, by its code."""
    counts = Counter(member.set for member in record.members)
    return {
        of.code: ngettext("{count} contestant", "{count} contestants", counts[of.code]).format(
            count=in_thousands(counts[of.code])
        )
        for of in record.sets
    }


def _part_in_words(part: Part, record: Record) -> str:
    names = record.division_names
    divisions = listed(names[code] for code in part.divisions)
    done_by = _("done by {divisions}").format(divisions=divisions) if divisions else _("done by nobody yet")
    return "; ".join([list_names(record).get(part.category) or _("no category"), part_in_words(part), done_by])


def _listing(kind: RowKind[Any], rows: Iterable[Any], words: Mapping[Any, str]) -> Listing:
    lines = []
    for row in rows:
        mark = getattr(row, kind.plain[0])
        told = [f"{kind.say(text, row)}, {row.name}" for text in (kind.to_change, kind.to_remove)]
        void = getattr(row, "void", False)
        counts_again = (
            void
            or getattr(row, "full_points", False)
            or (kind is CLASSES and any(judges.void for judges in row.class_divisions.all()))
        )
        if kind is CLASSES:
            text = _("Let class {number} count again") if counts_again else _("Make class {number} void")
            told.append(text.format(number=mark))
        lines.append(OutlineLine(str(row.pk), row.name, str(mark), words.get(mark, ""), void, counts_again, *told))
    return Listing(kind.name, kind.one, lines)


def _facts(contest: Contest) -> list[str]:
    minutes = contest.minutes_per_class
    if contest.starts_at:
        text = ngettext(
            "{count} minute a class; starts at {time}.", "{count} minutes a class; starts at {time}.", minutes
        )
        return [text.format(count=minutes, time=contest.starts_at.strftime("%H:%M"))]
    text = ngettext(
        "{count} minute a class; no starting time yet.", "{count} minutes a class; no starting time yet.", minutes
    )
    return [text.format(count=minutes)]


def _rules(contest: Contest, record: Record) -> list[str]:
    words = rules_in_words(record.rules)
    if contest.same_reader_twice and contest.readings_per_card > 1:
        words[0] = _("Every card is read twice, by the same helper if need be.")
    return words


def _ties(scope: str, record: Record) -> dict[str, Any]:
    steps = record.team_ties if scope == TieStep.Scope.TEAM else record.individual_ties
    lines = [OutlineLine(step, step_label(step, record)) for step in steps]
    return {
        "scope": scope,
        "title": _(TIE_TITLES[scope]),
        "to_add": _(TO_ADD[scope]),
        "listing": Listing(f"ties-{scope}", "step", lines),
        "offered": [(step, step_label(step, record)) for step in steps_offered(record, scope)],
    }


def _contents(contest: Contest, record: Record) -> list[dict[str, str]]:
    """The sections in the order in which a contest is set up, each with how far it is."""
    here = [
        ("facts", _("Facts"), "" if contest.held_on else _("no date yet")),
        ("rules", _("Rules"), ""),
        ("divisions", _("Divisions"), _how_many(record.divisions, _("none yet"))),
        ("categories", _("Categories"), _how_many(record.categories, pgettext("no categories or parts", "none"))),
        ("classes", _("Classes"), _how_many(record.classes, _("none yet"))),
        ("parts", _("Other parts"), _how_many(record.parts, pgettext("no categories or parts", "none"))),
        ("sets", _("Sets of results"), _how_many(record.sets, pgettext("no sets of results", "one for all"))),
        ("ties-individual", _("Ties of individuals"), _how_many(record.individual_ties, _("ranks are shared"))),
        ("ties-team", _("Ties of teams"), _how_many(record.team_ties, _("ranks are shared"))),
    ]
    return [{"anchor": anchor, "title": title, "state": state} for anchor, title, state in here]


def _how_many(rows: tuple[Any, ...], none: str) -> str:
    return str(len(rows)) if rows else none


def order_in_words(kind: str, order: list[str], listing: Listing, record: Record) -> str:
    """An order that somebody asked for, by name, where it can no longer be made as it is."""
    names = {line.key: line.name for line in listing.lines}
    return listed(names.get(key) or (tie_step(key, record) if kind.startswith("ties") else key) for key in order)
