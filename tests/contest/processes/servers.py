"""Real processes that share one PostgreSQL database, each with a data folder of its own, and browsers that use them."""

import atexit
import http.cookiejar
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
from django.conf import settings

from tests.faults.hall import free_port

PATIENCE = 300  # seconds, however busy the machine is
HELPERS = ["Ann", "Bob", "Cy", "Dee"]
PASSWORD = "a password for the tests"
SECRET = "one secret for all processes that share a database of these tests"
FILES = tempfile.mkdtemp(prefix="tanbark-files-")
atexit.register(shutil.rmtree, FILES, ignore_errors=True)


@contextmanager
def new_database(name):
    """A database of its own on the server that the tests use; yields its address."""
    url = os.environ["DATABASE_URL"]
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        server.execute(f"CREATE DATABASE {name}")
        try:
            yield f"{url.rpartition('/')[0]}/{name}"
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def environment(url, folder, secret=SECRET, files=FILES):
    named = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "TANBARK_COPIES")}
    named |= {"DATABASE_URL": url} if url else {}
    named |= {"TANBARK_SECRET_KEY": secret} if secret else {}
    named |= {"TANBARK_FILES": files}
    return {**named, "TANBARK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "contest.settings"}


def command(*arguments, url, folder, code=None, within=(), **more):
    """A command of `manage.py`, begun; what it says goes into a file beside its folder. `code` is another version's,
    which has no door; `within` comes before it, to have it run on another host."""
    folder.mkdir(exist_ok=True)
    program = ["-m", "django"] if code else ["manage.py"]
    with open(folder.with_suffix(".said"), "a") as said:
        return subprocess.Popen(
            [*within, sys.executable, *program, *arguments],
            cwd=code or settings.BASE_DIR,
            env={**environment(url, folder, **more), **({"TANBARK_SEVERAL": "1"} if code else {})},
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=subprocess.STDOUT,
        )


def refused(*arguments, url, folder, **more):
    """What a command says that must not begin."""
    process = command(*arguments, url=url, folder=folder, **more)
    try:
        assert process.wait(PATIENCE) == 1, folder.with_suffix(".said").read_text()
    finally:
        process.kill()
        process.wait()
    return folder.with_suffix(".said").read_text()


@dataclass
class Server:
    """One `serve`."""

    folder: Path
    port: int
    process: subprocess.Popen

    @property
    def at(self):
        return f"http://127.0.0.1:{self.port}/"

    @property
    def said(self):
        return self.folder.with_suffix(".said").read_text()

    def status(self, path):
        """The status of what is answered; None where nobody answers."""
        try:
            with urllib.request.urlopen(f"{self.at}{path}", timeout=PATIENCE) as answer:
                return answer.status
        except urllib.error.HTTPError as answer:
            with answer:
                return answer.code
        except OSError:
            return None

    def wait_until(self, done):
        deadline = time.monotonic() + PATIENCE
        while not (found := done()):
            assert self.process.poll() is None, self.said
            assert time.monotonic() < deadline, self.said
            time.sleep(0.05)
        return found


@contextmanager
def serving(url, *folders, options=("--drain", "0"), **more):
    """So many `serve` begun at once; yields them when all are ready, and ends what is left of them."""
    servers = []
    try:
        for folder in folders:
            port = free_port()
            process = command("serve", "--port", str(port), *options, url=url, folder=folder, **more)
            servers.append(Server(folder, port, process))
        for server in servers:
            server.wait_until(lambda server=server: server.status("readyz") == 200)
        yield servers
    finally:
        for server in servers:
            server.process.terminate()
        for server in servers:
            server.process.wait(PATIENCE)


class Browser:
    """Keeps its cookies whichever process it asks, as behind a proxy."""

    def __init__(self):
        self.opener = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar()), urllib.request.HTTPHandler()
        )

    def get(self, server, path):
        """Status and page, after all redirects."""
        return self._open(server, path, None)

    def send(self, server, form, to="", **typed):
        """Fill in the form of a page, and send it."""
        _, page = self.get(server, form)
        hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([\w-]*)"', page))
        return self._open(server, to or form, urllib.parse.urlencode({**hidden, **typed}, doseq=True).encode())

    def bring(self, server, form, name, data, field="file", **typed):
        """Choose a file in the form of a page, and send it."""
        _, page = self.get(server, form)
        hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([\w-]*)"', page))
        part = '--part\r\nContent-Disposition: form-data; name="{}"{}\r\n\r\n'
        body = b"".join(f"{part.format(key, '')}{value}\r\n".encode() for key, value in {**hidden, **typed}.items())
        body += part.format(field, f'; filename="{name}"').encode() + data + b"\r\n--part--\r\n"
        return self._open(server, form, body, {"Content-Type": "multipart/form-data; boundary=part"})

    def _open(self, server, path, body, headers=None):
        asked = urllib.request.Request(f"{server.at}{path}", body, headers or {})
        try:
            with self.opener.open(asked, timeout=PATIENCE) as answer:
                return answer.status, answer.read().decode(errors="replace")
        except urllib.error.HTTPError as answer:
            with answer:
                return answer.code, answer.read().decode(errors="replace")
