"""What the second wall between organisations costs on PostgreSQL: `python -m tests.bench.bench_wall`.

A reading, pages of the superintendent's, and both by turns on one connection, so that the database is told anew whose
rows it may show: each asked for with the wall, and by a role for which it does not hold, turn about. Medians of
processor time, of this process and of PostgreSQL's for its connection. Target: at most 1.1 of what is without it.
"""

import argparse
import json
import os
import statistics
import tempfile
import time
from functools import partial
from pathlib import Path

from tests.bench.bench_pages import set_up
from tests.bench.bench_readings import ReadingHall, a_reading, request
from tests.postgres import PLAIN, by_the_superuser, private_server

PASSING = "tanbark_passing"
WARMING = 12


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--turns", type=int, default=200)
    options = parser.parse_args()
    with private_server(durable=True) as url, tempfile.TemporaryDirectory() as folder:
        os.environ["DATABASE_URL"] = url
        set_up(folder)
        from django.db import connections

        walled, passing = connections["default"], passing_by(url)
        works = made()
        found = {name: ([], []) for name in works}
        for turn in range(-WARMING, options.turns):
            for name, work in works.items():
                for up in (True, False) if turn % 2 else (False, True):
                    connections["default"] = walled if up else passing
                    spent = spent_on(work, connections["default"].connection.info.backend_pid)
                    if turn >= 0:
                        found[name][up].append(spent)
        connections["default"] = walled
    for name, (without, behind) in found.items():
        ours, theirs = statistics.median(map(sum, behind)), statistics.median(map(sum, without))
        server = [statistics.median(spent for _, spent in times) * 1000 for times in (behind, without)]
        print(
            f"{name}: {ours * 1000:.2f} ms, without {theirs * 1000:.2f} ms, ratio {ours / theirs:.3f}; "
            f"of it PostgreSQL {server[0]:.2f} and {server[1]:.2f} ms"
        )


def passing_by(url):
    """A connection by which whoever asks passes the wall, and tells nothing."""
    import psycopg
    from django.db import connections

    with psycopg.connect(by_the_superuser(url), autocommit=True) as server:
        server.execute(f"CREATE ROLE {PASSING} LOGIN BYPASSRLS")
        server.execute(f"GRANT {PLAIN} TO {PASSING}")
    passing = connections.create_connection("default")
    passing.settings_dict = connections["default"].settings_dict | {"USER": PASSING}
    passing.ensure_connection()
    passing.execute_wrappers.clear()
    return passing


def made():
    """What is asked for, by name, in a database of two organisations."""
    from django.conf import settings

    from contest.models import Organisation
    from contest.models.organisations import Reach, own_organisation, reaching
    from tests.accounts import signed_in
    from tests.factories import a_contest

    hall = ReadingHall()
    hall._make_contest()
    for organisation in (own_organisation(), Organisation.objects.create(name="Quill Creek").pk):
        with reaching(Reach(organisation)):
            for _ in range(20):
                a_contest()
    reader, name = hall.readers[-1], settings.SESSION_COOKIE_NAME
    cookie = f"{name}={signed_in('Sue', organisation=own_organisation()).cookies[name].value}"

    def reading():
        ask(request(reader, json.dumps(a_reading(reader)).encode()))

    def page(address):
        environ = request(reader, b"") | {"REQUEST_METHOD": "GET", "PATH_INFO": address, "HTTP_COOKIE": cookie}
        ask(environ | {"HTTP_ACCEPT": "text/html"})

    contest = f"/contests/{hall.contest.pk}/"
    return {
        "a reading": reading,
        "the list of contests": partial(page, "/"),
        "a contest": partial(page, contest),
        "its set-up": partial(page, f"{contest}setup/"),
        "a reading, then the list": lambda: (reading(), page("/")),
    }


def ask(environ):
    from contest.wsgi import application

    said = []
    answer = application(environ, lambda status, *about: said.append(status))
    b"".join(answer)
    answer.close()
    assert said == ["200 OK"], (said, environ["PATH_INFO"])


def spent_on(work, server):
    """Seconds of the processor: ours, and those of PostgreSQL's process."""
    began, there = time.process_time(), server_seconds(server)
    work()
    return time.process_time() - began, server_seconds(server) - there


def server_seconds(pid):
    return int(Path(f"/proc/{pid}/schedstat").read_text().split()[0]) / 1e9


if __name__ == "__main__":
    main()
