"""What any number of viewers look at is made once.

A board is known by a fingerprint of what it shows, so that a change which nobody can see reaches no browser. It is made
anew only when the contest's revision has moved: every reading, release and step of a ceremony moves it. One that shows
the sweepstakes of a day looks at the other contests of the day too.
"""

from __future__ import annotations

import gzip
import hashlib
import math
import time
from collections import OrderedDict
from dataclasses import dataclass

from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.utils.translation import get_language

from contest.changes.locks import MemoryLock
from contest.models import Contest
from contest.watch.counting import PACE_STEP
from contest.web.revisions import ask_anew, revision_of
from scoring.board.board import Board, board_of
from scoring.board.day import ask_day_anew, version_of_day_lately

KEPT = 8
"""Boards kept in memory: the live contest's in a few languages, and some that somebody looks back at."""

LETTERS = str.maketrans("0123456789", "ghijklmnop")
"""A board's version has no digits: one that looks like a placing would be taken for one that got out."""


@dataclass(frozen=True, slots=True)
class Made:
    """A board as HTML, and packed. It holds for one revision, and `until` then (on the process's own clock); one of a
    whole day for one version of that too, `hangs_on`."""

    revision: int | None
    until: float
    version: str
    html: str
    name: str
    packed: bytes
    hangs_on: str


_kept: OrderedDict[tuple[int, str | None], Made] = OrderedDict()
_lock = MemoryLock()


def board_now(pk: int) -> Made:
    """The board of a contest in the language of the moment, at most half a second old. Raises Http404 where there is
    none.

    A burst of viewers after a change costs one board. While it is made the others are shown the one before, rather than
    hold up every thread of the server, and with them the cards.
    """
    revision, which = revision_of(pk), (pk, get_language())
    made = _kept.get(which)
    if made is not None and (_holds(made, pk, revision) or _lock.locked()):
        return made
    with _lock:
        made = _kept.get(which)
        if made is None or not _holds(made, pk, revision):
            made = _kept[which] = _make(pk)
            _kept.move_to_end(which)
            while len(_kept) > KEPT:
                _kept.popitem(last=False)
        return made


def forget(pk: int) -> None:
    """Show nobody the board as it was, nor that of a day, which may have been this contest's: not even while another
    one is made, and without the half second."""
    ask_anew(pk)
    for which, made in list(_kept.items()):
        if which[0] == pk or made.hangs_on:
            ask_day_anew(which[0])
            _kept.pop(which, None)


def forget_all() -> None:
    """Drop everything kept: for tests, whose databases start over with the same keys."""
    with _lock:
        _kept.clear()


def _holds(made: Made, pk: int, revision: int | None) -> bool:
    # What was made may be a little newer than the revision that somebody remembers.
    return (
        revision is not None
        and made.revision is not None
        and made.revision >= revision
        and time.monotonic() < made.until
        and (not made.hangs_on or made.hangs_on == version_of_day_lately(pk))
    )


def _make(pk: int) -> Made:
    contest = get_object_or_404(Contest, pk=pk)
    board: Board = board_of(contest)
    context = {"board": board, "contest": contest}
    shown = render_to_string("scoring/board/_shown.html", context)
    version = hashlib.blake2b(shown.encode(), digest_size=8).hexdigest().translate(LETTERS)
    html = render_to_string("scoring/board/_board.html", context | {"shown": shown, "version": version})
    until = time.monotonic() + (PACE_STEP if board.moves_with_time else math.inf)
    packed = gzip.compress(html.encode(), 5)
    return Made(contest.revision, until, version, html, contest.name, packed, board.hangs_on)
