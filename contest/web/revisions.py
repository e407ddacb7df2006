"""Has anything changed? The cheapest answer there is, because every open page asks it every other second."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any, TypeVar

from django.core.cache import cache
from django.http import HttpResponse
from django.utils.translation import get_language

from contest.changes.locks import MemoryLock
from contest.models import Contest, Touches, TrailEntry
from contest.web.requests import Request

FRESH_FOR = 0.5
"""Seconds for which an answer is good enough: nobody reads a page faster."""

MOST_KEPT = 200
"""Things made once a version that are kept: a few for each contest that somebody looks at."""

ASKED = "v"
"""The query's name for the version that a page already shows."""

_lock = MemoryLock()


def revision_of(contest_id: int) -> int | None:
    """The contest's revision, at most half a second old; None where there is no such contest.

    One tiny query per process and half second, however many look on.
    """
    name = _name(contest_id)
    with _lock:  # or a burst of pages that wake together would each ask
        known = cache.get(name)
        if known is None:
            known = Contest.objects.filter(pk=contest_id).values_list("revision", flat=True).first()
            cache.set(name, -1 if known is None else known, FRESH_FOR)
    return None if known == -1 else known


def besides_cards(contest_id: int, revision: int | None) -> int | None:
    """The last revision up to this one, as far as is known, at which more happened than that cards were read: the
    version of what cards do not change. It costs one tiny query where the revision has grown."""
    seen, answer = _seen.get(contest_id, (None, None))
    if revision is None or revision == seen:
        return revision and answer
    if seen is None or revision < seen:
        answer = revision
    else:
        since = TrailEntry.objects.filter(contest=contest_id, revision__gt=seen, revision__lte=revision)
        answer = revision if since.exclude(touches=Touches.CARDS).exists() else answer
    _seen[contest_id] = revision, answer
    return answer


def ask_anew(contest_id: int) -> None:
    """Let the next page that asks be told at once: for what a whole hall waits for."""
    cache.delete(_name(contest_id))


def _name(contest_id: int) -> str:
    return f"revision-{contest_id}"


def nothing_new(request: Request, version: str) -> HttpResponse | None:
    """204 for a page that asks whether there is anything newer than the `version` it shows; None where there is.

    204 and not 304: a script that is told nothing leaves the page alone, with no flicker.
    """
    return HttpResponse(status=204) if request.GET.get(ASKED) == version else None


def is_poll(request: Request) -> bool:
    """Whether a page asks for its live part alone."""
    return ASKED in request.GET


Made = TypeVar("Made")


def once_a_version(
    name: str, version: str, make: Callable[[], Made], lock: AbstractContextManager[Any] | None = None
) -> Made:
    """What `make` made for this version, made at most once per process while the version lasts.

    It is kept for each language apart, since most of it is words. One is made at a time; what takes long brings a
    `lock` of its own, so that nothing else waits for it. It is kept as it is, not copied: leave it alone.
    """
    name = f"{name} {get_language()}"
    kept = _kept.get(name)
    if kept is None or kept[0] != version:
        with lock or _making:
            kept = _kept.get(name)
            if kept is None or kept[0] != version:
                kept = _kept[name] = (version, make())
                _kept.move_to_end(name)
                while len(_kept) > MOST_KEPT:
                    _kept.popitem(last=False)
    made: Made = kept[1]
    return made


def forget_all() -> None:
    """Drop everything that was made: for tests, whose databases start over with the same keys."""
    _kept.clear()
    _seen.clear()


_making = MemoryLock(again=True)
_kept: OrderedDict[str, tuple[str, Any]] = OrderedDict()
_seen: dict[int, tuple[int, int | None]] = {}
