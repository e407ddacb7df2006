"""What other apps keep of a contest besides its rows. This app knows none of them: each tells it in AppConfig.ready.

They are called where a change is made, by name and within its transaction, so that whoever reads a change sees all of
it. There are no signals.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from contest.jobs import Line, keep_going
from contest.models import Contest


def _nothing(by: str) -> None:
    """An app without names has nothing to put in place."""


@dataclass(frozen=True, slots=True)
class OtherApp:
    """`files_of`: names of files of the store (`contest.kept`) that go with a contest that is deleted for good.
    `forget`: show nobody what was made of a contest, known by its key, before this moment. `make_anonymous`: take names
    out of what is no row, given how each person is called now; it works before the turn, and gives back what is to be
    done in it, given who asks. `check_books`: what is wrong with the books that the trail told of, given the digest of
    each by its version. `lines`: its kinds of jobs, and `tidying` what is done now and again where several processes
    serve. `while_serving` is run by a thread of the serving process, until the event is set. `purposes`: by name, what
    is done with files that people bring once they are read, see `contest.uploads.purposes`."""

    files_of: Callable[[Contest], list[str]] = lambda contest: []
    forget: Callable[[int], None] = lambda pk: None
    make_anonymous: Callable[[Contest, Callable[[str], str]], Callable[[str], None]] = lambda contest, called: _nothing
    check_books: Callable[[Contest, dict[int, str]], Iterable[str]] = lambda contest, books: ()
    while_serving: Callable[[threading.Event], None] = lambda stop: None
    lines: tuple[Line[Any], ...] = ()
    tidying: tuple[Callable[[], None], ...] = ()
    purposes: Mapping[str, Callable[..., None]] = field(default_factory=dict)


OTHER_APPS: list[OtherApp] = []


def keep_lines_going(stop: threading.Event, works: bool = False) -> None:
    """Look after the jobs of all apps until told to stop; `works` says that this process is there for that."""
    tidying = [tidy for app in OTHER_APPS for tidy in app.tidying]
    keep_going([line for app in OTHER_APPS for line in app.lines], stop, works, tidying)


def forget(pk: int) -> None:
    """Show nobody what any app made of a contest before this moment."""
    for app in OTHER_APPS:
        app.forget(pk)
