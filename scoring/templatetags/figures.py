"""Figures in columns, so that their decimal points stand below each other."""

from collections.abc import Iterable

from django import template

from scoring.standings.rows import short_by

register = template.Library()


@register.simple_tag
def short(figure: str | None, rows: Iterable[object], name: str) -> int:
    """By how many characters the figure is shorter than the longest of its column: `name` of each of the rows."""
    column = (getattr(row, name) for row in rows)
    return short_by([figure or "", *(str(other or "") for other in column)])[0]
