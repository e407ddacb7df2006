"""What is wrong with a book, each with its file, line and reason, so that all of it can be mended in one go.

One mistake is often made in a thousand rows. `summed_up` therefore says what is alike once: two problems are alike when
they are of one file and their reasons differ in numbers and quoted values alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from scoring.core.texts import gettext as _
from scoring.core.texts import ngettext

MOST_PROBLEMS = 100_000
"""Where reading gives up: nobody mends more of a book by hand, and a file of nothing but mistakes would fill memory."""
LONGEST_REASON = 400
EXAMPLES = 3
KINDS = 20

_VALUE = re.compile(r"""'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*"|\d+(?:[.,]\d+)*""")
_ORDER = ("contest.toml", "entries.csv", "cards.csv", "reasons.csv", "marks.csv", "choices.csv", "panel.csv")
"""Each file speaks of what stands in those before it, so that a mistake there makes others here."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong. `line` counts from 1; 0 where the file as a whole is meant."""

    file: str
    line: int
    reason: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Alike:
    """Problems of one kind in one file, in the order of its lines: some to show, and how many there are besides."""

    shown: tuple[Problem, ...]
    more: int

    @property
    def rest(self) -> str:
        """What is not shown, in words; empty where all is."""
        if not self.more:
            return ""
        text = ngettext("and {count} more such row in {file}", "and {count} more such rows in {file}", self.more)
        return text.format(count=self.more, file=self.shown[0].file)


class BookProblems(Exception):
    """Raised for a book that cannot be used; holds every problem that could be found. Can be sent between processes."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(problems)
        self.problems = problems

    def __str__(self) -> str:
        return "\n".join(map(str, self.problems))


class Problems:
    """Collects problems while a book is read. Raises BookProblems where there are too many to go on."""

    def __init__(self) -> None:
        self._found: list[Problem] = []

    def add(self, file: str, line: int, reason: str) -> None:
        short = reason if len(reason) <= LONGEST_REASON else reason[:LONGEST_REASON] + "…"
        self._found.append(Problem(file, line, short))
        if len(self._found) == MOST_PROBLEMS:
            told = _("it was read no further: there are {count} problems already").format(count=MOST_PROBLEMS)
            self._found.append(Problem(file, 0, told))
            self.raise_if_any()

    def __bool__(self) -> bool:
        return bool(self._found)

    def raise_if_any(self) -> None:
        if self._found:
            raise BookProblems(tuple(self._found))


def grouped(problems: Iterable[Problem]) -> tuple[Alike, ...]:
    """The problems by kind, most important first: what a whole file is wrong in; then file by file in the order in
    which they rest on one another; in a file what the most rows share, for one thought mends all of those."""
    kinds: dict[tuple[str, bool, str], list[Problem]] = {}
    for problem in problems:
        kind = (problem.file, problem.line == 0, _VALUE.sub("#", problem.reason))
        kinds.setdefault(kind, []).append(problem)
    return tuple(Alike(tuple(alike[:EXAMPLES]), len(alike[EXAMPLES:])) for alike in sorted(kinds.values(), key=_weight))


def _weight(alike: list[Problem]) -> tuple[bool, int, int, int]:
    first = alike[0]
    rank = _ORDER.index(first.file) if first.file in _ORDER else -1
    return first.line > 0, rank, -len(alike), first.line


def summed_up(problems: tuple[Problem, ...]) -> Iterator[str]:
    """The problems as lines to read, what is alike said once and the rarest kinds counted only."""
    kinds = grouped(problems)
    for alike in kinds[:KINDS]:
        yield from map(str, alike.shown)
        if alike.rest:
            yield f"    {alike.rest}"
    if rest := kinds[KINDS:]:
        yield besides(rest)


def besides(kinds: tuple[Alike, ...]) -> str:
    """Says how many problems of other kinds there are."""
    count = sum(len(alike.shown) + alike.more for alike in kinds)
    text = ngettext("and {count} more of {kinds} other kind", "and {count} more of {kinds} other kinds", len(kinds))
    return text.format(count=count, kinds=len(kinds))
