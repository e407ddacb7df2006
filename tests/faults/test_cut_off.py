"""A host that changes a row is cut off from PostgreSQL: either side notices within seconds, though nobody is told.

Hosts are network namespaces, which root alone can make; elsewhere it must be said why they are not made.
"""

import os
import select
import subprocess
import sys

import pytest
from django.conf import settings

from tests.contest.processes.servers import environment
from tests.faults.several.hosts import BACK, CannotMakeHosts, a_network, database_at
from tests.postgres import private_server

pytestmark = pytest.mark.postgresql

NOTICED, PATIENCE = 30, 60
"""Seconds: ten are to be expected on an idle machine; and how long is waited for what nobody notices."""

A_HOST = """
import sys, time
import django
django.setup()
from django.db import OperationalError, connection, transaction

def timed(statement):
    begun = time.monotonic()
    try:
        cursor.execute(statement)
        ended = "had it"
    except OperationalError:
        ended = "knows"
    print(ended, time.monotonic() - begun, flush=True)

with connection.cursor() as cursor:
    if sys.argv[1] == "makes":
        cursor.execute("CREATE TABLE card AS SELECT 1 AS number")
    with transaction.atomic():
        for line in sys.stdin:
            timed(line)
"""


def test_a_host_that_is_cut_off_keeps_nobody_waiting_and_knows_it(tmp_path):
    try:
        with a_network() as network:
            host = database_at(network)
            with private_server(address=host.address, within=host.within) as url:
                (knows, soon), (had_it, then) = cut_off_while_changing(network, url, tmp_path)
    except CannotMakeHosts as problem:
        assert os.geteuid() != 0, problem
    else:
        assert (knows, had_it) == ("knows", "had it")
        assert max(soon, then) < NOTICED


def cut_off_while_changing(network, url, folder):
    """What two hosts say, and after how many seconds: one that is cut off while it changes a row, of its next change;
    and one that wants the row too, of having it."""
    with a_host(network, "work2", "makes", url, folder) as other, a_host(network, "work1", "", url, folder) as cut_off:
        say(other, "SET statement_timeout = '50s'")
        assert heard(other)[0] == "had it"
        say(cut_off, "SELECT * FROM card FOR UPDATE")
        assert heard(cut_off)[0] == "had it"
        with network.cut("work1", [BACK]):
            say(cut_off, "UPDATE card SET number = 2")
            say(other, "SELECT * FROM card FOR UPDATE")
            return heard(cut_off), heard(other)


def a_host(network, name, role, url, folder):
    return subprocess.Popen(
        [*network.host(name).within, sys.executable, "-c", A_HOST, role],
        cwd=settings.BASE_DIR,
        env=environment(url, folder),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def say(host, statement):
    host.stdin.write(statement + "\n")
    host.stdin.flush()


def heard(host):
    """What it says of the statement, and after how many seconds."""
    if not select.select([host.stdout], [], [], PATIENCE)[0]:
        return "waits", PATIENCE
    ended, _, seconds = host.stdout.readline().rpartition(" ")
    return ended, float(seconds)
