"""The serving process, which `contest.serving.supervising` starts, and starts again if it ends by itself."""

import os
import signal
import socket
import threading
import time
from importlib import import_module
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from contest.serving.server import Server

NOW_AND_AGAIN = (
    ("contest.scanning.pictures", "delete_old_pictures"),
    ("contest.scanning.arriving", "drop_left_behind"),
    ("contest.practice.making", "delete_forgotten"),
    ("contest.records", "sweep_abandoned"),
    ("contest.uploads.files", "tidy"),
    ("contest.uploads.forgetting", "forget_expired"),
    ("contest.helpers.sessions", "forget_expired"),
)

STUCK = 75
"""The exit code of a process that ends as it answers nobody."""

# Django is not set up yet when this module is loaded in the new process, so what needs it is loaded in `serve`.


def serve(listening: socket.socket, wanted: Connection, drain: float = 0.0) -> None:
    """Serve for as long as the other end of `wanted` is open: `up` closes it to stop, and so does its death. Then it
    goes on for `drain` seconds, in which proxies are told to send nothing more.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches this process too, but `up` decides
    application = import_module("contest.wsgi").application  # sets Django up, which the next lines need

    from contest.serving import addresses
    from contest.serving.server import Server, room_for_connections
    from contest.web.heavy_pages import is_heavy

    addresses.listening_on = listening.getsockname()[0]
    server = Server(application, listening, room_for_connections(), is_heavy)
    threading.Thread(target=stop_with, args=[wanted, server, drain], daemon=True).start()
    threading.Thread(target=end_if_stuck, args=[server], daemon=True).start()
    keep_doing = import_module("contest.serving.now_and_again").keep_doing
    for module, work in NOW_AND_AGAIN:
        doing = getattr(import_module(module), work)
        threading.Thread(target=keep_doing, args=[doing, server.stopping], name=work, daemon=True).start()
    other_apps = import_module("contest.other_apps")
    threading.Thread(target=other_apps.keep_lines_going, args=[server.stopping], name="jobs", daemon=True).start()
    for app in other_apps.OTHER_APPS:
        threading.Thread(target=app.while_serving, args=[server.stopping], daemon=True).start()
    server.run()


def end_if_stuck(server: "Server", look_every: float = 10.0, most: int = 6) -> None:
    """End this process if its loop stands still: of several that serve a socket, others answer who asks there.

    Looks are counted, not seconds: a laptop that slept has missed none.
    """
    seen, still = -1, 0
    while not server.stopping.wait(look_every):
        still = still + 1 if server.turns == seen else 0
        seen = server.turns
        if still == most:
            os._exit(STUCK)


def stop_with(wanted: Connection, server: "Server", drain: float) -> None:
    try:
        wanted.recv()
    except (EOFError, OSError):
        import_module("contest.web.readiness").draining.set()
        time.sleep(drain)
        server.stop()
