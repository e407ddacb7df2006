"""Connections that stall a server: they announce what they never send, or ask for what they never fetch."""

import contextlib
import itertools
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager

FORM = "Content-Type: application/x-www-form-urlencoded\r\n"
HALF_REQUESTS = (
    f"POST /join/ HTTP/1.1\r\nHost: localhost\r\n{FORM}Content-Length: 5000\r\n\r\nname=A",  # a body that never comes
    "GET /join/ HTTP/1.1\r\nHost: localhost\r\nX-Header: ",  # headers that never end
    "G",
)


def slow_sender(port: int, request: str) -> socket.socket:
    """A connection that has sent half a request."""
    sender = socket.create_connection(("127.0.0.1", port))
    sender.sendall(request.encode())
    return sender


def slow_reader(port: int, path: str, cookies: str = "", times: int = 1) -> socket.socket:
    """A connection that has asked for a page, maybe many times over, and has room for little of the answer."""
    reader = socket.socket()
    reader.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    reader.connect(("127.0.0.1", port))
    reader.sendall(f"GET {path} HTTP/1.1\r\nHost: localhost\r\nCookie: {cookies}\r\n\r\n".encode() * times)
    return reader


@contextmanager
def stalled(makers: list[Callable[[], socket.socket]], count: int) -> Iterator[list[socket.socket]]:
    """So many of them, made by each maker in turn, and closed in the end."""
    made: list[socket.socket] = []
    try:
        for make in itertools.islice(itertools.cycle(makers), count):
            made.append(make())
        yield made
    finally:
        for connection in made:
            connection.close()


def drip(connection: socket.socket, sends: bool) -> bool:
    """Send or fetch one byte more; says whether the connection is still there."""
    connection.setblocking(False)
    with contextlib.suppress(BlockingIOError):
        try:
            return bool(connection.send(b"x") if sends else connection.recv(1))
        except OSError as error:
            if isinstance(error, BlockingIOError):
                raise
            return False
    return True
