"""The record of one contest: everything that a tally needs, and nothing else.

The contest book's reader and the database both produce a `Record`; `scoring.core.tally` scores it. A record is taken to
be sound: whoever builds one has already checked that its numbers, codes and placings are valid.

Everything here is immutable. The rows that grow with the contestants are named tuples and not frozen dataclasses,
because a contest has tens of thousands of them: it takes a fifth off the time from the database to the result.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, time
from typing import Literal, NamedTuple

ShowPeopleAs = Literal["number", "initials", "name"]
NegativeScores = Literal["keep", "zero"]
UnreadableCard = Literal["zero", "lowest"]
ShortTeam = Literal["zero", "unranked"]
CountingMembers = Literal["fixed", "each"]
Scope = Literal["individual", "team"]
Role = Literal["member", "individual"]

UNREADABLE = "unreadable"
NO_CARD = ""

HUNDREDTHS = 100
"""Points are kept as whole hundredths, since the book allows two decimals and a float could not hold them exactly."""

MOST_REASONS = 50
"""The most points one official can give for a set of reasons (UKY ASC-166; Georgia 4-H; Nebraska State Fair dairy)."""

FEWEST_TO_KEEP_FROM, MOST_TO_KEEP_FROM = 4, 12
"""Animals of a keep/cull part."""


@dataclass(frozen=True, slots=True)
class Rules:
    """What holds for the whole contest."""

    name: str
    held_on: date | None = None
    place: str = ""
    readings_per_card: int = 2
    show_people_as: ShowPeopleAs = "number"
    negative_scores: NegativeScores = "keep"
    unreadable_card: UnreadableCard = "zero"
    reasons_in_category: bool = True
    reasons_standardised: bool = False
    same_reader_twice: bool = False
    starts_at: time | None = None
    minutes_per_class: int = 12


@dataclass(frozen=True, slots=True)
class Division:
    """A division and its team rules. `team_counting` 0 means that every member counts; a reasons score that was given
    counts at least `reasons_least` points."""

    code: str
    name: str
    team_counting: int
    short_team: ShortTeam = "zero"
    counting_members: CountingMembers = "fixed"
    reasons_least: int = 0


@dataclass(frozen=True, slots=True)
class Category:
    code: str
    name: str


@dataclass(frozen=True, slots=True)
class JudgingClass:
    """A class of animals, known by their labels, usually four. `official` and `cuts` come together, or are both None
    until they are handed in.

    `reasons` holds those of its `divisions`, in their order, that give oral reasons on it, and `void_divisions` those
    for which alone it is thrown out. With `full_points` all have the perfect placing score, card or none.
    """

    number: int
    name: str
    divisions: tuple[str, ...]
    category: str = ""
    places: bool = True
    reasons: tuple[str, ...] = ()
    perfect: int = 50
    official: str | None = None
    cuts: tuple[int, ...] | None = None
    void: bool = False
    void_divisions: tuple[str, ...] = ()
    animals: str = "1234"
    full_points: bool = False

    def is_void_for(self, division: str) -> bool:
        """Whether it is thrown out for a division, or for all."""
        return self.void or division in self.void_divisions

    @property
    def counting_divisions(self) -> tuple[str, ...]:
        """Those of its divisions for which it is not thrown out."""
        return tuple(code for code in self.divisions if not self.is_void_for(code))

    @property
    def counting_reasons(self) -> tuple[str, ...]:
        """Those that give oral reasons which are not thrown out."""
        return tuple(code for code in self.reasons if not self.is_void_for(code))

    @property
    def counts_placing(self) -> bool:
        """Whether its placing scores count: not void, and its official placing is in or not needed."""
        return self.places and not self.void and (self.official is not None or self.full_points)

    @property
    def counts_cards(self) -> bool:
        """Whether cards are what its placing scores come from: it has its official placing, and not all have full
        points."""
        return self.counts_placing and not self.full_points

    @property
    def card_divisions(self) -> tuple[str, ...]:
        """Those of its divisions whose cards something rests on: of none where all have full points."""
        return self.counting_divisions if self.places and not self.full_points else ()

    @property
    def needs_key(self) -> bool:
        """Whether its placing scores wait for, or come from, an official placing."""
        return self.places and not self.void and not self.full_points

    @property
    def counts_reasons(self) -> bool:
        """Whether its reasons count: not void, and not still waiting for an official placing."""
        return not self.void and (self.official is not None or not self.places or self.full_points)


@dataclass(frozen=True, slots=True)
class Part:
    """A scored part that is neither placings nor reasons, such as questions; `most` is in whole points.

    One with `animals` is keep/cull: `keep` of them are to be kept, and `values` say what keeping each is worth, None
    until they are handed in.
    """

    code: str
    name: str
    divisions: tuple[str, ...]
    most: int
    scope: Scope
    category: str = ""
    animals: str = ""
    keep: int = 0
    values: tuple[int, ...] | None = None

    @property
    def counts(self) -> bool:
        """Whether it counts: a keep/cull part does not until its values are in."""
        return not self.animals or self.values is not None

    def worth_keeping(self, values: tuple[int, ...]) -> Part:
        """The part with what keeping each of its animals is worth, which says what it can give."""
        return replace(self, values=values, most=sum(sorted(values, reverse=True)[: self.keep]))

    def in_order(self, kept: str) -> str:
        """What was kept, with the labels in the order of the part's own."""
        return kept if kept == UNREADABLE else "".join(sorted(kept, key=self.animals.index))

    def worth(self, kept: str) -> int:
        """What a choice of keep/cull earns, in points: 0 unless exactly so many were kept (Nebraska District 7)."""
        if self.values is None or kept == UNREADABLE or len(kept) != self.keep:
            return 0
        return sum(self.values[self.animals.index(label)] for label in kept)


class Contestant(NamedTuple):
    """Who competes. `team` is empty for somebody who competes as an individual only.

    Who is not `ranked` counts for their team and stands in no list of individuals: a past champion who may not win
    again, or somebody who asked for it.
    """

    number: int
    division: str
    team: str = ""
    first_name: str = ""
    last_name: str = ""
    role: Role = "member"
    group: str = ""
    show_name: bool = True
    present: bool = True
    ranked: bool = True


class Card(NamedTuple):
    """One placing card: `placing` is the animals' labels, NO_CARD or UNREADABLE.

    `second` is the second reading, None without one; a card whose readings differ is not settled, and `placing` counts.
    """

    class_number: int
    number: int
    placing: str
    second: str | None = None


class Choice(NamedTuple):
    """What a contestant kept in a keep/cull part: labels in any order, NO_CARD or UNREADABLE; `second` as of a card."""

    part: str
    number: int
    kept: str
    second: str | None = None

    @property
    def is_settled(self) -> bool:
        return self.second is None or _chosen(self.second) == _chosen(self.kept)


class PanelKey(NamedTuple):
    """What one official of a committee handed in before they agreed. Never scored."""

    class_number: int
    official: str
    placing: str
    cuts: tuple[int, ...]


class ReasonsScore(NamedTuple):
    """What one official gave one contestant for a set of reasons, in hundredths of a point."""

    class_number: int
    number: int
    official: str
    hundredths: int


class NoReasons(NamedTuple):
    """A set of reasons for which an official's slip says that there is no score: it was not given, or not heard."""

    class_number: int
    number: int
    official: str


class Mark(NamedTuple):
    """Points for a part, in hundredths: by `number`, or by `division` and `team` for a team part."""

    part: str
    hundredths: int
    number: int | None = None
    division: str = ""
    team: str = ""


class NoMark(NamedTuple):
    """A slip that says that no mark was given: of a `number`, or of a `division` and `team` for a team part."""

    part: str
    number: int | None = None
    division: str = ""
    team: str = ""


class PersonsDay(NamedTuple):
    """What the day left of a contestant.

    When they arrived, as ISO 8601 writes it, by the contest's clock; how the name is said; and why their scores count
    for nobody, with whether they were there all the same. Empty where nobody said.
    """

    number: int
    arrived: str = ""
    say_name: str = ""
    ineligible: str = ""
    was_there: bool = True


class HowRead(NamedTuple):
    """Who read a slip, and what more is known of how it came to be settled, in a book's words.

    `second` is what the second reading says: empty without one, NONE for one that says there is nothing. `decided` is
    why the superintendent decided what counts; then `by` is who decided.
    """

    by: str = ""
    second: str = ""
    second_by: str = ""
    decided: str = ""


class CardRead(NamedTuple):
    class_number: int
    number: int
    how: HowRead


class ReasonsRead(NamedTuple):
    class_number: int
    number: int
    official: str
    how: HowRead


class MarkRead(NamedTuple):
    """Of a contestant's `number`, or of a `division` and `team`."""

    part: str
    number: int | None
    division: str
    team: str
    how: HowRead


class ChoiceRead(NamedTuple):
    part: str
    number: int
    how: HowRead


def _chosen(kept: str) -> str | list[str]:
    return kept if kept == UNREADABLE else sorted(kept)


NONE = "none"
"""How a book writes that a reading says there is nothing."""


@dataclass(frozen=True, slots=True)
class Day:
    """What a contest's day leaves behind that no score rests on; nobody and nothing that it says nothing of is here."""

    people: tuple[PersonsDay, ...] = ()
    cards: tuple[CardRead, ...] = ()
    reasons: tuple[ReasonsRead, ...] = ()
    marks: tuple[MarkRead, ...] = ()
    choices: tuple[ChoiceRead, ...] = ()


@dataclass(frozen=True, slots=True)
class DecidedTie:
    """Rows of one list, equal in everything, that were put in order by a draw or by an official's word, for a reason.

    `list` is a standing's code and `kind` says which of its rows; `order` names them, by number or by team, the first
    one first. It holds for those rows alone, and only while they are equal.
    """

    division: str
    list: str
    kind: Literal["individuals", "teams"]
    order: tuple[str, ...]
    how: Literal["draw", "word"]
    reason: str

    @property
    def key(self) -> tuple[str, str, str, tuple[str, ...]]:
        return self.division, self.list, self.kind, tuple(sorted(self.order))


@dataclass(frozen=True, slots=True)
class ResultSet:
    """Some of a contest's contestants whose results are their own: of one of two organisations that judge together, or
    of the qualifier within an open contest. Everything is judged once; each set has its own lists."""

    code: str
    name: str


class SetMember(NamedTuple):
    """A contestant in a set of results; `team` is who they count for there, empty where it is their team of the
    contest."""

    set: str
    number: int
    team: str = ""


IN_SET = "@"
"""Between a division's code and a set's, of the division as a set has it: `SR@OPEN`. No code has it."""


@dataclass(frozen=True, slots=True)
class Record:
    """A whole contest. The order of divisions, categories, classes and parts is that of the lists they make.

    `no_reasons` and `no_marks` count for nothing, and only say that nothing is missing there. A tally needs no `day`,
    and a record has one only where it came from a book or is to become one. Where there are `sets`, lists are theirs
    alone; `members` come in the order of the contestants, then of the sets.
    """

    rules: Rules
    divisions: tuple[Division, ...] = ()
    categories: tuple[Category, ...] = ()
    classes: tuple[JudgingClass, ...] = ()
    parts: tuple[Part, ...] = ()
    individual_ties: tuple[str, ...] = ()
    team_ties: tuple[str, ...] = ()
    contestants: tuple[Contestant, ...] = ()
    cards: tuple[Card, ...] = ()
    reasons: tuple[ReasonsScore, ...] = ()
    marks: tuple[Mark, ...] = ()
    no_reasons: tuple[NoReasons, ...] = ()
    no_marks: tuple[NoMark, ...] = ()
    day: Day = Day()
    decided: tuple[DecidedTie, ...] = ()
    choices: tuple[Choice, ...] = ()
    panel: tuple[PanelKey, ...] = ()
    sets: tuple[ResultSet, ...] = ()
    members: tuple[SetMember, ...] = ()

    @property
    def listed_divisions(self) -> tuple[Division, ...]:
        """The divisions that have lists: its own, or where there are sets those of each."""
        if not self.sets:
            return self.divisions
        return tuple(
            replace(division, code=f"{division.code}{IN_SET}{of.code}", name=f"{of.name}, {division.name}")
            for of in self.sets
            for division in self.divisions
        )

    @property
    def division_names(self) -> dict[str, str]:
        """What each division is called, and each as a set has it, by code."""
        return {division.code: division.name for division in (*self.divisions, *self.listed_divisions)}

    @property
    def void(self) -> frozenset[tuple[int, str]]:
        """What counts for nobody: a class's number with each of its divisions for which it is thrown out."""
        return frozenset((j.number, code) for j in self.classes for code in j.divisions if j.is_void_for(code))
