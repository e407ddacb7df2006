"""A private PostgreSQL server for one run of the tests: its own folder, its own socket, gone afterwards."""

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import psycopg

from contest.bootstrap.needs import postgresql_folder

PATIENCE = 30  # seconds for the server to answer


@contextmanager
def private_server(durable=False):
    """Start a server and yield its DATABASE_URL. It listens on a socket in a private folder, on no port at all.

    Nothing in it is worth keeping, so it does not wait for the disk, unless it is to be `durable`. Nor does it look by
    itself at how full tables are: between two tests they are empty, and what it then made of a full one took minutes.
    """
    programs = postgresql_folder()
    folder = Path(tempfile.mkdtemp(prefix="tanbark-pg-", dir="/tmp"))  # a socket's path must be short
    as_user = server_user()
    if as_user:
        shutil.chown(folder, as_user)
    url = f"postgres://tanbark@{quote(str(folder), safe='')}/postgres"
    try:
        subprocess.run(
            [
                programs / "initdb",
                "-D",
                folder / "data",
                "-U",
                "tanbark",
                "--auth=trust",
                "-E",
                "UTF8",
                "--locale=C",
                "--no-sync",
            ],
            user=as_user,
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            check=True,
        )
        careless = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "autovacuum=off")
        settings = [] if durable else [word for setting in careless for word in ("-c", setting)]
        with open(folder / "log", "w") as log:
            server = subprocess.Popen(
                [programs / "postgres", "-D", folder / "data", "-k", folder, "-h", "", *settings],
                user=as_user,
                cwd=folder,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,  # Ctrl-C is for the tests; they then stop the server
            )
        try:
            wait_until_it_answers(server, folder)
            yield url
        finally:
            server.send_signal(signal.SIGINT)  # PostgreSQL's "fast shutdown": open connections are cut
            server.wait()
    finally:
        shutil.rmtree(folder)


def server_user() -> str | None:
    """PostgreSQL refuses to run as root; Debian's package brings a user for it."""
    if os.geteuid() != 0:
        return None
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"


def wait_until_it_answers(server, folder):
    deadline = time.monotonic() + PATIENCE
    while True:
        try:
            psycopg.connect(host=str(folder), user="tanbark", dbname="postgres").close()
            return
        except psycopg.OperationalError:
            if server.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError(f"PostgreSQL did not start:\n{(folder / 'log').read_text()}") from None
            time.sleep(0.05)
