"""The server: one loop over all connections, and a few threads that only ever see a request that is there whole.

waitress reads each request to its end before a thread is taken, and keeps what a slow reader has not fetched yet, so
that neither a phone that announces a form and never sends it, nor one that fetches a page byte by byte, holds a
thread. `SETTINGS` says how much of that it does. What it leaves open is closed here: `Channel` lets no connection pile
up answers that it does not fetch, and `Server.tidy` parts with connections that hold what others need.
"""

from __future__ import annotations

import selectors
import socket
import time
from collections import Counter
from collections.abc import Iterable
from threading import Event
from typing import TYPE_CHECKING, Any

from django.conf import settings
from waitress.adjustments import Adjustments
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

from contest.serving.channels import Channel
from contest.serving.turns import IsHeavy, Turns
from contest.serving.watching import Watch

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

try:
    import resource
except ImportError:  # on Windows, which has no such limit
    resource = None  # type: ignore[assignment]

KILOBYTE, MEGABYTE = 1024, 1024 * 1024

MOST_CONNECTIONS = 400 if issubclass(selectors.DefaultSelector, selectors.SelectSelector) else 1000
"""Connections kept open at once: a full hall has a few hundred. Windows can watch 512 at most."""
FILES_A_CONNECTION = 3  # its socket, what came and what is to be sent, where they are too large for memory
FILES_BESIDES = 100
MOST_HELD = 256 * MEGABYTE
"""What all connections together may have sent without being done, or have not fetched yet."""
SEND_BUFFER = 64 * KILOBYTE
"""What the system keeps of an answer that is not fetched yet. By itself it grows to megabytes, and waitress reads as
much of a file whenever a slow reader makes room for a few bytes."""
LAST_WORDS = 5  # seconds for what is under way when the server stops

SETTINGS = {
    # All share one interpreter, and changes take turns: most threads wait for theirs. So there are enough that some are
    # left for pages, which need not wait.
    "threads": 8,
    # The limit that parts with somebody is ours (see `Server.tidy`); waitress's own, which lets nobody in any more, is
    # never reached.
    "connection_limit": 2 * MOST_CONNECTIONS,
    "backlog": 1024,
    # A page asks at least every few seconds while it is looked at; whoever is silent for two minutes opens another.
    "channel_timeout": 120,
    "recv_bytes": 64 * KILOBYTE,  # an upload would take eight times the rounds of the loop with waitress's own 8
    # Larger forms and answers lie in a file while they come and go: a thousand connections hold 64 and 256 MB at most.
    "inbuf_overflow": 64 * KILOBYTE,
    "outbuf_overflow": 256 * KILOBYTE,
    # A thread waits while its connection has more than this to send, so this is more than there can be: `Channel` sees
    # to it that there is never more than one answer.
    "outbuf_high_watermark": 2**40,
    "max_request_header_size": 64 * KILOBYTE,
    # Far above any form: what is larger than any is read past, so that the page that says so is seen.
    "max_request_body_size": 200 * MEGABYTE,
    "ident": "Tanbark",
    "server_name": "localhost",  # what it calls itself where a request does not say whom it asks
    "log_socket_errors": False,  # phones come and go
}


class Server(TcpWSGIServer):  # type: ignore[misc]  # waitress says nothing of its types
    channel_class = Channel

    def __init__(
        self,
        application: WSGIApplication,
        listening: socket.socket,
        most_connections: int,
        is_heavy: IsHeavy = lambda *_request: False,
    ) -> None:
        dispatcher = ThreadedTaskDispatcher()
        dispatcher.queue = Turns(is_heavy)
        # Unless a proxy stands before it, nobody may say that a request came from elsewhere, or by https.
        adjustments = Adjustments(sockets=[listening], clear_untrusted_proxy_headers=not settings.HTTPS, **SETTINGS)
        dispatcher.set_thread_count(adjustments.threads)
        self.most_connections = most_connections
        self.stopping = Event()
        connections: dict[int, Any] = {}
        self.watch = Watch(connections)
        self.tidied_at, self.turns = 0.0, 0
        whence = (listening.family, listening.type, listening.proto, listening.getsockname())
        super().__init__(
            without_bodies_for_head(application),
            map=connections,
            _sock=listening,
            dispatcher=dispatcher,
            adj=adjustments,
            sockinfo=whence,
            bind_socket=False,
        )

    def run(self) -> None:
        """Serve until `stop` is called from another thread."""
        self.watch.look_at_all()
        while not self.stopping.is_set():
            self.watch.turn(timeout=1)
            self.turns += 1
            self.tidy()
        self.close_door()
        self.task_dispatcher.shutdown(timeout=LAST_WORDS)
        self.watch.turn(0)  # what has just been answered is sent
        for channel in list(self.active_channels.values()):
            channel.handle_close()
        self.trigger.close()
        self.watch.selector.close()

    def close_door(self) -> None:
        self.watch.forget(self._fileno)
        self.accepting = False
        self.socket.close()

    def stop(self) -> None:
        self.stopping.set()
        self.pull_trigger()

    def add_task(self, channel: Channel) -> None:
        channel.take_thread()

    def set_socket_options(self, conn: socket.socket) -> None:
        super().set_socket_options(conn)
        conn.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER)

    def heavy_has_ended(self) -> None:
        """Let a thread make the next of the pages that take long."""
        with self.task_dispatcher.lock:
            self.task_dispatcher.queue.heavy_under_way = False
            self.task_dispatcher.queue_cv.notify()

    def maintenance(self, now: float) -> None:
        """Nothing: waitress would do it amid a turn, and never part with who fetches nothing; see `tidy`."""

    def tidy(self) -> None:
        """Part with connections that hold what others need.

        Those are the silent ones, those whose request should long be there, and, where there is no more room, those of
        the address that has the most, the longest without a whole request first. So one device that opens all that it
        can loses its own, while whoever sits at a desk, or comes, is served.
        """
        if len(self.active_channels) > self.most_connections:
            self.part_with_some()
        now = time.monotonic()
        if now - self.tidied_at < 1:
            return
        self.tidied_at = now
        self.watch.look_at_all()  # in case that a change was missed, nobody waits for longer than this
        silent_since = time.time() - self.adj.channel_timeout  # waitress goes by the clock on the wall
        resting = [channel for channel in self.active_channels.values() if channel.is_resting()]
        for channel in resting:
            if channel.last_activity < silent_since or channel.is_late(now):
                channel.handle_close()
        held = {channel: channel.holds() for channel in resting if channel.connected}
        total = sum(held.values())
        for channel in sorted(held, key=lambda channel: channel.whole_at):
            if total <= MOST_HELD:
                break
            if held[channel]:
                channel.handle_close()
                total -= held[channel]

    def part_with_some(self) -> None:
        """A fiftieth at once: whoever opens thousands a second would otherwise have all looked through for each."""
        crowd = Counter(channel.addr[0] for channel in self.active_channels.values())
        resting = [channel for channel in self.active_channels.values() if channel.is_resting()]
        resting.sort(key=lambda channel: (-crowd[channel.addr[0]], channel.whole_at))
        for channel in resting[: max(1, self.most_connections // 50)]:
            channel.handle_close()


def without_bodies_for_head(application: WSGIApplication) -> WSGIApplication:
    """HEAD asks for the headers alone, and Django leaves it to the server to keep the rest back."""

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        body = application(environ, start_response)
        if environ["REQUEST_METHOD"] != "HEAD":
            return body
        if hasattr(body, "close"):
            body.close()
        return []

    return answer


def room_for_connections() -> int:
    """How many connections this process may keep open; asks the system for as many as are wanted."""
    if resource is None:
        return MOST_CONNECTIONS  # type: ignore[unreachable]  # it is reached on Windows
    wanted = MOST_CONNECTIONS * FILES_A_CONNECTION + FILES_BESIDES
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft == resource.RLIM_INFINITY or soft >= wanted:
        return MOST_CONNECTIONS
    allowed = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    try:
        resource.setrlimit(resource.RLIMIT_NOFILE, (allowed, hard))
    except (OSError, ValueError):
        allowed = soft
    return max(100, min(MOST_CONNECTIONS, (allowed - FILES_BESIDES) // FILES_A_CONNECTION))
