"""Stacks: the slips that are read in together, as they lie on a table. Each kind of slip says what lies in one."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, ClassVar

from django.utils.translation import gettext as _

from contest.changes.snapshot import one_snapshot
from contest.models import Contest
from contest.slips.due import OWNERS, Due, Standing, left_to_read, people_of, slips_due, standings
from contest.slips.slip import Place, Slip

MOST_AGAIN = 200
"""Numbers that an address may name to be read once more."""


def numbers_in_words(numbers: Iterable[int]) -> str:
    """As an address has them: `101-117`."""
    return "-".join(map(str, sorted(numbers)))


def numbers_asked(text: str) -> frozenset[int]:
    """What `numbers_in_words` wrote; what makes no sense is left out."""
    parts = text.split("-")[:MOST_AGAIN]
    return frozenset(int(part) for part in parts if part.isascii() and part.isdecimal() and len(part) < 10)


@dataclass(frozen=True, kw_only=True)
class Stack(ABC):
    """Slips of one kind: those of one `group` or, where it is None, of all.

    With numbers in `once_more` it is only those contestants' slips, which are to be read once more by somebody who has
    not read them, whatever is known of them already.
    """

    kind: ClassVar[type[Slip]]
    group: str | None = None
    once_more: frozenset[int] = frozenset()

    @property
    def contest(self) -> Contest:
        contest: Contest = next(iter(self.of.values())).contest
        return contest

    @property
    @abstractmethod
    def name(self) -> str:
        """What it is called, whatever its group."""

    @property
    @abstractmethod
    def place(self) -> Place:
        """The page where it is read."""

    @property
    @abstractmethod
    def divisions(self) -> set[int]:
        """The keys of those whose slips lie in it."""

    @abstractmethod
    def not_due(self, number: int) -> str:
        """Why no slip of a contestant of another division lies in such a stack."""

    @property
    @abstractmethod
    def own(self) -> dict[str, Any]:
        """What its page needs beyond what all pages do."""

    @property
    def by_name(self) -> bool:
        """Whether its slips are teams', which are known by name."""
        return False

    @property
    def label(self) -> str:
        return self.name

    @property
    def readings(self) -> Place:
        """Where its readings are sent."""
        return Place(f"{self.place.name}-readings", self.place.args)

    @property
    def of(self) -> dict[str, Any]:
        """What all its slips are of: their fields but whose they are."""
        return {name: getattr(self, name) for name in self.kind.about if name not in OWNERS}

    @property
    def key(self) -> str:
        """What it is known by in a browser, whatever its group."""
        return "-".join([self.kind.name, *(str(row.pk) for row in self.of.values())])

    @one_snapshot()
    def slips(self, who: str) -> list[Due]:
        """Its slips, of all groups, looked up for the reader named `who`, by number."""
        return slips_due(self.kind, people_of(self.contest), self.divisions, self.known(who))

    def known(self, who: str) -> dict[int, Standing]:
        """What is known of its slips, by whose they are."""
        keys = tuple(row.pk for row in self.of.values())
        return standings(self.kind, self.contest, who, **self.of)[keys]

    def left(self, slips: Iterable[Due]) -> list[Due]:
        """Those of its slips that whoever they were looked up for has still to read."""
        here = self._here(slips)
        return [slip for slip in here if not slip.mine] if self.once_more else left_to_read(self.contest, here)

    def read_already(self, slips: Iterable[Due]) -> list[Due]:
        """Those of its slips that whoever they were looked up for has read, and need not read again."""
        left = {slip.number for slip in self.left(slips)}
        return [slip for slip in self._here(slips) if slip.mine and slip.number not in left]

    def _here(self, slips: Iterable[Due]) -> list[Due]:
        if self.once_more:
            return [slip for slip in slips if slip.number in self.once_more]
        return [slip for slip in slips if self.group is None or slip.group == self.group]

    def expected_at(self) -> str:
        """Where a page asks at its end what is left to its reader."""
        address = self.place.address(self.contest, "-expected", self.group)
        return f"{address}?again={numbers_in_words(self.once_more)}" if self.once_more else address

    def surprises(self) -> tuple[dict[int, str], dict[int, str]]:
        """Contestants whose slip would be odd in it, and those from whom none is due, each with why, in a sentence."""
        odd, none = {}, {}
        if not self.by_name:
            divisions = self.divisions
            for person in people_of(self.contest):
                number, group = person.number, person.group
                if person.division_id not in divisions:
                    none[number] = self.not_due(number)
                elif not person.present:
                    odd[number] = _("{number} is marked as absent.").format(number=number)
                elif group and self.group not in (None, group):
                    odd[number] = _("{number} is in group {group}.").format(number=number, group=group)
                elif self.group not in (None, group):
                    odd[number] = _("{number} is in no group.").format(number=number)
        return odd, none
