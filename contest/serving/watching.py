"""Which connections wait to be read or written, asked of the system without asking every connection each time.

waitress's own loop goes through all connections whenever something happens on one, which with the phones of a full hall
takes longer than most answers. Here only a connection where something happened is looked at again.
"""

import selectors
from collections import deque
from typing import Protocol

from waitress import wasyncore


class Watched(Protocol):
    """A connection, the socket that listens or what wakes the loop, as waitress makes them."""

    _fileno: int
    accepting: bool

    def readable(self) -> bool: ...

    def writable(self) -> bool: ...


class Watch:
    def __init__(self, connections: dict[int, Watched]) -> None:
        """`connections` are all that are open, by their file number; it is kept up by waitress."""
        self.connections = connections
        self.selector = selectors.DefaultSelector()
        self.changed: deque[Watched] = deque()

    def look_again_at(self, connection: Watched) -> None:
        """What it waits for may have changed. May be called from any thread."""
        self.changed.append(connection)

    def look_at_all(self) -> None:
        self.changed.extend(self.connections.values())

    def forget(self, fileno: int | None) -> None:
        """Must be called before the file is closed, because the number is given to another then."""
        if fileno is not None and fileno in self.selector.get_map():
            self.selector.unregister(fileno)

    def turn(self, timeout: float) -> None:
        """Wait until something can be read or written, or so many seconds, and let it be read and written."""
        while self.changed:
            self._ask_for(self.changed.popleft())
        for key, events in self.selector.select(timeout):
            connection = key.data
            if events & selectors.EVENT_READ:
                wasyncore.read(connection)
            if events & selectors.EVENT_WRITE and self._is_open(connection):
                wasyncore.write(connection)
            self.changed.append(connection)

    def _ask_for(self, connection: Watched) -> None:
        if not self._is_open(connection):
            return
        fileno = connection._fileno
        wanted = selectors.EVENT_READ if connection.readable() else 0
        if connection.writable() and not connection.accepting:
            wanted |= selectors.EVENT_WRITE
        known = self.selector.get_map().get(fileno)
        if known is None:
            if wanted:
                self.selector.register(fileno, wanted, connection)
        elif not wanted:
            self.selector.unregister(fileno)
        elif known.events != wanted:
            self.selector.modify(fileno, wanted, connection)

    def _is_open(self, connection: Watched) -> bool:
        return self.connections.get(connection._fileno) is connection
