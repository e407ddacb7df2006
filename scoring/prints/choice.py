"""What somebody chose to have printed: plain data that travels as JSON with a print job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from django.utils.translation import gettext_lazy

from scoring.core.record import IN_SET
from scoring.core.result import Standing

PAPERS = {"letter": gettext_lazy("Letter"), "a4": "A4"}
INDIVIDUALS = "individuals"
TEAMS = "teams"
KINDS = {INDIVIDUALS: gettext_lazy("contestants"), TEAMS: gettext_lazy("teams")}
MOST_COPIES = 50
MOST_SPARES = 200
MOST_PLACES = 1000
MOST_SHIFT = 5  # millimetres

# Sheets of labels, by what can be measured on them.
LABELS = {
    "a4-24": gettext_lazy("A4: 3 × 8 labels of 70 × 37 mm"),
    "a4-21": gettext_lazy("A4: 3 × 7 labels of 63.5 × 38.1 mm"),
    "a4-14": gettext_lazy("A4: 2 × 7 labels of 99.1 × 38.1 mm"),
    "letter-30": gettext_lazy("Letter: 3 × 10 labels of 2⅝ × 1 in"),
    "letter-10": gettext_lazy("Letter: 2 × 5 labels of 4 × 2 in"),
}


class WrongChoice(ValueError):
    """Raised for a choice that this contest or document does not offer, in words for whoever made it."""


def as_sentence(problem: Exception) -> str:
    text = str(problem)
    return f"{text[0].upper()}{text[1:]}."


@dataclass(frozen=True, slots=True)
class Choice:
    """What to print of a document, and how. What a document does not ask for, it does not look at.

    `lists` are named as `DIVISION/LIST`, such as `SR/overall`, or as `@SET` for all of a set of results. Empty `lists`,
    `kinds`, `classes` and `numbers` mean all of them. Who is in one of the `teams` is as good as a number;
    `scoring.prints.choosing` makes numbers of them.
    `places` 0 means as many as the contest gives. `skip` labels at the start of the first sheet are used up; `right`
    and `down` move what stands on labels by so many millimetres, for a printer that does not meet them. `spares`
    is how many spares are made, 0 as many as usual; `first` is the number from which on they are given those that
    nobody has, 0 the one that is proposed. `address` is where other devices reach this laptop. `language` is what it is
    made in, a code; empty for the usual one.
    `changed` leaves out the sheets that say what they said when a file of them was made last.
    """

    paper: str = "a4"
    lists: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    classes: tuple[int, ...] = ()
    numbers: tuple[int, ...] = ()
    teams: tuple[str, ...] = ()
    changed: bool = False
    order: str = ""
    places: int = 0
    copies: int = 1
    labels: str = ""
    skip: int = 0
    right: int = 0
    down: int = 0
    spares: int = 0
    first: int = 0
    address: str = ""
    language: str = ""

    def of_kind(self, kind: str) -> bool:
        return not self.kinds or kind in self.kinds

    def wants(self, number: int) -> bool:
        return not self.numbers or number in self.numbers

    def wants_list(self, standing: Standing) -> bool:
        """Whether a list was chosen: by itself, or all lists of its set."""
        _division, in_set, code = standing.division.partition(IN_SET)
        names = {f"{standing.division}/{standing.code}", f"{in_set}{code}"}
        return not self.lists or not names.isdisjoint(self.lists)

    def as_json(self) -> dict[str, Any]:
        """What differs from the plainest choice."""
        plain = asdict(Choice())
        return {name: value for name, value in asdict(self).items() if value != plain[name]}


def choice_from(values: Mapping[str, Any]) -> Choice:
    """A choice from what `as_json` gave; JSON knows no tuples."""
    known = {field.name for field in fields(Choice)}
    made: dict[str, Any] = {n: tuple(v) if isinstance(v, list) else v for n, v in values.items() if n in known}
    return Choice(**made)
