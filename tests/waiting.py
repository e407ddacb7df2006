"""Waiting for what shows itself in no page: rows of the database, files, processes, threads."""

import time

PATIENCE = 180  # seconds, however busy the machine is


def eventually(found):
    """What `found` returns as soon as that is true of anything; a test fails that waits in vain."""
    deadline = time.monotonic() + PATIENCE
    while not (what := found()):
        assert time.monotonic() < deadline, "it never came to that"
        time.sleep(0.05)
    return what
