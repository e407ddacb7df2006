"""Which of many doubts are shown: of a kind, of a group, of a number. The address says it, and the forms keep it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django.http import QueryDict
from django.utils.translation import gettext as _

from contest.watch.doubts import TITLES, Doubt
from contest.watch.progress import group_order

LONGEST = 200
"""Characters of a filter as a form sends it back."""


class FilterLink(NamedTuple):
    """A kind or a group with how many doubts it has; `query` shows those alone, or all again where it is `here`."""

    name: str
    count: int  # type: ignore[assignment]  # it hides what nobody asks a row for: tuple.count
    query: str
    here: bool


@dataclass(frozen=True, slots=True)
class Filter:
    """What is shown; empty texts leave nothing out. `group` is None where any will do: a group may have no name."""

    kind: str = ""
    group: str | None = None
    number: str = ""

    @classmethod
    def of(cls, asked: QueryDict) -> Filter:
        kind, number = asked.get("kind", ""), asked.get("number", "").strip()
        return cls(kind if kind in TITLES else "", asked.get("group"), number if number.isdecimal() else "")

    @property
    def fields(self) -> dict[str, str]:
        every = {"kind": self.kind, "group": self.group, "number": self.number}
        return {name: value for name, value in every.items() if value or (name == "group" and value is not None)}

    @property
    def query(self) -> str:
        return urlencode(self.fields)[:LONGEST]

    def fits(self, doubt: Doubt) -> bool:
        return (
            (not self.kind or doubt.kind == self.kind)
            and (self.group is None or doubt.group == self.group)
            and (not self.number or str(doubt.number) == self.number)
        )

    def chosen(self, doubts: Sequence[Doubt]) -> Sequence[Doubt]:
        return [doubt for doubt in doubts if self.fits(doubt)] if self.fields else doubts

    def kinds(self, doubts: Iterable[Doubt]) -> list[FilterLink]:
        """How many there are of each kind, among those that fit otherwise."""
        others = replace(self, kind="")
        counts = Counter(doubt.kind for doubt in doubts if others.fits(doubt))
        return [self._link(_(title), counts[kind], "kind", kind, "") for kind, title in TITLES.items() if counts[kind]]

    def groups(self, doubts: Iterable[Doubt]) -> list[FilterLink]:
        """The same for each group; doubts about nobody's card are in none."""
        others = replace(self, group=None)
        counts = Counter(doubt.group for doubt in doubts if others.fits(doubt))
        names = {group: _("Group {group}").format(group=group) if group else _("No group") for group in counts}
        return [
            self._link(names[group], counts[group], "group", group, None) for group in sorted(counts, key=group_order)
        ]

    def _link(self, name: str, count: int, field: str, value: str, nothing: str | None) -> FilterLink:
        here = getattr(self, field) == value
        chosen: dict[str, Any] = {field: nothing if here else value}
        return FilterLink(name, count, "?" + replace(self, **chosen).query, here)
