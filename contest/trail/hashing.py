"""What is hashed, and how: pure functions, so that a proof needs nothing but the rows.

The hash of an entry is SHA-256 over one JSON list, with sorted keys and no spaces: the hash of the entry before it, the
contest's key (null in the site's chain), the revision, the time in UTC to the microsecond, who, what, its values,
before, after, what it touches, what it is about, and the digest of the rows kept beside it. Names stand in it as their
tokens.
"""

from __future__ import annotations

import hashlib
import json
import re
import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from contest.trail.sentences import as_json

TOKEN = re.compile(r"name:[0-9a-f]{40}")

NAME_LENGTH = 200

NAME_KEYS = frozenset({"first_name", "last_name", "say_name", "person", "officials"})
"""Whatever text stands below one of these keys of an entry's before and after is somebody's name."""


@dataclass(frozen=True, slots=True)
class Content:
    """An entry as it is hashed, every name a token."""

    contest: int | None
    revision: int
    at: datetime
    by: str
    what: str
    values: Any
    before: Any
    after: Any
    touches: str
    about: str
    rows_digest: str

    def hash_after(self, previous: str) -> str:
        said = [
            previous,
            self.contest,
            self.revision,
            self.at.astimezone(UTC).isoformat(timespec="microseconds"),
            self.by,
            self.what,
            self.values,
            self.before,
            self.after,
            self.touches,
            self.about,
            self.rows_digest,
        ]
        return hashlib.sha256(json.dumps(said, sort_keys=True, separators=(",", ":")).encode()).hexdigest()

    @classmethod
    def of(cls, entry: Any) -> Content:
        """What an entry of the table holds."""
        return cls(**{name: getattr(entry, column) for column, name in COLUMNS.items()})

    def columns(self) -> dict[str, Any]:
        """The entry's columns and their values."""
        return {column: getattr(self, name) for column, name in COLUMNS.items()}


COLUMNS = {"contest_id": "contest"} | {name: name for name in Content.__slots__ if name != "contest"}
"""Which column of an entry holds which part of its content."""


def new_salt() -> str:
    return secrets.token_hex(16)


def token_of(salt: str, name: str) -> str:
    return "name:" + hashlib.sha256((salt + name).encode()).hexdigest()[:40]


def short(digest: str) -> str:
    """A hash as it stands on paper: its first 16 signs in fours."""
    return " ".join(digest[start : start + 4] for start in range(0, 16, 4)) if digest else ""


class Personal(str):
    """Somebody's name, or words that may tell of somebody, within an entry's before or after."""

    __slots__ = ()


def names_in(value: Any, is_name: bool = False) -> Iterator[str]:
    """Every name within what an entry is to hold."""
    if isinstance(value, str):
        if value and (is_name or isinstance(value, Personal)):
            yield _cut(value)
    elif isinstance(value, Mapping):
        for key, held in value.items():
            if type(held) is not str:
                yield from names_in(held, is_name or key in NAME_KEYS)
            elif held and (is_name or key in NAME_KEYS):  # most of what an entry list says: no call for each
                yield held[:NAME_LENGTH]
    elif isinstance(value, list | tuple):
        for held in value:
            if is_name or type(held) is not str:
                yield from names_in(held, is_name)


def with_tokens(value: Any, tokens: Mapping[str, str], is_name: bool = False) -> Any:
    """The same with every name made its token, in the shape in which JSON gives it back."""
    if isinstance(value, str):
        return tokens[_cut(value)] if value and (is_name or isinstance(value, Personal)) else str.__str__(value)
    if isinstance(value, Mapping):
        return {
            _key(key): with_tokens(held, tokens, True)
            if is_name or key in NAME_KEYS
            else held
            if type(held) is str
            else with_tokens(held, tokens)
            for key, held in value.items()
        }
    if isinstance(value, list | tuple):
        return [held if type(held) is str and not is_name else with_tokens(held, tokens, is_name) for held in value]
    return as_json(value)


def with_names(value: Any, names: Mapping[str, str]) -> Any:
    """The same with every token that is known made a name again."""
    if isinstance(value, str):
        return names.get(value, value)
    if isinstance(value, Mapping):
        return {key: with_names(held, names) for key, held in value.items()}
    if isinstance(value, list | tuple):
        return [with_names(held, names) for held in value]
    return value


def tokens_in(value: Any) -> Iterator[str]:
    """Every token within an entry's before or after."""
    if isinstance(value, str):
        if TOKEN.fullmatch(value):
            yield value
    elif isinstance(value, Mapping):
        for held in value.values():
            yield from tokens_in(held)
    elif isinstance(value, list | tuple):
        for held in value:
            yield from tokens_in(held)


def _cut(name: str) -> str:
    return str.__str__(name)[:NAME_LENGTH]


def _key(key: Any) -> str:
    """A key as JSON writes it."""
    return key if type(key) is str else str(next(iter(json.loads(json.dumps({key: 0})))))
