"""What a contestant's sheet and a team's say, line by line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class ToldPair(NamedTuple):
    """A lost pair as its contestant is told of it: with what the official noted on it, and how many had it right."""

    words: str
    note: str
    others: str


@dataclass(frozen=True, slots=True)
class ClassLine:
    """A contestant's card in one class. `card` is the placing or, in words, why there is none; `score` is empty for a
    class that does not count, and `state` says why. `lost` are the pairs in words; `rule` is the rule that made the
    score where it is not what the pairs leave; `open` says what is not settled. To a family the pairs are `told`, with
    what `most` did, and the address of a `picture` of the card where there is one."""

    number: int
    name: str
    card: str
    placed: bool
    official: str
    cuts: tuple[int, ...] | None
    score: str
    perfect: int
    lost: tuple[str, ...]
    rule: str
    state: str
    open: str
    told: tuple[ToldPair, ...] = ()
    most: str = ""
    picture: str = ""


@dataclass(frozen=True, slots=True)
class ReasonsLine:
    """A set of reasons: each official with what they gave, where reasons are standardised what that counts as, and to
    what it is raised where it is below the least that counts; and the mean that counts."""

    number: int
    name: str
    given: tuple[tuple[str, str, str, str], ...]
    score: str
    state: str
    open: str


@dataclass(frozen=True, slots=True)
class MarkLine:
    code: str
    name: str
    score: str
    most: int
    open: str
    told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RankLine:
    """A place in one list, `code` of `division` as it is listed: `rank` of `of`, 0 for who is not ranked, and how a tie
    fell. `counts` says whether it counts for the team, None where the team is not ranked there; `open` what of the
    total may still change."""

    division: str
    code: str
    name: str
    rank: int
    of: int
    total: str
    tie: str
    counts: bool | None
    open: str


@dataclass(frozen=True, slots=True)
class ContestantSheet:
    number: int
    name: str
    team: str
    division: str
    division_name: str
    present: bool
    standardised: bool
    classes: tuple[ClassLine, ...]
    reasons: tuple[ReasonsLine, ...]
    marks: tuple[MarkLine, ...]
    ranks: tuple[RankLine, ...]


@dataclass(frozen=True, slots=True)
class MemberHead:
    """A member of a team, and whether they count overall."""

    number: int
    name: str
    counts: bool


@dataclass(frozen=True, slots=True)
class Cell:
    """A member's points in one item. `anchor` is where the member's own sheet tells how they came about."""

    number: int
    points: str
    anchor: str
    open: str = ""


@dataclass(frozen=True, slots=True)
class TeamLine:
    """One item of a team: a cell for each member, none where an item is the team's own."""

    name: str
    cells: tuple[Cell, ...]
    team: str
    total: bool = False
    open: str = ""


@dataclass(frozen=True, slots=True)
class TeamRank:
    """A team's place in one list, with who counts there and who does not."""

    division: str
    code: str
    name: str
    rank: int
    of: int
    total: str
    counting: tuple[int, ...]
    others: tuple[int, ...]
    tie: str
    open: str


@dataclass(frozen=True, slots=True)
class TeamSheet:
    team: str
    division: str
    division_name: str
    members: tuple[MemberHead, ...]
    lines: tuple[TeamLine, ...]
    ranks: tuple[TeamRank, ...]
    standardised: bool
