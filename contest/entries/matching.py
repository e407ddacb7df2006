"""What the columns of an entry list are, guessed from their headings and from what stands in them. Plain Python."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache

from contest.book.entry_columns import (
    CAME_FROM,
    DIVISION,
    FIRST,
    GROUP,
    LAST,
    NAME,
    NUMBER,
    PRESENT,
    ROLE,
    SETS,
    SHOW_NAME,
    TEAM,
)

HEADINGS = {
    NUMBER: "number|no|nr|num|#|contestant number|contestant no|contestant #|contestant|exhibitor|exhibitor number"
    "|exhibitor no|exhibitor #|back number|entry number|id|bib",
    FIRST: "first|first name|given|given name|given names|forename|fname|preferred name",
    LAST: "last|last name|surname|family|family name|lname",
    NAME: "name|full name|whole name|contestant name|exhibitor name|participant|participant name|member name|student"
    "|student name|youth|judge name|member",
    TEAM: "team|team name|school|school name|club|club name|county|chapter|chapter name|unit",
    DIVISION: "division|div|age|age group|age division|level|category|section",
    GROUP: "group|grp|rotation|rotation group|ring group",
    ROLE: "role|member or individual|entry type|competes as|individual",
    SHOW_NAME: "show name|name may be shown|publish name|photo release|media release",
    PRESENT: "present|attending|here",
    CAME_FROM: "came from|from|coming from|home county|qualified at|qualifier|origin",
    SETS: "sets|set|sets of results|result sets|result set|counts for",
}
MOST_LINES_ABOVE = 10
NEARLY = 0.8
"""From this share of letters in common on, a name may be another one mistyped."""
COLOURS = {"red", "blue", "green", "gold", "white", "black", "silver", "purple", "orange", "yellow", "ii", "iii", "iv"}
PARTICLES = {"al", "bin", "da", "de", "del", "den", "der", "di", "dos", "du", "la", "le", "san", "van", "von", "zu"}


@dataclass(frozen=True, slots=True)
class Guess:
    """Where the headings are (an index into the lines; None where there are none), and the field of each column."""

    headings: int | None
    columns: tuple[str, ...]


def words(text: str) -> tuple[str, ...]:
    """The words of a text, without accents, case or punctuation; `#` is a word of its own."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(character for character in plain if not unicodedata.combining(character))
    return tuple(re.findall(r"#|[^\W_]+", plain))


NUMBER_OR_NAME = {("contestant",), ("exhibitor",)}
"""Headings that stand above names as often as above numbers."""

_KNOWN = [(field, words(heading)) for field, headings in HEADINGS.items() for heading in headings.split("|")]


def guess(lines: Sequence[Sequence[str]]) -> Guess:
    """Which line holds the headings, and what the columns are. A field is given to one column at most."""
    best, columns = None, ("",) * (len(lines[0]) if lines else 0)
    known = 1  # one heading alone may be a title or a name
    for index, cells in enumerate(lines[:MOST_LINES_ABOVE]):
        if any(cell.isdecimal() for cell in cells):
            continue  # a row of somebody, though a team may be called "Hill Club"
        fields = columns_of(cells, lines[index + 1 : index + 60])
        if sum(map(bool, fields)) > known or (sum(map(bool, fields)) == known == 1 and len(cells) == 1):
            best, columns, known = index, fields, sum(map(bool, fields))
    return Guess(best, columns)


def columns_of(headings: Sequence[str], below: Sequence[Sequence[str]] = ()) -> tuple[str, ...]:
    """The field of each heading, empty where it is none of ours."""
    wanted: list[tuple[float, int, str]] = []
    for column, heading in enumerate(headings):
        heard = words(heading)
        for field, known in _KNOWN:
            if not heard or not set(known) <= set(heard):
                continue
            # The longest of our names that the heading holds, and the nearer to all of it the better.
            score = len(known) * 2 + (2 if known == heard else 0) - len(heard) / 10
            if known in NUMBER_OR_NAME and not _mostly_numbers([row[column] for row in below if column < len(row)]):
                field, score = NAME, score - 2
            wanted.append((-score, column, field))
    fields: dict[int, str] = {}
    for _score, column, field in sorted(wanted):
        if column not in fields and field not in fields.values():
            fields[column] = field
    if {FIRST, LAST} <= set(fields.values()):
        fields = {column: field for column, field in fields.items() if field != NAME}
    elif LAST in fields.values() and NAME in fields.values():
        fields = {column: FIRST if field == NAME else field for column, field in fields.items()}
    return tuple(fields.get(column, "") for column in range(len(headings)))


def _mostly_numbers(cells: Sequence[str]) -> bool:
    filled = [cell for cell in cells if cell]
    return 2 * sum(cell.strip("# .").replace(".0", "").isdecimal() for cell in filled) >= len(filled)


def split_name(name: str) -> tuple[str, str]:
    """First and last name, of `Last, First` or of `First Last`; a single word is a first name."""
    if "," in name:
        last, _, first = name.partition(",")
        return first.strip(), last.strip()
    parts = name.split()
    if len(parts) < 2:
        return name.strip(), ""
    start = next((at for at, part in enumerate(parts[1:-1], 1) if part.casefold().strip(".") in PARTICLES), -1)
    return " ".join(parts[:start]), " ".join(parts[start:])


def division_of(text: str, divisions: Iterable[tuple[str, str]]) -> str:
    """The code of the division that is meant, among (code, name); empty unless exactly one can be.

    `SR`, `Senior`, `seniors` and `Senior division` all mean Senior.
    """
    choices = list(divisions)
    heard = _singular(text)
    if not heard:
        return ""
    ways: tuple[Callable[[str, str], bool], ...] = (
        lambda code, name: heard == _singular(code),
        lambda code, name: heard == _singular(name),
        lambda code, name: set(_singular(name)) <= set(heard) or set(_singular(code)) <= set(heard),
        lambda code, name: set(heard) <= set(_singular(name)),
    )
    for means in ways:  # the nearest first
        meant = [code for code, name in choices if means(code, name)]
        if meant:
            return meant[0] if len(meant) == 1 else ""
    return ""


def nearly(name: str, others: Iterable[str]) -> str:
    """The one of the other names that this one may be a slip of the hand of; empty where it is like none.

    "Barly Hill" is nearly "Barley Hill", and "St Johns" is "St. John's"; "Barley Hill 1" is no slip of "Barley Hill 2".
    """
    by_words = {_pieces(other): other for other in others if other != name}
    mine = _pieces(name)
    likeness = SequenceMatcher(None, "", "".join(mine))
    best, found = NEARLY, ""
    for theirs, other in by_words.items():
        likeness.set_seq1("".join(theirs))
        # What is quickly known to be too unlike is not compared letter by letter.
        if min(likeness.real_quick_ratio(), likeness.quick_ratio()) < best or likeness.ratio() < best:
            continue
        if _told_apart_by(mine) == _told_apart_by(theirs):
            best, found = likeness.ratio(), other
    return found


@lru_cache(maxsize=5000)
def _pieces(name: str) -> tuple[str, ...]:
    """Its words as names of teams are compared: "St. John's 4H" is st, johns, 4, h."""
    return tuple(piece for word in words(re.sub("['’]", "", name)) for piece in re.findall(r"\d+|[^\d]+", word))


def _told_apart_by(name: tuple[str, ...]) -> list[str]:
    """What tells two teams of one club apart: 1 and 2, A and B, red and blue."""
    return [word for word in name if word.isdigit() or len(word) == 1 or word in COLOURS]


def _singular(text: str) -> tuple[str, ...]:
    heard = tuple(word.removesuffix("s") or word for word in words(text))
    return tuple(word for word in heard if word not in ("division", "div")) or heard
