"""How the fields of an entry are called, and their values shown."""

from django import template

from contest.book.entry_columns import called, shown
from scoring.core.points import in_thousands

register = template.Library()


@register.filter
def field_name(field: str) -> str:
    return called(field)


register.filter("in_thousands", in_thousands)


@register.filter
def cell(value: str | int | bool) -> str:
    return shown(value)
