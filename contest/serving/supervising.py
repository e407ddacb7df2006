"""Keeps a serving process running for as long as it is wanted.

The listening socket belongs to `up`. While there is no serving process, whoever asks waits in its queue for the next
one, rather than be turned away.
"""

import multiprocessing
import signal
import socket
import time
from collections.abc import Callable, Iterator

from contest.serving.child import serve
from contest.serving.server import LAST_WORDS

FIRST_PAUSE, LONGEST_PAUSE = 0.25, 8.0
"""Seconds before it is started again; each time twice as long, in case what ended it is still the matter."""
RAN_WELL = 30.0
"""Seconds after which an end is no longer taken for more of the same."""


def keep_serving(listening: socket.socket, say: Callable[[str], None]) -> None:
    """Serve until Ctrl-C or SIGTERM, which come as KeyboardInterrupt; start the process as often as it ends."""
    listening.listen()  # only now: whoever asked earlier would have waited for the database to be made
    pauses = growing_pauses()
    while True:
        began = time.monotonic()
        code = serve_once(listening)
        if time.monotonic() - began >= RAN_WELL:
            pauses = growing_pauses()
        pause = next(pauses)
        say(f"The serving process ended ({how(code)}) and starts again in {pause:g} s. Nothing saved is lost.")
        time.sleep(pause)


def growing_pauses() -> Iterator[float]:
    pause = FIRST_PAUSE
    while True:
        yield pause
        pause = min(2 * pause, LONGEST_PAUSE)


def serve_once(listening: socket.socket) -> int | None:
    """Run one serving process to its end; gives back its exit code. It ends with the block, whatever ends that."""
    # It starts from nothing on every platform, rather than as a copy of this process on some: it reads the secret key
    # that this process has only just made.
    context = multiprocessing.get_context("spawn")
    wanted, told = context.Pipe(duplex=False)
    process = context.Process(target=serve, args=(listening, wanted), name="serving")
    try:
        process.start()
        wanted.close()
        process.join()
        return process.exitcode
    finally:
        told.close()  # this is what tells it to stop
        if process.pid is not None:
            process.join(2 * LAST_WORDS)
            if process.is_alive():
                process.kill()
                process.join()


def how(code: int | None) -> str:
    if code is not None and code < 0:
        try:
            return signal.Signals(-code).name
        except ValueError:
            return f"signal {-code}"
    return f"exit code {code}"
