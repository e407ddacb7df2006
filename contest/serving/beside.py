"""What runs beside the server, in its process and for as long as it serves."""

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def running_beside() -> Iterator[None]:
    """Start it, and stop it when the server stops. Each thing is a context manager, entered here."""
    yield
