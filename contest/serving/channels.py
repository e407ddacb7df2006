"""One connection: what waitress does with it, and what it leaves open."""

import socket
import time
from typing import Any

from waitress.buffers import ReadOnlyFileBasedBuffer
from waitress.channel import HTTPChannel
from waitress.task import WSGITask

from contest.serving.requests import Refusal, Request

WHOLE_WITHIN, SLOWEST = 30, 10 * 1024
"""A request must be there whole after so many seconds, and one more for each so many bytes of it."""
LINGER = 5  # seconds


class Answer(WSGITask):  # type: ignore[misc]  # waitress says nothing of its types
    def set_close_on_finish(self) -> None:
        # waitress closes the connection after an answer that has no body. Nearly all answers in a hall are 204, and
        # each would cost a connection. 204 and 304 end with their headers, so the next answer cannot be mistaken.
        if self.version == "1.1" and not self.has_body and not self.request.connection_close:
            return
        super().set_close_on_finish()


class Channel(HTTPChannel):  # type: ignore[misc]  # the same
    """One connection."""

    close_when_flushed: bool
    requests: list[Request]

    task_class = Answer
    error_task_class = Refusal
    parser_class = Request

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self.waits = False
        """A request is there whole, but the answer before it is not fetched yet."""
        self.begun_at = self.whole_at = time.monotonic()
        """When the request that is coming began to, and when the last whole one was there."""
        self.is_heavy = False
        """It has the turn of the pages that take long; see `contest.serving.turns`."""
        self.lingers_since: float | None = None
        """When its last answer was sent, if there is no other to come."""
        super().__init__(*args, **kwargs)

    def received(self, data: bytes) -> bool:
        if self.request is None:
            self.begun_at = time.monotonic()
        taken: bool = super().received(data)
        if self.request is None:
            self.whole_at = time.monotonic()
        return taken

    def take_thread(self) -> None:
        """Answer the next request; not before the answer to the last one is fetched.

        Otherwise whoever sends many requests at once and fetches nothing would pile up their answers here.
        """
        self.waits = bool(self.total_outbufs_len)
        if self.waits:
            self.server.watch.look_again_at(self)
        else:
            self.server.task_dispatcher.add_task(self)

    def readable(self) -> bool:
        return self.lingers_since is not None or super().readable()

    def writable(self) -> bool:
        return self.waits or super().writable()

    def handle_read(self) -> None:
        if self.lingers_since is None:
            super().handle_read()
        else:
            self.recv(self.adj.recv_bytes)

    def handle_write(self) -> None:
        closes = self.close_when_flushed  # a thread may set it at any moment, so it is touched only where it is set
        if closes:
            self.close_when_flushed = False
        super().handle_write()
        if closes:
            self.close_when_flushed = True
        if not self.connected:
            return
        if self.close_when_flushed and not self.total_outbufs_len:
            self.linger()
        if self.waits:
            self.take_thread()

    def linger(self) -> None:
        """Say that no more comes, and read past what is still on its way before the connection is closed.

        Closed at once, it would be cut, and whoever still sends would see that in place of what was answered.
        """
        self.close_when_flushed = False
        self.lingers_since = time.monotonic()
        try:
            self.socket.shutdown(socket.SHUT_WR)
        except OSError:  # it is gone already
            self.handle_close()

    def handle_close(self) -> None:
        super().handle_close()
        for request in [self.request, *(self.requests if self.waits else [])]:
            if request is not None:
                request.close()

    def write_soon(self, data: bytes) -> int:
        written: int = super().write_soon(data)
        self.server.watch.look_again_at(self)
        return written

    def service(self) -> None:
        is_heavy = self.is_heavy  # of this request; the next of this connection may be in the queue before this returns
        try:
            super().service()
        finally:
            if is_heavy:
                self.server.heavy_has_ended()
        self.server.watch.look_again_at(self)
        self.server.pull_trigger()

    def add_channel(self, map: dict[int, Any] | None = None) -> None:
        super().add_channel(map)
        self.server.watch.look_again_at(self)

    def del_channel(self, map: dict[int, Any] | None = None) -> None:
        self.server.watch.forget(self._fileno)
        super().del_channel(map)

    def is_resting(self) -> bool:
        """No thread works for it, or is about to."""
        return self.waits or not self.requests

    def is_late(self, now: float) -> bool:
        if self.lingers_since is not None:
            return now - self.lingers_since > LINGER
        if self.request is None:
            return False
        length: int = self.request.content_length
        return now - self.begun_at > WHOLE_WITHIN + length / SLOWEST

    def holds(self) -> int:
        """Bytes that it has sent of a request that is not whole, or has not fetched; a file to be sent is no burden."""
        kept = [buffer for buffer in list(self.outbufs) if not isinstance(buffer, ReadOnlyFileBasedBuffer)]
        return sum(map(len, kept)) + (self.request.body_bytes_received if self.request else 0)
