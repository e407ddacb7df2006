"""How anything is changed: one at a time, in one transaction, and once for each submission.

On SQLite the database's own wait for its write lock is unfair: under twelve helpers some saves take over a second. One
lock in the one serving process takes turns instead. PostgreSQL needs no such lock. `contest.changes.locks` says in
which order anything is waited for: this turn comes before every other lock.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from functools import wraps
from typing import Any, NamedTuple, ParamSpec, TypeVar, cast
from uuid import UUID

from django.db import connection, transaction

from contest.changes.at_once import send
from contest.changes.locks import refuse_under_memory_lock
from contest.changes.snapshot import a_change, doing
from contest.models import Contest, Submission

_turn = threading.RLock()
TAKE_TURN = "SELECT revision, trail_head FROM contest_contest WHERE id = %s AND loading_at IS NULL"
Parameters = ParamSpec("Parameters")
Outcome = TypeVar("Outcome")


class SubmissionReused(Exception):
    """Raised when a submission's id comes again with another content."""


@contextmanager
def one_change() -> Iterator[None]:
    """The transaction of one change. Changes inside it belong to it."""
    if doing() != "changing":
        refuse_under_memory_lock()
    with _turn if connection.vendor == "sqlite" else nullcontext(), a_change(), transaction.atomic():
        yield


class Turn(NamedTuple):
    """Where a contest's trail ends while nobody else can change the contest."""

    revision: int
    head: str


def take_turn(contest_id: int) -> Turn:
    """Wait until no other change of this contest is under way; the rest of the transaction has it alone.

    A change that looks before it writes begins with this: on PostgreSQL, two readings of one card at once would
    otherwise each miss the other. On SQLite the transaction itself has the database alone already.
    """
    return ask_for_turn(contest_id)()


def ask_for_turn(contest_id: int) -> Callable[[], Turn]:
    """Ask to take the turn, and return what waits for it: so that whoever knows what to look at then can ask for that
    at once (`contest.changes.at_once`)."""

    def turn(rows: list[Any]) -> Turn:
        if not rows:
            raise Contest.DoesNotExist(f"there is no contest {contest_id}")
        return Turn(*rows[0])

    # Every change begins so: it is put together but once.
    return send(TAKE_TURN + (" FOR UPDATE" if connection.vendor != "sqlite" else ""), [contest_id], turn)


def changes(function: Callable[Parameters, Outcome]) -> Callable[Parameters, Outcome]:
    """Mark a function that owns a change: all of it happens in one transaction, or nothing."""

    @wraps(function)
    def changing(*args: Parameters.args, **kwargs: Parameters.kwargs) -> Outcome:
        with one_change():
            return function(*args, **kwargs)

    return changing


def once(submission: UUID, content: Any, work: Callable[[], Outcome]) -> Outcome:
    """Do `work` for a submission that is new, and return its outcome; for one seen before, return what it was.

    `content` is what was submitted, as JSON can hold it; `work` returns what JSON can hold. Raises SubmissionReused
    where the same id came with another content.
    """
    return once_by_digest(submission, digest_of(content), work)


def digest_of(content: Any) -> str:
    """What tells a submission's content from every other."""
    return hashlib.sha256(json.dumps(content, sort_keys=True, default=str).encode()).hexdigest()


def once_by_digest(submission: UUID, digest: str, work: Callable[[], Outcome]) -> Outcome:
    """The same as `once`, for whoever was told the digest of the content alone."""
    with one_change():
        made, is_new = Submission.objects.get_or_create(pk=submission, defaults={"digest": digest})
        if not is_new:
            if made.digest != digest:
                raise SubmissionReused(f"submission {submission} was used for something else")
            return cast(Outcome, made.outcome)  # as JSON kept it
        outcome = work()
        Submission.objects.filter(pk=submission).update(outcome=outcome)
        return outcome
