"""Texts in the language of whoever reads them, for what is pure: the book, the core and the planner.

Django knows the language of each request; whoever sets it up hands over its translations once (`speak`). Without that
every text is said as it stands in the code, in English. The functions are called as everywhere (`gettext as _`), so
that the texts are found in the same way.
"""

from __future__ import annotations

import gettext as standard
from collections.abc import Callable
from typing import Protocol


class Translations(Protocol):
    """What `django.utils.translation` and the standard library's translations both have."""

    def gettext(self, message: str, /) -> str: ...
    def ngettext(self, singular: str, plural: str, number: int, /) -> str: ...
    def pgettext(self, context: str, message: str, /) -> str: ...
    def npgettext(self, context: str, singular: str, plural: str, number: int, /) -> str: ...


_in_use: Translations = standard.NullTranslations()
_decimal_mark: Callable[[], str] = lambda: "."  # noqa: E731 -- replaced by `speak`


def speak(translations: Translations, decimal_mark: Callable[[], str]) -> None:
    """From now on say every text as these translations do, each time in the language of that moment."""
    global _in_use, _decimal_mark
    _in_use, _decimal_mark = translations, decimal_mark


def gettext(message: str) -> str:
    return _in_use.gettext(message)


def ngettext(singular: str, plural: str, number: int) -> str:
    """The text that fits a number; `number` still has to be put into it."""
    return _in_use.ngettext(singular, plural, number)


def pgettext(context: str, message: str) -> str:
    """A short text that means several things in English; `context` tells the translator which."""
    return _in_use.pgettext(context, message)


def npgettext(context: str, singular: str, plural: str, number: int) -> str:
    return _in_use.npgettext(context, singular, plural, number)


def gettext_noop(message: str) -> str:
    """Mark a text that is said later, by `gettext`, such as one in a table of the module."""
    return message


def ngettext_noop(singular: str, plural: str) -> tuple[str, str]:
    """Mark a text with its plural that is said later, by `ngettext(*TABLE[key], number)`."""
    return singular, plural


def decimal_mark() -> str:
    """What stands between whole points and their hundredths where people read them; files always have a point."""
    return _decimal_mark()
