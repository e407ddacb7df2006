"""Long lists in pieces: a page shows a part of a list, says in words how much more there is, and links to it.

What a page costs then does not grow with the contest. The address says which part, so that it can be come back to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

PAGE = "page"
"""The query's name for the part that is asked for, counted from 1."""


@dataclass(frozen=True, slots=True)
class Link:
    """Another part of the list. `rel` is "prev", "next" or empty."""

    query: str
    text: str
    rel: str = ""


@dataclass(frozen=True, slots=True)
class ListPart:
    """The rows of one part, the `first` to the `last` of `count`, counted from 1; `links` lead to the others."""

    rows: Sequence[Any]
    first: int
    last: int
    count: int
    links: tuple[Link, ...]

    @property
    def is_all(self) -> bool:
        return len(self.rows) == self.count


def part_of(
    rows: Sequence[Any] | QuerySet[Any, Any], size: int, asked: QueryDict, at: int | None = None, name: str = PAGE
) -> ListPart:
    """The part of `rows` that the address asks for, or the one with the row at the place `at`.

    A part that is not there is the nearest there is. `rows` may be a query: only the part is fetched.
    """
    pages = Paginator(rows, size)
    number = at // size + 1 if at is not None else asked.get(name, "1")
    page = pages.get_page(number)
    links = []
    if page.has_previous():
        if page.number > 2:
            links.append(Link(query_with(asked, name, None), pgettext("a part of a list", "first")))
        links.append(Link(query_with(asked, name, page.number - 1), pgettext("a part of a list", "before"), "prev"))
    if page.has_next():
        more = min(size, pages.count - page.end_index())
        following = _("next {count}").format(count=more)
        links.append(Link(query_with(asked, name, page.number + 1), following, "next"))
        if page.number < pages.num_pages - 1:
            links.append(Link(query_with(asked, name, pages.num_pages), pgettext("a part of a list", "last")))
    return ListPart(list(page.object_list), page.start_index(), page.end_index(), pages.count, tuple(links))


def query_with(asked: QueryDict, name: str, value: Any) -> str:
    """The query of an address with one value put in place of another, or left out; "?" without any."""
    query = asked.copy()
    query.pop(name, None)
    if value not in (None, "", 1):
        query[name] = value
    return "?" + query.urlencode()
