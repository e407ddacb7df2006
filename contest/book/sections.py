"""Tables of contest.toml with their line numbers, and checked access to their values."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, time
from functools import reduce
from typing import Any, Final, TypeVar

from contest.book.files import CONTEST
from contest.book.problems import Problems
from contest.book.text import why_not_code, why_not_text
from scoring.core.texts import gettext as _

REQUIRED: Final = object()
Instead = TypeVar("Instead")

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z0-9_-]+)\s*\]\]?")
_KEY = re.compile(r"""\s*["']?([A-Za-z0-9_-]+)["']?\s*=""")


class Lines:
    """Where each table and key of a contest.toml stands, since the standard TOML parser does not say.

    The format is flat, so a look at the line starts is enough; what is written some other way gets its table's line.
    """

    def __init__(self, text: str) -> None:
        self._lines: dict[tuple[str, int, str], int] = {}
        table, seen = "", {"": 1}
        for number, line in enumerate(text.split("\n"), start=1):
            if header := _HEADER.match(line):
                table = header[1]
                seen[table] = seen.get(table, 0) + 1
                self._lines.setdefault((table, seen[table] - 1, ""), number)
            elif key := _KEY.match(line):
                self._lines.setdefault((table, seen[table] - 1, key[1]), number)

    def of(self, table: str, index: int, key: str) -> int:
        """The line of a key, or of its table; 0 where neither is to be found.

        At the top a key may be a table's name, and where a table should be there may be a key.
        """
        places = ((table, index, key), (table, index, ""), ("", 0, table), (key, 0, ""))
        return next((self._lines[place] for place in places if place in self._lines), 0)


class Section:
    """One table of contest.toml. Each getter reports a missing or wrong value and goes on with a harmless one."""

    def __init__(self, values: Mapping[str, Any], lines: Lines, problems: Problems, table: str, index: int = 0) -> None:
        self._values = values
        self._lines = lines
        self._problems = problems
        self._table = table
        self._index = index
        self._asked: set[str] = set()

    def problem(self, key: str, reason: str) -> None:
        self._problems.add(CONTEST, self._lines.of(self._table, self._index, key), reason)

    def has(self, key: str) -> bool:
        return key in self._values

    def text(self, key: str, default: Any = REQUIRED) -> str:
        value = self._get(key, default)
        if not isinstance(value, str):
            return self._wrong(key, value, _("text in quotes"), "")
        text = value.strip()
        if reason := why_not_text(text, key):
            self.problem(key, reason)
        if default is REQUIRED and not text and self.has(key):
            self.problem(key, _("{key} is empty").format(key=key))
        return text

    def code(self, key: str = "code") -> str:
        text = self.text(key)
        if text and (reason := why_not_code(text)):
            self.problem(key, f"{key}: {reason}")
        return text

    def reference(self, key: str, known: Collection[str], noun: str) -> str:
        """The code of something defined elsewhere, or empty where it is left out."""
        text = self.text(key, "")
        if text and text not in known:
            told = _("{what} {code!r} is not defined in this file")
            self.problem(key, told.format(what=noun, code=text))
            return ""
        return text

    def references(self, key: str, known: Collection[str], noun: str, default: Any = REQUIRED) -> tuple[str, ...]:
        codes: list[str] = []
        for code in self.texts(key, default):
            if code not in known:
                told = _("{what} {code!r} in {key} is not defined in this file")
                self.problem(key, told.format(what=noun, code=code, key=key))
            elif code in codes:
                self.problem(key, _("{what} {code!r} stands twice in {key}").format(what=noun, code=code, key=key))
            else:
                codes.append(code)
        return tuple(codes)

    def texts(self, key: str, default: Any = REQUIRED) -> tuple[str, ...]:
        value = self._get(key, default)
        if not isinstance(value, (list, tuple)) or not all(isinstance(item, str) for item in value):
            return self._wrong(key, value, _('a list of texts, such as ["JR", "SR"]'), ())
        return tuple(item.strip() for item in value)

    def whole(self, key: str, default: Any, least: int, most: int) -> int:
        value = self._get(key, default)
        if isinstance(value, bool) or not isinstance(value, int):
            return self._wrong(key, value, _("a whole number"), least)
        if not least <= value <= most:
            told = _("{key} is {value}; it must lie between {least} and {most}")
            self.problem(key, told.format(key=key, value=value, least=least, most=most))
            return least
        return value

    def flag(self, key: str, default: bool) -> bool:
        value = self._get(key, default)
        return value if isinstance(value, bool) else self._wrong(key, value, _("true or false"), default)

    def choice(self, key: str, default: Any, options: Iterable[str]) -> Any:
        value = self._get(key, default)
        if value in options:
            return value
        quoted = (f'"{option}"' for option in options)
        allowed = reduce(lambda one, other: _("{one} or {other}").format(one=one, other=other), quoted)
        return self._wrong(key, value, allowed, next(iter(options)))

    def day(self, key: str) -> date | None:
        value = self._get(key, None)
        if value is None:
            return None
        if isinstance(value, date) and not isinstance(value, datetime):
            return value
        return self._wrong(key, value, _("a date without quotes, such as 2026-10-17"), None)

    def time_of_day(self, key: str) -> time | None:
        value = self._get(key, None)
        if value is None or (isinstance(value, time) and value.tzinfo is None):
            return value
        return self._wrong(key, value, _("a time without quotes, such as 09:00:00"), None)

    def value(self, key: str) -> Any:
        """A value as TOML gives it, None where it is left out; the caller checks it."""
        return self._get(key, None)

    def refuse_unknown_keys(self) -> None:
        for key in self._values:
            if key not in self._asked:
                told = _("{key!r} is not a setting of [{table}]; known: {known}")
                self.problem(key, told.format(key=key, table=self._table, known=", ".join(sorted(self._asked))))

    def _get(self, key: str, default: Any) -> Any:
        self._asked.add(key)
        return self._values.get(key, default)

    def _wrong(self, key: str, value: Any, wanted: str, instead: Instead) -> Instead:
        if value is REQUIRED:
            told = _("{key} is missing from [{table}]; it is {wanted}")
            self.problem("", told.format(key=key, table=self._table, wanted=wanted))
        else:
            told = _("{key} is {value!r}; it must be {wanted}")
            self.problem(key, told.format(key=key, value=value, wanted=wanted))
        return instead
