"""Lists with more rows than a page should hold, in parts. What is looked for is then found here, not by a script."""

from __future__ import annotations

from typing import Any

from django.http import QueryDict

from contest.web.bounds import part_of

LONG = 200
"""Rows up to which a page holds a whole list, so that a script can narrow it while somebody types."""

A_PART = 100


def in_parts(page: dict[str, Any], asked: QueryDict) -> dict[str, Any]:
    """What `standings_page` shows, with no more than a part of what is long; whole lists are left as they are."""
    longer = {name for name in ("individuals", "teams") if len(page.get(name, ())) > LONG}
    if not longer:
        return page
    shown: dict[str, Any] = {"in_parts": True}
    for name in longer:
        part = part_of([row for row in page[name] if not row.hidden], A_PART, asked, name=f"{name}-page")
        shown |= {name: part.rows, f"{name}_part": part}
    return page | shown
