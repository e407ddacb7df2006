"""The names beside the trail: entries hold tokens, and only these rows say whose they are."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable

from django.core.cache import cache
from django.db import connection, transaction

from contest.models import Contest, TrailName
from contest.trail.hashing import new_salt, token_of
from scoring.core.texts import gettext
from scoring.core.texts import gettext_noop as _

FORGOTTEN = _("somebody, made anonymous")
A_STRANGER = _("a stranger")
TERMINAL = _("terminal")
"""Who acts on the laptop itself, at its command line."""

REMEMBERED = 60
"""Seconds: another process may forget names meanwhile, and then a name gets a new token soon."""

CHUNK = 500

NEW = "INSERT INTO contest_trailname (contest_id, token, salt, name) VALUES (%s, %s, %s, %s) ON CONFLICT DO NOTHING"


def token_for(contest_id: int | None, name: str) -> str:
    """The token of one who acts; no statement where it was asked for lately."""
    # The name may be anything, and a cache is choosy about its keys.
    key = f"trail-name-{contest_id}-{hashlib.sha256(name.encode()).hexdigest()}"
    token: str | None = cache.get(key)
    if token is None:
        token = tokens_for(contest_id, {name})[name]
        # Not before the row is there for good: a transaction that fails takes it back.
        transaction.on_commit(lambda: cache.set(key, token, REMEMBERED))
    return token


def tokens_for(contest_id: int | None, names: Collection[str]) -> dict[str, str]:
    """The tokens of names, each made at its first use."""
    tokens = _known(contest_id, names)
    new = []
    for name in sorted(set(names) - set(tokens)):
        salt = new_salt()
        new.append((contest_id, token_of(salt, name), salt, name))
    if new:
        with connection.cursor() as cursor:  # an entry list brings thousands
            cursor.executemany(NEW, new)
            added = cursor.rowcount
        if added == len(new):
            return tokens | {name: token for _, token, _, name in new}
        # The site's chain and a contest's may both want a name of the contest at once.
        tokens |= _known(contest_id, [name for *_, name in new])
    return tokens


def _known(contest_id: int | None, names: Collection[str]) -> dict[str, str]:
    known: dict[str, str] = {}
    asked = sorted(names)
    for start in range(0, len(asked), CHUNK):
        rows = TrailName.objects.filter(contest=contest_id, name__in=asked[start : start + CHUNK])
        known |= {name: token for name, token in rows.values_list("name", "token") if name}
    return known


def names_of(tokens: Iterable[str]) -> dict[str, str]:
    """Whose tokens they are; FORGOTTEN for a name that was made anonymous."""
    asked = sorted(set(tokens))
    names: dict[str, str] = {}
    for start in range(0, len(asked), CHUNK):
        rows = TrailName.objects.filter(token__in=asked[start : start + CHUNK])
        names |= {token: called(name) for token, name in rows.values_list("token", "name")}
    return names


def called(name: str | None) -> str:
    """A name as people read it; whoever has none is called by a word of ours."""
    return gettext(name or FORGOTTEN) if name in (None, A_STRANGER, TERMINAL) else name


def forget_names(contest: Contest, keep: Collection[str] = ()) -> int:
    """Make every name in the contest's trail anonymous for good, except those to `keep`; how many they were.

    The entries stay as they are and still prove. Call it in the transaction that makes the rest anonymous.
    """
    rows = TrailName.objects.filter(contest=contest, name__isnull=False).exclude(name__in=keep)
    forgotten = rows.update(name=None, salt="")
    transaction.on_commit(cache.clear)
    return forgotten
