"""What is read: cards, reasons scores and marks are all slips, and each kind says only what differs."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import fields
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple
from uuid import UUID

from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.changes.exceptions import WrongValue
from contest.models import Contest, Contestant, JudgingClass, ReadingFields, Source, Touches
from contest.models.one_contest import way_to_contest
from contest.trail.sentences import Sentence
from scoring.core.settling import Given

if TYPE_CHECKING:
    from contest.slips.stack import Stack


class Place(NamedTuple):
    """A page of the contest: the name of its address and what follows the contest there."""

    name: str
    args: tuple[Any, ...]

    @property
    def key(self) -> str:
        return "-".join(map(str, (self.name, *self.args)))

    def address(self, contest: Contest, end: str = "", group: str | None = None) -> str:
        """Where it is; `end` is of a page that belongs to it, such as `-readings`."""
        query = None if group is None else {"group": group}
        return reverse(f"{self.name}{end}", args=[contest.pk, *self.args], query=query)


class Known(NamedTuple):
    """What is known of a slip just before one more reading of it is added: whether it is `due`, the readings `given`,
    oldest first, and whether the very submission `came_before`."""

    due: bool
    given: list[Given[Any]]
    came_before: bool
    readings_per_card: int
    same_reader_twice: bool


class Slip(ABC):
    """One card, reasons score or mark: a dataclass, whose fields its readings have too.

    Where a kind `keeps_strays`, what is read of nobody, or of somebody it is not due from, is kept as a doubt; else it
    is refused.
    """

    name: ClassVar[str]
    """What addresses call the kind."""
    room: ClassVar[str] = "scores"
    """Where its stacks lie: what the names of the addresses there begin with."""
    readings: ClassVar[type[ReadingFields]]
    results: ClassVar[type[Any]]
    """What readings come to: one row for each slip that was read."""
    value: ClassVar[str]
    """The column, of both tables, that holds what was read."""
    nothing: ClassVar[Any] = None
    """The value that means that there is none."""
    about: ClassVar[tuple[str, ...]]
    """The columns, of both tables, that say which slip it is."""
    related: ClassVar[tuple[str, ...]] = ()
    """What else its words need, as queries call it."""
    identified_by: ClassVar[tuple[str, ...]]
    """The fields that make two readings readings of the same slip."""
    places: ClassVar[tuple[str, ...]]
    """What is typed to say where a stray reading belongs, whose it is first."""
    paths: ClassVar[dict[str, str]]
    """The pages of all that was read of one slip: where each is, by its name."""
    keeps_strays: ClassVar[bool] = False
    is_points: ClassVar[bool] = False
    touches: ClassVar[Touches] = Touches.EVERYTHING
    called: ClassVar[str]
    """What the trail calls the value of a decision."""
    none_yet: ClassVar[Any] = gettext_lazy("No score yet")
    say_whose: ClassVar[Any] = gettext_lazy("say whose score it is")
    say_why: ClassVar[Any] = gettext_lazy("say why the score counts as this")
    is_settled: ClassVar[Any] = gettext_lazy("that score is settled; tell the superintendent")
    not_yours: ClassVar[Any] = gettext_lazy("only whoever read a slip can take the reading back")
    decided_because: ClassVar[tuple[str, ...]]
    astray_because: ClassVar[tuple[str, ...]]
    """Reasons to pick: why it counts as that, what the paper itself says first; why it was read of another."""
    because_of_none: ClassVar[str]
    because_unreadable: ClassVar[str] = ""
    because_of_a_gap: ClassVar[str] = ""
    """The reasons of `decided_because` that fit where there is none, where it cannot be read, and where a gap was
    filled; empty where a kind has no such."""

    contestant: Contestant | None

    @property
    @abstractmethod
    def contest(self) -> Contest: ...

    @abstractmethod
    def said(self, done: str) -> Sentence:
        """What the trail says where the slip was `read`, `decided`, or a reading of it `withdrawn`."""

    @property
    @abstractmethod
    def title(self) -> str:
        """The slip as a list calls it."""

    @property
    @abstractmethod
    def of(self) -> str:
        """What it is of, without whose it is."""

    @property
    @abstractmethod
    def stack(self) -> Stack:
        """What it lies in, of all groups."""

    @property
    @abstractmethod
    def place(self) -> Place:
        """The page of all that was read of it."""

    @property
    @abstractmethod
    def listed(self) -> Place:
        """The page that lists it among others."""

    @property
    @abstractmethod
    def not_due(self) -> Any: ...

    @abstractmethod
    def is_due(self) -> bool: ...

    @abstractmethod
    def why_not_due(self) -> str:
        """Why it cannot be read or decided, as whoever tries is told."""

    @classmethod
    @abstractmethod
    def at(cls, contest: Contest, **place: int) -> Slip:
        """The slip that has its page there. Raises Http404."""

    @abstractmethod
    def elsewhere(self, values: dict[str, Any]) -> Slip:
        """The slip that a reading of this one is really of; `given` has what was typed for `places`. Raises
        WrongValue."""

    @classmethod
    @abstractmethod
    def value_text(cls, value: Any) -> str:
        """What a value says, for people to read."""

    @classmethod
    @abstractmethod
    def kept(cls, value: Any) -> Sentence | str:
        """What a value says, as the trail keeps it: the same in every language."""

    @abstractmethod
    def parse(self, text: str, readings: Sequence[Any]) -> tuple[Any, str]:
        """What somebody types that it counts as, and what is on the paper where it says less. Raises Unclear."""

    @abstractmethod
    def check(self, value: Any) -> None:
        """Raise NotPossible unless it is something that such a slip can say."""

    @classmethod
    def why(cls, value: Any, on_paper: str = "") -> str:
        """The reason that fits a value, where one does better than what the paper says; `on_paper` is what stands there
        where it says less."""
        return cls.because_of_a_gap if on_paper else cls.because_of_none if value == cls.nothing else ""

    def warning(self, value: Any) -> str:
        """What whoever reads that is told besides; empty where all is well."""
        return ""

    def apart(self, values: Sequence[Any]) -> str:
        """Where readings differ that say much, in words; empty where a look at them says it."""
        return ""

    @classmethod
    def odd(cls, results: QuerySet[Any]) -> QuerySet[Any]:
        """Those of some results, settled or not, that the superintendent is to look at whatever the readings say."""
        return results.none()

    @property
    def owner(self) -> str:
        return _("Contestant {number}").format(number=self.contestant)

    @property
    def whose(self) -> str:
        """Whose it is, as short as can be: a number, or a team's name."""
        return str(self.contestant)

    @property
    def read_before(self) -> str:
        """What whoever reads it twice is told."""
        return _("you have read this before; somebody else must read it the second time")

    @property
    def subjects(self) -> list[str]:
        """What the trail finds it by, beside the numbers that `said` names."""
        return [f"{name}:{row.pk}" for name in ("team", "official", "part") if (row := getattr(self, name, None))]

    @property
    def where(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.about}

    def ever_read(self) -> QuerySet[Any]:
        """Its readings, the withdrawn ones among them, oldest first."""
        return self.readings._default_manager.filter(**self.where).order_by("pk")

    def live(self) -> QuerySet[Any]:
        """Its readings that were not withdrawn, oldest first."""
        return self.readings._default_manager.filter(**self.where, withdrawn_at__isnull=True).order_by("pk")

    def result(self) -> Any:
        """What its readings come to; None where there are none."""
        return self.results._default_manager.filter(**self.where).first()

    def given(self) -> list[Given[Any]]:
        return [given(*row) for row in self.live().values_list(self.value, *COUNTS_BY)]

    def known(self, submission: UUID | None) -> Known:
        readings = self.readings._default_manager
        came_before = submission is not None and readings.filter(submission=submission).exists()
        contest = self.contest
        return Known(self.is_due(), self.given(), came_before, contest.readings_per_card, contest.same_reader_twice)

    @classmethod
    def of_row(cls, row: Any) -> Slip:
        """The slip that a reading or a result is of."""
        return cls(*(getattr(row, name) for name in field_names(cls)))

    @classmethod
    def rows_of(cls, contest: Contest, rows: type[Model]) -> QuerySet[Any]:
        """The readings, or results, of a contest, each with all that says which slip it is of."""
        return of_contest(contest, rows).select_related(way_to_contest(rows), *cls.about, *cls.related)

    @classmethod
    def text(cls, row: Any) -> str:
        """What a reading or a result says, in words."""
        return cls.value_text(getattr(row, cls.value))


COUNTS_BY = ("by", "decides", "source")
"""What of a reading, beside what it says, decides how it counts."""


def field_names(slip: Slip | type[Slip]) -> tuple[str, ...]:
    return _field_names(slip if isinstance(slip, type) else type(slip))


@cache
def _field_names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def given(value: Any, by: str, decides: bool, source: str) -> Given[Any]:
    return Given(value, by.casefold(), bool(decides), source == Source.OFFICIAL)


def of_contest(contest: Contest, rows: type[Model]) -> QuerySet[Any]:
    return rows._default_manager.filter(**{way_to_contest(rows): contest})


def class_of(contest: Contest, number: int) -> JudgingClass:
    judged = contest.classes.select_related("contest").filter(number=number).first()
    if judged is None:
        raise WrongValue("class_number", _("there is no class {number}").format(number=number))
    return judged


def contestant_of(contest: Contest, number: int) -> Contestant:
    contestant = contest.contestants.select_related("division").filter(number=number).first()
    if contestant is None:
        raise WrongValue("number", _("there is no contestant {number}").format(number=number))
    return contestant
