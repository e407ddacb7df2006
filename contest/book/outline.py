"""contest.toml: the rules, divisions, categories, classes, parts and tie orders of a contest."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Collection
from typing import Any, TypeVar

from contest.book.files import CONTEST
from contest.book.problems import Problems
from contest.book.sections import REQUIRED, Lines, Section
from contest.book.text import LARGEST_NUMBER
from scoring.core.placing import why_not_a_placing, why_not_cuts
from scoring.core.record import Category, Division, JudgingClass, Part, Record, Rules
from scoring.core.result import OVERALL, PLACING, REASONS
from scoring.core.steps import STEPS, Reference, Step, possible_steps

FORMAT = 1
MOST_MINUTES = 240
"""The most that judging one class can be set to take."""

LARGEST_POINTS = 10_000
"""The most that a perfect score, a cut or a part can be set to: far above any rulebook, low enough to catch a slip."""

_TABLES = ("contest", "division", "category", "class", "part", "ties")
Made = TypeVar("Made")


def read_outline(text: str, problems: Problems) -> Record | None:
    """The record that contest.toml describes, without people and scores; None where the TOML itself is broken."""
    try:
        values = tomllib.loads(text)
        _refuse_oversized(values)
    except tomllib.TOMLDecodeError as error:
        reason, _, place = str(error).partition(" (at ")
        line = int(place.split()[1].rstrip(",")) if place.startswith("line ") else text.count("\n") + 1
        problems.add(CONTEST, line, f"this is not valid TOML: {reason}")
        return None
    except (ValueError, RecursionError):
        problems.add(CONTEST, 0, "it holds a number too long or brackets too deep for TOML to be read")
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
                top.problem(name, f"{name!r} is not a part of contest.toml; known: format, {', '.join(_TABLES)}")

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
        return Record(rules, divisions, categories, classes, parts, individual, team)

    def _table(self, name: str, required: bool) -> Section:
        values = self._values.get(name, {})
        section = Section(values if isinstance(values, dict) else {}, self._lines, self._problems, name)
        if not isinstance(values, dict):
            section.problem("", f"[{name}] stands once, in single brackets")
        elif required and name not in self._values:
            section.problem("", f"[{name}] is missing")
        return section

    def _tables(self, name: str, make: Callable[[Section], Made], identity: str) -> tuple[Made, ...]:
        listed = self._values.get(name, [])
        if not isinstance(listed, list) or not all(isinstance(values, dict) for values in listed):
            Section({}, self._lines, self._problems, name).problem("", f"write [[{name}]], in double brackets")
            return ()
        made: dict[Any, Made] = {}
        for index, values in enumerate(listed):
            section = Section(values, self._lines, self._problems, name, index)
            item = make(section)
            section.refuse_unknown_keys()
            key = getattr(item, identity)
            if key in made:
                section.problem(identity, f"{name} {key} is defined twice")
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
        )

    def _category(self, section: Section) -> Category:
        code = section.code()
        if code.lower() in (OVERALL, PLACING, REASONS):
            section.problem("code", f"{code!r} is already the name of a list; give the category another code")
        return Category(code=code, name=section.text("name"))

    def _class(self, section: Section, divisions: Collection[str], categories: Collection[str]) -> JudgingClass:
        judging = section.references("divisions", divisions, "division")
        giving = section.references("reasons", divisions, "division", default=())
        for code in giving:
            if code not in judging:
                section.problem("reasons", f"division {code} gives reasons on this class but does not judge it")
        official, cuts = self._key(section)
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
        )

    def _key(self, section: Section) -> tuple[str | None, tuple[int, int, int] | None]:
        official, cuts = section.value("official"), section.value("cuts")
        if official is not None and not isinstance(official, str):
            section.problem("official", f'official is {official!r}; write the placing in quotes, such as "3124"')
        elif official is not None and (reason := why_not_a_placing(official)):
            section.problem("official", f"official placing: {reason}")
        elif official is not None and cuts is None:
            section.problem("official", "the cuts are missing; give top, middle and bottom, such as cuts = [3, 5, 2]")
        if cuts is None:
            return None, None
        if not isinstance(cuts, list):
            section.problem("cuts", f"cuts is {cuts!r}; write three whole numbers, such as [3, 5, 2]")
        elif reason := why_not_cuts(cuts):
            section.problem("cuts", reason)
        elif max(cuts) > LARGEST_POINTS:
            section.problem("cuts", f"a cut of {max(cuts)} cannot be meant; the most is {LARGEST_POINTS}")
        elif official is None:
            section.problem("cuts", "the official placing is missing; add it, or leave the cuts out until it is in")
        elif isinstance(official, str):
            return official, (cuts[0], cuts[1], cuts[2])
        return None, None

    def _part(self, section: Section, divisions: Collection[str], categories: Collection[str]) -> Part:
        return Part(
            code=section.code(),
            name=section.text("name"),
            divisions=section.references("divisions", divisions, "division"),
            most=section.whole("most", REQUIRED, 1, LARGEST_POINTS),
            scope=section.choice("scope", REQUIRED, ("individual", "team")),
            category=section.reference("category", categories, "category"),
        )

    def _steps(self, section: Section, key: str, known: Collection[str]) -> tuple[str, ...]:
        steps = section.texts(key, ())
        for step in steps:
            if step not in known:
                section.problem(key, f"{step!r} is not a tie step here{_step_hint(step)}")
        return tuple(step for step in steps if step in known)


def _step_hint(written: str) -> str:
    code, colon, name = written.partition(":")
    step = STEPS.get(code)
    if step and colon and step.looks_at:
        return f": {code} {name!r} is not defined in this file"
    if step and not colon and step.teams_only:
        return f": {code} separates teams only"
    return f"; the steps are {', '.join(map(_in_general, STEPS.values()))}"


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
