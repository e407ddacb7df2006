"""What documents are made from: a contest at one revision, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, time
from pathlib import Path
from typing import Any, NamedTuple

from contest.entries.accommodating import Needs
from contest.records.answers import Answered
from scoring.core.record import IN_SET, Contestant, JudgingClass, Record
from scoring.core.result import Result
from scoring.prints.fields import CardCodes


class Ribbon(NamedTuple):
    """What this contest calls a place, and the colour of its ribbon."""

    name: str
    colour: str


class AwardList(NamedTuple):
    """A list that awards are given for, as the contest's own order of them has it."""

    division: str
    code: str
    kind: str
    places: int


class Slot(NamedTuple):
    """A set of reasons as it was planned. `starts` is local time."""

    number: int
    class_number: int
    starts: datetime


class Room(NamedTuple):
    """A reasons room with its sets in the order of speaking. `shows_key`: may its officials see placings and cuts?"""

    name: str
    officials: tuple[str, ...]
    slots: tuple[Slot, ...]
    shows_key: bool = False


class PairNotes(NamedTuple):
    """What decided a pair of a class, as its official wrote it down."""

    name: str
    animals: str
    decided_by: str
    grants: str
    faults: str


class PostedKey(NamedTuple):
    """A key that everybody may know. `corrected` says when and why it is not the one that was shown first, and `open`
    why it may still change; empty where neither is so."""

    official: str
    cuts: tuple[int, ...] | None
    corrected: str = ""
    open: str = ""


class Protest(NamedTuple):
    """A protest that was noted. `at` and `decided_at` are local time; the latter is None while it is open."""

    by: str
    text: str
    at: datetime
    outcome: str = ""
    decided_at: datetime | None = None


class ProtestWindow(NamedTuple):
    """Until when protests are taken, in local time, and what people were told besides."""

    deadline: datetime
    note: str


@dataclass(frozen=True, slots=True)
class Material:
    """A contest at one revision.

    `as_of` is when it last changed, in local time: what is printed from one state says one time, whenever that is.
    `say` and `say_teams` tell how names are said, where somebody wrote it down; teams are known by division and name.
    `trail_head` is the hash of the contest's trail at that revision, so that a paper proves a trail.
    `released` is the number of the release that this is, None for the contest as it is now; `corrected` says when and
    why what was announced was corrected, and is empty where it was not. `class_notes` are by class: all of them, or
    those of the classes that some room may see. `open_keys` are those of `contest.keys`; of a release there are none.
    `ribbons_of_sets` are those of sets of results that have their own, by code.
    `public` is where everybody reads what was released, empty where nobody can.
    `accommodations` are what contestants need, by number.
    `committees` are the officials who sit on the committee of each class, and `agreed_by` those who agreed on its key.
    `printed` are digests of the document's sheets when files of them were made last (`scoring.prints.changed`).
    `minutes` are those of classes that have their own, and `handling` what the rules say of touching the animals.
    `next_level` is who goes on, a `scoring.next_level.choosing.Choice`; None before a release.
    `answered` are the parts that have an answer key, by code, with what was answered: as it counts by now.
    `sweepstakes` are those of its day, a `scoring.events.paper.Sweepstakes`; None where it is of no day.
    `card_codes` make cards such as a machine reads; None where the contest prints plain ones.
    `posted_keys` are those that everybody may know, by class. `held_back`: are awards still to be read from the stage?
    """

    contest_pk: int
    revision: int
    as_of: datetime | None
    record: Record
    result: Result
    starts_at: time | None = None
    minutes_per_class: int = 12
    minutes: Mapping[int, int] = field(default_factory=dict)
    handling: Mapping[int, str] = field(default_factory=dict)
    say: dict[int, str] = field(default_factory=dict)
    say_teams: dict[tuple[str, str], str] = field(default_factory=dict)
    arrived: frozenset[int] = frozenset()
    ribbons: dict[int, Ribbon] = field(default_factory=dict)
    ribbons_of_sets: Mapping[str, dict[int, Ribbon]] = field(default_factory=dict)
    award_lists: tuple[AwardList, ...] = ()
    trail_head: str = ""
    released: int | None = None
    corrected: str = ""
    open_keys: Mapping[int, str] = field(default_factory=dict)
    posted_keys: Mapping[int, PostedKey] = field(default_factory=dict)
    held_back: bool = False
    printed: Mapping[str, str] = field(default_factory=dict)
    public: str = ""
    picture: Path | None = None
    components: tuple[tuple[str, int], ...] = ()
    rooms: tuple[Room, ...] = ()
    class_notes: dict[int, tuple[PairNotes, ...]] = field(default_factory=dict)
    doubts: tuple[Any, ...] = ()
    protests: tuple[Protest, ...] = ()
    protest_window: ProtestWindow | None = None
    ways_in: tuple[Any, ...] = ()
    accommodations: Mapping[int, Needs] = field(default_factory=dict)
    committees: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    agreed_by: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    next_level: Any = None
    answered: Mapping[str, Answered] = field(default_factory=dict)
    sweepstakes: Any = None
    card_codes: CardCodes | None = None

    def minutes_of(self, judged: JudgingClass) -> int:
        """How long a class takes: its own minutes, or those of every class."""
        return self.minutes.get(judged.number, self.minutes_per_class)

    def ribbons_of(self, listed_division: str) -> dict[int, Ribbon]:
        """What places are called in a division's lists, or in those of one as a set has it."""
        return self.ribbons_of_sets.get(listed_division.partition(IN_SET)[2]) or self.ribbons

    @property
    def present(self) -> list[Contestant]:
        """Who is here and counts, by number."""
        return sorted((c for c in self.record.contestants if c.present), key=lambda c: c.number)

    @property
    def placed_classes(self) -> list[JudgingClass]:
        """The classes that have placing cards and are not void."""
        return [judged for judged in self.record.classes if judged.places and not judged.void]

    @property
    def reasons_classes(self) -> list[JudgingClass]:
        """The classes that oral reasons are given on."""
        return [judged for judged in self.record.classes if judged.reasons and not judged.void]

    @property
    def division_names(self) -> dict[str, str]:
        return self.record.division_names

    @property
    def officials(self) -> list[str]:
        """Everybody who gave a reasons score, in alphabetical order."""
        return sorted({score.official for score in self.record.reasons})
