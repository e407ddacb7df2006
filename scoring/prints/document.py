"""What a printed document is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from scoring.prints.choice import Choice
from scoring.prints.material import Material

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

When = Literal["before", "during", "after"]
Need = Literal[
    "doubts",
    "ways_in",
    "rooms",
    "notes",
    "keys",
    "protests",
    "public",
    "next_level",
    "committees",
    "accommodations",
    "answers",
    "sweepstakes",
    "card_codes",
]

Build = Callable[[Material, Choice], dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Document:
    """One document of the print shop.

    `build` makes what the template shows from plain data. `asks` names the fields of a Choice that matter to it, and
    `orders` its orders in words, the usual one first. `needs` is what has to be fetched beyond the record and its
    result. `names` says whose names stand on it. `styles` are the style sheets beyond those of every page.
    `blank_for_nobody`: where no numbers are chosen it is filled in by hand, and not for everybody.
    """

    name: str
    title: StrOrPromise
    about: StrOrPromise
    when: When
    names: StrOrPromise
    build: Build
    asks: tuple[str, ...] = ()
    orders: Mapping[str, StrOrPromise] = field(default_factory=dict)
    needs: frozenset[Need] = frozenset()
    styles: tuple[str, ...] = ()
    blank_for_nobody: bool = False

    @property
    def template(self) -> str:
        return f"prints/{self.name.replace('-', '_')}.html"

    def order(self, choice: Choice) -> str:
        """The order that was chosen, or the usual one."""
        return choice.order if choice.order in self.orders else next(iter(self.orders), "")
