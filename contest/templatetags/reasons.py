"""Who read a slip and why it counts as it does: kept as it was, and read in the language of whoever looks."""

from functools import cache

from django import template
from django.utils.translation import gettext

from contest.entries.people import MOVED
from contest.models import SCANNER
from contest.records.day import BOOK, BY_OFFICIAL, SECOND
from contest.slips.kinds import KINDS
from contest.watch.forms import ABOUT_ABSENT, RUN_BECAUSE
from contest.watch.interchanged import INTERCHANGED
from contest.watch.undoing import UNDONE
from scoring.core.points import as_figure

register = template.Library()
minus = register.filter("minus", as_figure)


@register.filter
def reason_text(reason: str) -> str:
    """A reason that was picked in the language of the page; one in somebody's own words as it is."""
    return gettext(reason) if reason in _picked() else reason


@register.filter
def reader_name(name: str) -> str:
    """Whoever read something; a scanner, and a book that does not say who it was, are called so in the language of the
    page."""
    return gettext(name) if name in (BOOK, SECOND, BY_OFFICIAL, SCANNER) else name


@cache
def _picked() -> frozenset[str]:
    of_kinds = (reason for kind in KINDS for reason in (*kind.decided_because, *kind.astray_because))
    return frozenset((*of_kinds, *ABOUT_ABSENT, *RUN_BECAUSE, UNDONE, INTERCHANGED, MOVED, BOOK, BY_OFFICIAL))
