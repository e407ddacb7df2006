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
USER = "tanbark"
PLAIN = "tanbark_tests"
"""A role that is no superuser, as Tanbark's own is to be: row-level security does not hold for one."""
# A server of which nothing is kept does not wait for the disk. Nor does it look by itself at how full tables are:
# between two tests they are empty, and what it then made of a full one took minutes.
CARELESS = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "autovacuum=off")


@contextmanager
def private_server(durable=False, address="", within=()):
    """Start a server and yield its DATABASE_URL. It listens on a socket in a private folder, and on no port at all but
    where it has an `address`; `within` comes before its command, to have it run on another host as the server's user.

    The role has no more power than Tanbark needs. Nothing in it is worth keeping, so it does not wait for the disk,
    unless it is to be `durable`.
    """
    with private_folder() as folder:
        made_by("initdb", "-D", folder / "data", "-U", USER, "--auth=trust", "-E", "UTF8", "--locale=C", "--no-sync")
        settings = () if durable else CARELESS
        if address:
            settings += (f"listen_addresses={address}",)
            with open(folder / "data" / "pg_hba.conf", "a") as known:
                known.write("host all all samenet trust\n")
        with running(folder, settings, within) as url:
            with psycopg.connect(url, autocommit=True) as server:
                server.execute(f"CREATE ROLE {PLAIN} LOGIN CREATEDB")
                server.execute(f"ALTER DATABASE postgres OWNER TO {PLAIN}")
            yield f"postgres://{PLAIN}@{address or quote(str(folder), safe='')}/postgres"


def by_the_superuser(url):
    """The address of the same database for the role that may do everything."""
    return url.replace(f"//{PLAIN}@", f"//{USER}@")


@contextmanager
def private_folder():
    """A folder of the server's user, with a short path, as a socket's must be."""
    folder = Path(tempfile.mkdtemp(prefix="tanbark-pg-", dir="/tmp"))
    try:
        if as_user := server_user():
            shutil.chown(folder, as_user)
        yield folder
    finally:
        shutil.rmtree(folder)


def made_by(program, *arguments):
    """Run one of PostgreSQL's programs as the server's user."""
    subprocess.run(
        [postgresql_folder() / program, *arguments],
        user=server_user(),
        cwd="/tmp",
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        check=True,
    )


@contextmanager
def running(folder, settings=(), within=()):
    """A server on the folder `data` of a private folder; yields its DATABASE_URL once it answers."""
    with open(folder / "log", "a") as log:
        server = subprocess.Popen(
            [
                *within,
                *(postgresql_folder() / "postgres", "-D", folder / "data", "-k", folder, "-h", ""),
                *(word for setting in settings for word in ("-c", setting)),
            ],
            user=None if within else server_user(),
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,  # Ctrl-C is for the tests; they then stop the server
        )
    try:
        wait_until_it_answers(server, folder)
        yield f"postgres://{USER}@{quote(str(folder), safe='')}/postgres"
    finally:
        server.send_signal(signal.SIGINT)  # PostgreSQL's "fast shutdown": open connections are cut
        server.wait()


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
            psycopg.connect(host=str(folder), user=USER, dbname="postgres").close()
            return
        except psycopg.OperationalError:
            if server.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError(f"PostgreSQL did not start:\n{(folder / 'log').read_text()}") from None
            time.sleep(0.05)
