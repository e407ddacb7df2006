"""A `serve` or `work` of a run, on this machine or on a host of its own."""

from __future__ import annotations

import contextlib
import http.client
import os
import signal
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from contest.changes.held import Held, held_by_others
from tests.contest.processes.servers import command
from tests.faults.hall import free_port
from tests.faults.several.hosts import HERE, Host
from tests.processes import children_of, serving_process_of

PORT = 8000
"""Of a `serve` that has a host of its own."""


@dataclass(eq=False)
class Process:
    """It is begun again whenever it was killed. `code` is another version's, `drain` how many seconds it serves on when
    it is told to stop."""

    name: str
    folder: Path
    url: str
    host: Host = HERE
    port: int = 0
    process: Any = None
    code: Path | None = None
    drain: float = 0.0

    @property
    def at(self) -> str:
        return f"http://{self.host.address}:{self.port}/"

    def start(self) -> None:
        self.folder.with_suffix(".said").unlink(missing_ok=True)
        options = []
        if self.name == "serve":
            self.port = PORT if self.host.within else free_port()
            options = ["--host", self.host.address, "--port", str(self.port)]
            options += ["--drain", str(self.drain)]
        self.process = command(
            *(self.name, *options),
            url=self.url,
            folder=self.folder,
            secret=os.environ["TANBARK_SECRET_KEY"],
            files=os.environ["TANBARK_FILES"],
            within=self.host.within,
            code=self.code,
        )

    def is_ready(self) -> bool:
        """A `serve` says so; a `work` is known to PostgreSQL as there for the jobs."""
        assert self.process.poll() is None, self.folder.with_suffix(".said").read_text()
        if self.name == "work":
            return any(f"process {self.process.pid} on" in holder.name for holder in workers())
        return self.ask("GET", "/readyz")[0] == 200

    def ask(self, method: str, path: str, body: str = "", **headers: str) -> tuple[int, bytes]:
        """Status and body; 0 where nobody answers."""
        connection = http.client.HTTPConnection(self.host.address, self.port, timeout=10)
        with contextlib.closing(connection):
            try:
                connection.request(method, path, body or None, headers)
                answer = connection.getresponse()
                return answer.status, answer.read()
            except (OSError, http.client.HTTPException):
                return 0, b""

    def kill(self, only_child: bool = False) -> None:
        child = serving_process_of(self.process.pid) if self.name == "serve" else None
        below = children_of(child or self.process.pid)
        if not only_child or not child:
            self.process.kill()
            self.process.wait()
        for pid in [child, *below]:  # a machine that is gone takes with it what its processes had begun
            if pid:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)


def workers() -> list[Any]:
    from django.db import connection

    return held_by_others(connection, Held.WORKS)
