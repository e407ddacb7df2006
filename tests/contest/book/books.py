"""Books in a few lines: one sound book, and what its reader says of one that was changed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from contest.book import BookProblems, read_book
from scoring.core.record import Record

CONTEST = """\
format = 1

[contest]
name = "Fall Contest"
held_on = 2026-10-17

[[division]]
code = "SR"
name = "Senior"
team_counting = 3

[[division]]
code = "JR"
name = "Junior"
team_counting = 0

[[category]]
code = "HAL"
name = "Halter"

[[class]]
number = 1
name = "Aged geldings"
category = "HAL"
divisions = ["SR", "JR"]
reasons = ["SR"]
official = "3124"
cuts = [3, 5, 2]

[[class]]
number = 2
name = "Reasons only"
divisions = ["SR"]
places = false
reasons = ["SR"]

[[part]]
code = "QUEST"
name = "Questions"
divisions = ["JR"]
most = 50
scope = "individual"

[[part]]
code = "TEAM"
name = "Team work"
divisions = ["SR"]
most = 100
scope = "team"

[ties]
individual = ["reasons", "class:1", "part:QUEST"]
team = ["reasons", "category:HAL", "left-out"]
"""
ENTRIES = """\
number,division,team,first_name,last_name,role,group,present
1,SR,Oak,Ann,Reed,member,A,yes
2,SR,,Bo,Vale,individual,B,yes
3,JR,Elm,Cy,Pine,member,,
"""
CARDS = "class,number,placing,second\n1,1,3124,3124\n1,2,unreadable,\n1,3,,\n"
REASONS = "class,number,official,score\n1,1,A,44.5\n1,1,B,43\n2,2,A,40\n"
MARKS = "part,number,team,division,points\nQUEST,3,,,41.25\nTEAM,,Oak,SR,90\n"

SOUND = {
    "contest.toml": CONTEST,
    "entries.csv": ENTRIES,
    "cards.csv": CARDS,
    "reasons.csv": REASONS,
    "marks.csv": MARKS,
}
MINIMAL = 'format = 1\n[contest]\nname = "Small"\n'


def lay_out(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return folder


def read_with(folder: Path, **changed: str | bytes) -> Record:
    """The record of the sound book with some of its files changed: `entries=...` is entries.csv."""
    files: dict[str, str | bytes] = dict(SOUND)
    for name, content in changed.items():
        files["contest.toml" if name == "contest" else f"{name}.csv"] = content
    return read_book(lay_out(folder / "book", files))


def problems_of(path: Path) -> list[tuple[str, int, str]]:
    """File, line and reason of every problem of a book that must have some."""
    with pytest.raises(BookProblems) as caught:
        read_book(path)
    assert caught.value.problems
    return [(problem.file, problem.line, problem.reason) for problem in caught.value.problems]


def problems_with(folder: Path, **changed: str | bytes) -> list[tuple[str, int, str]]:
    with pytest.raises(BookProblems) as caught:
        read_with(folder, **changed)
    assert caught.value.problems
    return [(problem.file, problem.line, problem.reason) for problem in caught.value.problems]


def line_of(text: str, part: str) -> int:
    """The number of the one line of `text` that holds `part`."""
    lines = [number for number, line in enumerate(text.splitlines(), start=1) if part in line]
    assert len(lines) == 1, (part, lines)
    return lines[0]
