"""What is noted of coming, going and fetching: it changes no contest, and must cost a crowd of guessers nothing."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterable

from django.contrib.auth.models import User
from django.db import DatabaseError

from contest.models import Contest
from contest.models.organisations import organisation_of
from contest.trail.names import A_STRANGER, TERMINAL
from contest.trail.recording import note
from contest.trail.sentences import Sentence, sentence
from contest.web.requests import Request

log = logging.getLogger(__name__)

MINUTE = 60


def note_fetched(request: Request, what: Sentence, contest: Contest | None, about: Iterable[str] = ()) -> None:
    """Note that somebody fetched something that tells of people. A disk that is full refuses nobody their file."""
    if request.method == "HEAD":
        return
    try:
        note(getattr(request, "who", "") or A_STRANGER, what, contest, about=about)
    except DatabaseError as problem:
        log.warning("that a file was fetched could not be noted: %s", problem)


def note_at_terminal(what: Sentence, contest_id: int) -> None:
    """Note what a command of the laptop's own wrote that tells of people."""
    try:
        note(TERMINAL, what, Contest.objects.get(pk=contest_id))
    except DatabaseError as problem:
        log.warning("what was written could not be noted: %s", problem)


class Refusals:
    """Counts what was refused, and notes the first of each kind in a minute and then how many there were.

    However many guess, a minute makes two entries for each account that there is and two for names that are nobody's:
    what is typed as an unknown name is not kept, since it may be a password.
    """

    def __init__(self, first: str, many: str, clock: Callable[[], float] = time.monotonic) -> None:
        """`first` and `many` are codes of sentences; `many` says how many more there were, its `count`."""
        self._first, self._many, self._clock = first, many, clock
        self._lock = threading.Lock()
        self._counts: dict[tuple[int, str], int] = {}

    def note(self, name: str, origin: str) -> None:
        """Note one; `name` is of whom it was tried to be, `origin` the device's address."""
        account = User.objects.filter(username__iexact=name).values_list("username", flat=True).first() or ""
        key = (int(self._clock() // MINUTE), account)
        with self._lock:
            self._counts[key] = self._counts.get(key, 0) + 1
            is_first = self._counts[key] == 1
        self.sum_up()
        if is_first:
            self._write(sentence(self._first), account, {"from": origin})

    def sum_up(self) -> None:
        """Note how many more there were in minutes that are over."""
        now = int(self._clock() // MINUTE)
        with self._lock:
            over = [(account, count) for (minute, account), count in self._counts.items() if minute < now]
            self._counts = {key: count for key, count in self._counts.items() if key[0] >= now}
        for account, count in over:
            if count > 1:
                self._write(sentence(self._many, count=count - 1), account, {})

    def forget(self) -> None:
        """Drop what was counted: for tests."""
        with self._lock:
            self._counts.clear()

    def _write(self, what: Sentence, account: str, after: dict[str, str]) -> None:
        after = after | ({"person": account} if account else {})
        try:
            note(A_STRANGER, what, after=after or None, organisation=organisation_of(account) if account else None)
        except DatabaseError as problem:
            log.warning("what was refused could not be noted: %s", problem)


refused_sign_ins = Refusals("sign_in_refused", "sign_ins_refused")
refused_codes = Refusals("join_code_refused", "join_codes_refused")


def sum_up_refusals() -> None:
    for refusals in (refused_sign_ins, refused_codes):
        refusals.sum_up()
