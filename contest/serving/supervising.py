"""Keeps a serving process running for as long as it is wanted.

The listening socket belongs to `up`. While there is no serving process, whoever asks waits in its queue for the next
one, rather than be turned away.
"""

import http.client
import multiprocessing
import signal
import socket
import time
from collections.abc import Callable, Iterator
from ipaddress import ip_address
from multiprocessing.connection import wait
from multiprocessing.process import BaseProcess

from contest.serving.child import serve
from contest.serving.server import LAST_WORDS
from scoring.core.texts import gettext as _

FIRST_PAUSE, LONGEST_PAUSE = 0.25, 8.0
"""Seconds before it is started again; each time twice as long, in case what ended it is still the matter."""
RAN_WELL = 30.0
"""Seconds after which an end is no longer taken for more of the same."""

ASK_EVERY = 5.0
PATIENCE = 10.0
"""Seconds between two questions whether it still answers, and for an answer."""
MOST_MISSED = 6
"""Answers missed in a row after which it hangs. Not a time: a laptop that slept has missed none."""


def keep_serving(listening: socket.socket, say: Callable[[str], None], drain: float = 0.0) -> None:
    """Serve until Ctrl-C or SIGTERM, which come as KeyboardInterrupt; start the process as often as it ends.

    When it is to stop, it goes on for `drain` seconds, in which /readyz says so.
    """
    listening.listen()  # only now: whoever asked earlier would have waited for the database to be made
    pauses = growing_pauses()
    while True:
        began = time.monotonic()
        code = serve_once(listening, say, drain)
        if time.monotonic() - began >= RAN_WELL:
            pauses = growing_pauses()
        pause = next(pauses)
        say(
            _("The serving process ended ({how}) and starts again in {pause:g} s. Nothing saved is lost.").format(
                how=how(code), pause=pause
            )
        )
        time.sleep(pause)


def growing_pauses() -> Iterator[float]:
    pause = FIRST_PAUSE
    while True:
        yield pause
        pause = min(2 * pause, LONGEST_PAUSE)


def serve_once(listening: socket.socket, say: Callable[[str], None], drain: float = 0.0) -> int | None:
    """Run one serving process to its end; gives back its exit code. It ends with the block, whatever ends that."""
    # It starts from nothing on every platform, rather than as a copy of this process on some: it reads the secret key
    # that this process has only just made.
    context = multiprocessing.get_context("spawn")
    wanted, told = context.Pipe(duplex=False)
    process = context.Process(target=serve, args=(listening, wanted, drain), name="serving")
    try:
        process.start()
        wanted.close()
        watch(process, listening, say)
        process.join()
        return process.exitcode
    finally:
        told.close()  # this is what tells it to stop
        if process.pid is not None:
            process.join(drain + 2 * LAST_WORDS)
            if process.is_alive():
                process.kill()
                process.join()


def watch(process: BaseProcess, listening: socket.socket, say: Callable[[str], None]) -> None:
    """Wait until the process ends; end it where it runs and answers nobody."""
    missed = 0
    while not wait([process.sentinel], ASK_EVERY):
        missed = 0 if answers(listening) else missed + 1
        if missed == MOST_MISSED:
            say(
                _("The serving process has not answered for {seconds:g} s, and is ended.").format(
                    seconds=MOST_MISSED * PATIENCE
                )
            )
            process.kill()
            return


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
