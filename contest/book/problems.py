"""What is wrong with a book, each with its file, line and reason, so that all of it can be mended in one go."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong. `line` counts from 1; 0 where the file as a whole is meant."""

    file: str
    line: int
    reason: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.reason}"


class BookProblems(Exception):
    """Raised for a book that cannot be used; holds every problem that could be found."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


class Problems:
    """Collects problems while a book is read."""

    def __init__(self) -> None:
        self._found: list[Problem] = []

    def add(self, file: str, line: int, reason: str) -> None:
        self._found.append(Problem(file, line, reason))

    def __bool__(self) -> bool:
        return bool(self._found)

    def raise_if_any(self) -> None:
        if self._found:
            raise BookProblems(tuple(self._found))
