"""The problems of a book that was refused: what is alike said once on the page, all of it as a text to save."""

from __future__ import annotations

from typing import Any

from django.core.cache import caches
from django.utils.translation import gettext as _

from contest.book import Problem
from contest.book.problems import KINDS, besides, grouped

KEPT_FOR = 60 * 60
"""Seconds that the whole list waits to be saved; the last one of each superintendent."""


def shown_problems(problems: tuple[Problem, ...]) -> dict[str, Any]:
    """What the page shows of them."""
    kinds = grouped(problems)
    rest = kinds[KINDS:]
    return {
        "count": len(problems),
        "kinds": kinds[:KINDS],
        "besides": besides(rest) if rest else "",
        "has_more": bool(rest) or any(alike.more for alike in kinds),
    }


def keep_problems(user: int | None, book: str, problems: tuple[Problem, ...]) -> None:
    text = "\n".join([_("Problems of {book}").format(book=book), "", *map(str, problems), ""])
    caches["shared"].set(_slot(user), text, KEPT_FOR)


def kept_problems(user: int | None) -> str | None:
    """Every problem of the last book that was refused, a line each; None once they are gone."""
    text: str | None = caches["shared"].get(_slot(user))
    return text


def _slot(user: int | None) -> str:
    return f"book-problems:{user}"
