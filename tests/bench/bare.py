"""The server of `bench_readings`: Tanbark as `up` serves it, and beside it the least that can be saved.

A POST to `/bare/` inserts one row, in a transaction of its own that waits for its turn like every change, with the same
threads, connections and durability. It is answered before Django sees the request: there is nothing in it but the
server, the database and the disk.
"""

import os
import signal
import sys
from contextlib import closing
from pathlib import Path

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")

ANSWER = b'{"kind": "saved"}'


def main(port: int) -> None:
    import django

    from contest import data_folder

    data_folder.prepare(Path(os.environ["TANBARK_DATA"]))  # with the secret key, which the settings read
    django.setup()
    from django.core.management import call_command
    from django.db import connection

    from contest.helpers.superintendents import make_first
    from contest.serving.addresses import bound_socket
    from contest.serving.server import Server, room_for_connections
    from contest.serving.static import collect_static
    from contest.web.heavy_pages import is_heavy
    from contest.wsgi import application

    call_command("migrate", interactive=False, verbosity=0)
    collect_static()
    make_first()
    with connection.cursor() as cursor:
        number = "integer PRIMARY KEY" if connection.vendor == "sqlite" else "bigserial PRIMARY KEY"
        cursor.execute(f"CREATE TABLE bench_bare (id {number}, said text NOT NULL)")
    connection.close()
    with closing(bound_socket("127.0.0.1", port)) as listening:
        listening.listen()
        server = Server(with_bare(application), listening, room_for_connections(), is_heavy)
        signal.signal(signal.SIGINT, lambda *about: server.stop())
        server.run()


def with_bare(application):
    from django.db import connection

    from contest.changes import one_change

    def answer(environ, start_response):
        if environ["PATH_INFO"] != "/bare/":
            return application(environ, start_response)
        said = environ["wsgi.input"].read().decode()
        with one_change(), connection.cursor() as cursor:
            cursor.execute("INSERT INTO bench_bare (said) VALUES (%s)", [said])
        start_response("200 OK", [("Content-Type", "application/json"), ("Content-Length", str(len(ANSWER)))])
        return [ANSWER]

    return answer


if __name__ == "__main__":
    main(int(sys.argv[1]))
