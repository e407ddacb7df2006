"""Whether an entry says a word: its sentence does, in the language of the moment, or what stands in it."""

from __future__ import annotations

import re
from typing import Any

from django.db import connection
from django.db.models import BooleanField, Q
from django.db.models.expressions import RawSQL

from contest.models import TrailEntry
from contest.trail.sentences import SENTENCES, codes_that_say

COLUMN = f'"{TrailEntry._meta.db_table}"."values"'

# Whatever stands in the values, however deep, one row each.
HELD = {
    "sqlite": f"SELECT atom AS held FROM json_tree({COLUMN}) WHERE atom IS NOT NULL",  # noqa: S608 -- our own names
    "postgresql": f"SELECT node #>> '{{}}' AS held FROM jsonb_path_query({COLUMN}, 'strict $.**') AS node"  # noqa: S608
    " WHERE jsonb_typeof(node) NOT IN ('object', 'array')",
}
LIKE = {"sqlite": "LIKE", "postgresql": "ILIKE"}


def says(word: str) -> Q:
    """What to filter entries by; capitals make no difference."""
    codes = codes_that_say(word)
    # A code within the values is a sentence within the sentence, and nobody reads the code itself.
    unread = {code for code in SENTENCES if word.casefold() in code} - codes
    return Q(what__in=codes) | Q(_held(word, codes, unread))


def _held(word: str, codes: set[str], unread: set[str]) -> RawSQL:
    """Whether a word stands in the values, or one of the codes does."""
    vendor = connection.vendor
    # SQLite knows capitals of English letters alone.
    forms = sorted({form(word) for form in (str, str.lower, str.upper, str.capitalize)})
    has_word = " OR ".join([f"held {LIKE[vendor]} %s ESCAPE '\\'"] * len(forms))
    params: list[Any] = ["%" + re.sub(r"([\\%_])", r"\\\1", form) + "%" for form in forms]
    wanted = f"(({has_word}){_among('AND held NOT IN', unread)}){_among('OR held IN', codes)}"
    sql = f"EXISTS (SELECT 1 FROM ({HELD[vendor]}) AS values_held WHERE {wanted})"  # noqa: S608 -- our own names
    return RawSQL(sql, [*params, *sorted(unread), *sorted(codes)], BooleanField())  # noqa: S611 -- what is typed is a parameter


def _among(condition: str, codes: set[str]) -> str:
    return f" {condition} ({', '.join(['%s'] * len(codes))})" if codes else ""
