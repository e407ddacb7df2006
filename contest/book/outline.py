"""contest.toml: the rules, divisions, categories, classes, parts and tie orders of a contest."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Collection
from dataclasses import replace
from typing import Any, TypeVar

from contest.book.files import CONTEST
from contest.book.problems import Problems
from contest.book.sections import REQUIRED, Lines, Section
from contest.book.text import LARGEST_NUMBER
from scoring.core.deciding import HOW
from scoring.core.placing import ANIMALS, why_not_a_placing, why_not_animals, why_not_cuts, why_not_labels
from scoring.core.record import (
    FEWEST_TO_KEEP_FROM,
    MOST_REASONS,
    MOST_TO_KEEP_FROM,
    Category,
    DecidedTie,
    Division,
    JudgingClass,
    Part,
    Record,
    ResultSet,
    Rules,
)
from scoring.core.result import OVERALL, PLACING, REASONS
from scoring.core.steps import STEPS, Reference, Step, possible_steps
from scoring.core.texts import gettext as _

FORMAT = 1
MOST_MINUTES = 240
"""The most that judging one class can be set to take."""

LARGEST_POINTS = 10_000
"""The most that a perfect score, a cut or a part can be set to: far above any rulebook, low enough to catch a slip."""


_TABLES = ("contest", "division", "category", "class", "part", "ties", "set", "decided")
Made = TypeVar("Made")


def read_outline(text: str, problems: Problems) -> Record | None:
    """The record that contest.toml describes, without people and scores; None where the TOML itself is broken."""
    try:
        values = tomllib.loads(text)
        _refuse_oversized(values)
    except tomllib.TOMLDecodeError as error:
        reason, _at, place = str(error).partition(" (at ")
        line = int(place.split()[1].rstrip(",")) if place.startswith("line ") else text.count("\n") + 1
        problems.add(CONTEST, line, _("this is not valid TOML: {reason}").format(reason=reason))
        return None
    except (ValueError, RecursionError):
        problems.add(CONTEST, 0, _("it holds a number too long or brackets too deep for TOML to be read"))
        return None
    return _Outline(values, Lines(text), problems).record()


class _Outline:
    def __init__(self, values: dict[str, Any], lines: Lines, problems: Problems) -> None:
        self._values = values
        self._lines = lines
        self._problems = problems

    def record(self) -> Record:
        top = Section(self._values, self._lines, self._problems, "")
        top.whole("format", REQUIRED, FORMAT, FORMAT)
        for name in self._values:
            if name not in ("format", *_TABLES):
                told = _("{name!r} is not a part of contest.toml; known: {known}")
                top.problem(name, told.format(name=name, known=", ".join(("format", *_TABLES))))

        rules = self._rules(self._table("contest", required=True))
        divisions = self._tables("division", self._division, "code")
        categories = self._tables("category", self._category, "code")
        division_codes = {division.code for division in divisions}
        category_codes = {category.code for category in categories}
        classes = self._tables("class", lambda s: self._class(s, division_codes, category_codes), "number")
        parts = self._tables("part", lambda s: self._part(s, division_codes, category_codes), "code")

        named: dict[Reference, Collection[object]] = {
            "class": [judged.number for judged in classes],
            "category": category_codes,
            "part": [part.code for part in parts],
        }
        ties = self._table("ties", required=False)
        individual = self._steps(ties, "individual", possible_steps(named, of_teams=False))
        team = self._steps(ties, "team", possible_steps(named, of_teams=True))
        ties.refuse_unknown_keys()
        lists = {OVERALL, PLACING, REASONS, *category_codes}
        outline = Record(rules, divisions, categories, classes, parts, individual, team)
        outline = replace(outline, sets=self._tables("set", self._set, "code"))
        listed = {division.code for division in outline.listed_divisions}
        decided = self._tables("decided", lambda s: self._decided(s, listed, lists), "key")
        return replace(outline, decided=decided)

    def _table(self, name: str, required: bool) -> Section:
        values = self._values.get(name, {})
        section = Section(values if isinstance(values, dict) else {}, self._lines, self._problems, name)
        if not isinstance(values, dict):
            section.problem("", _("[{name}] stands once, in single brackets").format(name=name))
        elif required and name not in self._values:
            section.problem("", _("[{name}] is missing").format(name=name))
        return section

    def _tables(self, name: str, make: Callable[[Section], Made], identity: str) -> tuple[Made, ...]:
        listed = self._values.get(name, [])
        if not isinstance(listed, list) or not all(isinstance(values, dict) for values in listed):
            told = _("write [[{name}]], in double brackets").format(name=name)
            Section({}, self._lines, self._problems, name).problem("", told)
            return ()
        made: dict[Any, Made] = {}
        for index, values in enumerate(listed):
            section = Section(values, self._lines, self._problems, name, index)
            item = make(section)
            section.refuse_unknown_keys()
            key = getattr(item, identity)
            if key in made:
                section.problem(identity, _("{name} {key} is defined twice").format(name=name, key=key))
            made[key] = item
        return tuple(made.values())

    def _rules(self, section: Section) -> Rules:
        rules = Rules(
            name=section.text("name"),
            held_on=section.day("held_on"),
            place=section.text("place", ""),
            readings_per_card=section.whole("readings_per_card", 2, 1, 2),
            show_people_as=section.choice("show_people_as", "number", ("number", "initials", "name")),
            negative_scores=section.choice("negative_scores", "keep", ("keep", "zero")),
            unreadable_card=section.choice("unreadable_card", "zero", ("zero", "lowest")),
            reasons_in_category=section.flag("reasons_in_category", True),
            reasons_standardised=section.flag("reasons_standardised", False),
            same_reader_twice=section.flag("same_reader_twice", False),
            starts_at=section.time_of_day("starts_at"),
            minutes_per_class=section.whole("minutes_per_class", 12, 1, MOST_MINUTES),
        )
        section.refuse_unknown_keys()
        return rules

    def _division(self, section: Section) -> Division:
        return Division(
            code=section.code(),
            name=section.text("name"),
            team_counting=section.whole("team_counting", REQUIRED, 0, 1000),
            short_team=section.choice("short_team", "zero", ("zero", "unranked")),
            counting_members=section.choice("counting_members", "fixed", ("fixed", "each")),
            reasons_least=section.whole("reasons_least", 0, 0, MOST_REASONS),
        )

    def _set(self, section: Section) -> ResultSet:
        return ResultSet(code=section.code(), name=section.text("name"))

    def _category(self, section: Section) -> Category:
        code = section.code()
        if code.lower() in (OVERALL, PLACING, REASONS):
            told = _("{code!r} is already the name of a list; give the category another code")
            section.problem("code", told.format(code=code))
        return Category(code=code, name=section.text("name"))

    def _class(self, section: Section, divisions: Collection[str], categories: Collection[str]) -> JudgingClass:
        judging = section.references("divisions", divisions, "division")
        giving = section.references("reasons", divisions, "division", default=())
        for code in giving:
            if code not in judging:
                told = _("division {code} gives reasons on this class but does not judge it")
                section.problem("reasons", told.format(code=code))
        void_for = section.references("void_divisions", divisions, "division", default=())
        for code in void_for:
            if code not in judging:
                told = _("this class is void for division {code}, which does not judge it")
                section.problem("void_divisions", told.format(code=code))
        animals = section.text("animals", ANIMALS)
        if reason := why_not_animals(animals):
            section.problem("animals", _("animals: {reason}").format(reason=reason))
            animals = ANIMALS
        official, cuts = self._key(section, animals)
        return JudgingClass(
            number=section.whole("number", REQUIRED, 1, LARGEST_NUMBER),
            name=section.text("name"),
            divisions=judging,
            category=section.reference("category", categories, "category"),
            places=section.flag("places", True),
            reasons=tuple(code for code in judging if code in giving),
            perfect=section.whole("perfect", 50, 1, LARGEST_POINTS),
            official=official,
            cuts=cuts,
            void=section.flag("void", False),
            void_divisions=tuple(code for code in judging if code in void_for),
            animals=animals,
            full_points=section.flag("full_points", False),
        )

    def _key(self, section: Section, animals: str) -> tuple[str | None, tuple[int, ...] | None]:
        official, cuts = section.value("official"), section.value("cuts")
        if official is not None and not isinstance(official, str):
            told = _('official is {value!r}; write the placing in quotes, such as "3124"')
            section.problem("official", told.format(value=official))
        elif official is not None and (reason := why_not_a_placing(official, animals)):
            section.problem("official", _("official placing: {reason}").format(reason=reason))
        elif official is not None and cuts is None:
            told = _("the cuts are missing; give top, middle and bottom, such as cuts = [3, 5, 2]")
            section.problem("official", told)
        if cuts is None:
            return None, None
        if not isinstance(cuts, list):
            told = _("cuts is {value!r}; write three whole numbers, such as [3, 5, 2]")
            section.problem("cuts", told.format(value=cuts))
        elif reason := why_not_cuts(cuts, len(animals)):
            section.problem("cuts", reason)
        elif max(cuts) > LARGEST_POINTS:
            told = _("a cut of {cut} cannot be meant; the most is {most}")
            section.problem("cuts", told.format(cut=max(cuts), most=LARGEST_POINTS))
        elif official is None:
            told = _("the official placing is missing; add it, or leave the cuts out until it is in")
            section.problem("cuts", told)
        elif isinstance(official, str):
            return official, tuple(cuts)
        return None, None

    def _part(self, section: Section, divisions: Collection[str], categories: Collection[str]) -> Part:
        if section.has("animals"):
            return self._keep_or_cull(section, divisions, categories)
        return Part(
            code=section.code(),
            name=section.text("name"),
            divisions=section.references("divisions", divisions, "division"),
            most=section.whole("most", REQUIRED, 1, LARGEST_POINTS),
            scope=section.choice("scope", REQUIRED, ("individual", "team")),
            category=section.reference("category", categories, "category"),
        )

    def _keep_or_cull(self, section: Section, divisions: Collection[str], categories: Collection[str]) -> Part:
        animals = section.text("animals")
        if not FEWEST_TO_KEEP_FROM <= len(animals) <= MOST_TO_KEEP_FROM:
            told = _("animals is {value!r}; a keep/cull part has {fewest} to {most}")
            section.problem("animals", told.format(value=animals, fewest=FEWEST_TO_KEEP_FROM, most=MOST_TO_KEEP_FROM))
        elif reason := why_not_labels(animals):
            section.problem("animals", _("animals: {reason}").format(reason=reason))
        keep = section.whole("keep", REQUIRED, 1, max(1, len(animals) - 1))
        values = self._values_of(section, len(animals))
        if section.value("most") is not None:
            section.problem("most", _("a keep/cull part has no most: its values say what it gives"))
        section.choice("scope", REQUIRED, ("individual",))
        return Part(
            code=section.code(),
            name=section.text("name"),
            divisions=section.references("divisions", divisions, "division"),
            most=sum(sorted(values or (), reverse=True)[:keep]),
            scope="individual",
            category=section.reference("category", categories, "category"),
            animals=animals,
            keep=keep,
            values=values,
        )

    def _values_of(self, section: Section, animals: int) -> tuple[int, ...] | None:
        values = section.value("values")
        if values is None:
            return None
        if not isinstance(values, list) or len(values) != animals:
            told = _("values is {value!r}; write a whole number for each of the {count} animals, in their order")
            section.problem("values", told.format(value=values, count=animals))
            return None
        for value in values:
            if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= LARGEST_POINTS:
                told = _("values has {value!r}; a value is a whole number from 0 to {most}")
                section.problem("values", told.format(value=value, most=LARGEST_POINTS))
                return None
        return tuple(values)

    def _decided(self, section: Section, divisions: Collection[str], lists: Collection[str]) -> DecidedTie:
        order = section.texts("order", ())
        if len(order) < 2 or len(set(order)) < len(order):
            section.problem("order", _("order names two or more, each once, the first one first"))
        return DecidedTie(
            division=section.reference("division", divisions, "division"),
            list=section.reference("list", lists, "list"),
            kind=section.choice("kind", REQUIRED, ("individuals", "teams")),
            order=order,
            how=section.choice("how", REQUIRED, HOW),
            reason=section.text("reason"),
        )

    def _steps(self, section: Section, key: str, known: Collection[str]) -> tuple[str, ...]:
        steps = section.texts(key, ())
        for step in steps:
            if step not in known:
                section.problem(key, _why_no_step(step))
        return tuple(step for step in steps if step in known)


def _why_no_step(written: str) -> str:
    code, colon, name = written.partition(":")
    step = STEPS.get(code)
    if step and colon and step.looks_at:
        told = _("{step!r} is not a tie step here: {code} {name!r} is not defined in this file")
        return told.format(step=written, code=code, name=name)
    if step and not colon and step.teams_only:
        return _("{step!r} is not a tie step here: {code} separates teams only").format(step=written, code=code)
    told = _("{step!r} is not a tie step here; the steps are {steps}")
    return told.format(step=written, steps=", ".join(map(_in_general, STEPS.values())))


def _in_general(step: Step) -> str:
    return step.written("N" if step.looks_at == "class" else "CODE")


def _refuse_oversized(value: object) -> None:
    """Raise ValueError for a whole number beyond TOML's 64 bits, which this parser lets through."""
    if isinstance(value, int) and not -(2**63) <= value < 2**63:
        raise ValueError
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            _refuse_oversized(item)
