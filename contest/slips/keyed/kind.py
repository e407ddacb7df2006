"""What a part with a key asks of its officials and of its contestants."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from contest.models import Part

Shown = tuple[tuple[str, str], ...]
"""A key in pairs: each label, or the number of each question, with what the key says of it."""


@dataclass(frozen=True)
class Keyed(ABC):
    """One part. What is typed is text; what `read` and `parse_key` make of it is what is kept."""

    part: Part

    page: ClassVar[str]
    """The template of the page where its slips are entered."""
    column: ClassVar[Any]
    """What heads a column of what was handed in."""
    typed_before: ClassVar[Any]
    """Why the part must stay as it is once a key was typed."""
    no_mark: ClassVar[Any]
    """Why no points are entered for such a part."""

    @property
    @abstractmethod
    def asked(self) -> str:
        """What the part asks for, in a few words."""

    @property
    @abstractmethod
    def own(self) -> dict[str, Any]:
        """What the page where its slips are entered needs."""

    @abstractmethod
    def parse_key(self, text: str) -> str:
        """What somebody types as the key, as it is kept. Raises Unclear."""

    @abstractmethod
    def shown(self, given: str) -> Shown:
        """A key that is kept, for people to read."""

    @abstractmethod
    def read(self, text: str) -> str:
        """What somebody typed off a slip, as it is kept where `why_not` finds nothing wrong with it."""

    @abstractmethod
    def why_not(self, chosen: str) -> str:
        """What keeps this from being what such a slip can say, in words; empty where nothing does."""

    @abstractmethod
    def warning(self, chosen: str) -> str:
        """What whoever reads a slip that can be read is told besides; empty where all is well."""

    def apart(self, chosen: Sequence[str]) -> str:
        """Where readings of one slip differ, in words; empty where a look at them says it."""
        return ""

    def is_unreadable(self, word: str) -> bool:
        """Whether signs that are no slip's say that it cannot be read."""
        return word in ("*", "?")
