"""Keeps serving processes running for as long as they are wanted.

The listening socket belongs to `up`, and all that it starts serve that one: whoever is idle takes who comes next. While
there is no serving process, whoever asks waits in its queue for the next one, rather than be turned away.
"""

from __future__ import annotations

import http.client
import multiprocessing
import signal
import socket
import time
from collections.abc import Callable, Iterator, Sequence
from ipaddress import ip_address
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess

from contest.serving.child import serve
from contest.serving.server import LAST_WORDS
from scoring.core.texts import gettext as _

FIRST_PAUSE, LONGEST_PAUSE = 0.25, 8.0
"""Seconds before one is started again; each time twice as long, in case what ended it is still the matter."""
RAN_WELL = 30.0
"""Seconds after which an end is no longer taken for more of the same."""

ASK_EVERY = 5.0
PATIENCE = 10.0
"""Seconds between two questions whether it still answers, and for an answer."""
MOST_MISSED = 6
"""Answers missed in a row after which it hangs. Not a time: a laptop that slept has missed none."""


def keep_serving(listening: socket.socket, say: Callable[[str], None], drain: float = 0.0, workers: int = 1) -> None:
    """Serve by so many processes until Ctrl-C or SIGTERM, which come as KeyboardInterrupt; start each as often as it
    ends.

    When they are to stop, they go on for `drain` seconds, in which /readyz says so.
    """
    listening.listen()  # only now: whoever asked earlier would have waited for the database to be made
    seats = [Seat(listening, drain) for _ in range(workers)]
    missed = 0
    try:
        while True:
            for seat in seats:
                seat.fill(say)
            ended = wait_for(seats)
            asked = not ended and all(seat.process for seat in seats)
            missed = (0 if answers(listening) else missed + 1) if asked else missed
            if missed == MOST_MISSED:
                say(
                    _("The serving process has not answered for {seconds:g} s, and is ended.").format(
                        seconds=MOST_MISSED * PATIENCE
                    )
                )
                missed = 0
                for seat in seats:
                    seat.kill()
    finally:
        for seat in seats:
            seat.part()  # all are told before the first is waited for
        for seat in seats:
            seat.clear()


def wait_for(seats: Sequence[Seat]) -> bool:
    """Wait until a process ends, which is said, or one is to be started again, or for ASK_EVERY."""
    now = time.monotonic()
    pauses = [seat.starts_at - now for seat in seats if not seat.process]
    sentinels = [seat.process.sentinel for seat in seats if seat.process]
    return bool(wait(sentinels, max(0.0, min([ASK_EVERY, *pauses]))))


class Seat:
    """One place for a serving process, and when it is filled again."""

    def __init__(self, listening: socket.socket, drain: float) -> None:
        self.listening, self.drain = listening, drain
        self.process: BaseProcess | None = None
        self.told: Connection | None = None
        self.pauses = growing_pauses()
        self.began = self.starts_at = time.monotonic()

    def fill(self, say: Callable[[str], None]) -> None:
        """Say that its process has ended, if it has, and start one once its pause is over."""
        now = time.monotonic()
        if self.process and self.process.exitcode is not None:
            if now - self.began >= RAN_WELL:
                self.pauses = growing_pauses()
            pause = next(self.pauses)
            say(
                _("The serving process ended ({how}) and starts again in {pause:g} s. Nothing saved is lost.").format(
                    how=how(self.process.exitcode), pause=pause
                )
            )
            self.clear()
            self.starts_at = now + pause
        if not self.process and now >= self.starts_at:
            self.began = now
            self.start()

    def start(self) -> None:
        # It starts from nothing on every platform, rather than as a copy of this process on some: it reads the secret
        # key that this process has only just made.
        context = multiprocessing.get_context("spawn")
        wanted, self.told = context.Pipe(duplex=False)
        self.process = context.Process(target=serve, args=(self.listening, wanted, self.drain), name="serving")
        self.process.start()
        wanted.close()

    def part(self) -> None:
        """Tell the process to stop."""
        if self.told:
            self.told.close()
            self.told = None

    def kill(self) -> None:
        if self.process:
            self.process.kill()

    def clear(self) -> None:
        """It ends with this, whatever the matter is."""
        self.part()
        if self.process and self.process.pid is not None:
            self.process.join(self.drain + 2 * LAST_WORDS)
            if self.process.is_alive():
                self.process.kill()
                self.process.join()
        self.process = None


def growing_pauses() -> Iterator[float]:
    pause = FIRST_PAUSE
    while True:
        yield pause
        pause = min(2 * pause, LONGEST_PAUSE)


def answers(listening: socket.socket) -> bool:
    """Whether somebody who serves this socket answers."""
    host, port = listening.getsockname()[:2]
    if ip_address(host).is_unspecified:  # it listens everywhere
        host = "::1" if listening.family == socket.AF_INET6 else "127.0.0.1"
    asked = http.client.HTTPConnection(host, port, timeout=PATIENCE)
    try:
        asked.request("GET", "/healthz", headers={"Host": "localhost", "Connection": "close"})
        return asked.getresponse().status == http.client.OK
    except (OSError, http.client.HTTPException):
        return False
    finally:
        asked.close()


def how(code: int | None) -> str:
    if code is not None and code < 0:
        try:
            return signal.Signals(-code).name
        except ValueError:
            return _("signal {number}").format(number=-code)
    return _("exit code {code}").format(code=code)
