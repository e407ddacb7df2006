"""Engines for jobs, whose workers are killed: python -m tests.bench.job_engines procrastinate (or django-tasks-db)

Tanbark uses neither; this is how they were tried, in an environment of their own, from the checkout:
pip install "django<6" "psycopg[binary,pool]" procrastinate django-tasks django-tasks-db dj-database-url

A private PostgreSQL that waits for the disk, connections as Tanbark makes them, and tasks that say when they begin.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

PROCRASTINATE = "procrastinate"
IDLE = 30  # seconds
MANY = 300  # jobs


def set_up():
    import dj_database_url
    import django
    from django.conf import settings

    database = dict(dj_database_url.parse(os.environ["DATABASE_URL"], conn_max_age=None, conn_health_checks=True))
    database["OPTIONS"] = {"server_side_binding": True, "prepare_threshold": 5}
    ours = ["procrastinate.contrib.django"] if os.environ["ENGINE"] == PROCRASTINATE else ["django_tasks_db"]
    settings.configure(
        SECRET_KEY="x" * 50,
        USE_TZ=True,
        DATABASES={"default": database},
        INSTALLED_APPS=["django.contrib.contenttypes", "django.contrib.auth", *ours],
        TASKS={"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}},
        PROCRASTINATE_IMPORT_PATHS=["tests.bench.job_engines_tasks"],
        DEFAULT_AUTO_FIELD="django.db.models.BigAutoField",
        LOGGING_CONFIG=None,
    )
    django.setup()


def work():
    set_up()
    if os.environ["ENGINE"] == PROCRASTINATE:
        from procrastinate.contrib.django import app

        with app.replace_connector(app.connector.get_worker_connector()) as opened:
            opened.run_worker()
    else:
        from django.core.management import call_command

        call_command("db_worker", verbosity=0)


class Trial:
    def __init__(self, said):
        self.said, self.workers = said, []

    def worker(self):
        self.workers.append(subprocess.Popen([sys.executable, "-m", "tests.bench.job_engines", "work"]))

    def begun(self, name, after=0.0, within=120):
        """When, and in which process, a task began since a moment; None where it did not."""
        deadline = time.time() + within
        while time.time() < deadline:
            for line in self.said.read_text().splitlines():
                moment, pid, word = line.split()
                if word == name and float(moment) > after:
                    return float(moment), int(pid)
            time.sleep(0.01)
        return None


def transactions():
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_stat_clear_snapshot()")
        cursor.execute("SELECT xact_commit FROM pg_stat_database WHERE datname = current_database()")
        return cursor.fetchone()[0]


def measure(trial):
    from django.core.management import call_command

    set_up()
    call_command("migrate", verbosity=0)
    from tests.bench.job_engines_tasks import cancel, left, order

    began = time.time()
    trial.worker()
    order("first", 0)
    print(f"a worker's start to its first job: {trial.begun('first')[0] - began:.2f} s")
    time.sleep(2)
    waits = []
    for number in range(15):
        time.sleep(random.random() * 1.5)
        began = time.time()
        order(f"wait{number}", 0)
        waits.append(trial.begun(f"wait{number}")[0] - began)
    print(f"order to beginning: median {sorted(waits)[7] * 1000:.0f} ms, worst {max(waits) * 1000:.0f} ms")
    before = transactions()
    time.sleep(IDLE)
    print(f"idle: {(transactions() - before) * 60 / IDLE:.0f} transactions a minute")
    for _ in range(MANY):
        order("one", 0)
    waiting, began = left(), time.time()
    while left():
        time.sleep(0.1)
    print(f"a job taken and ended: {(time.time() - began) / waiting * 1000:.1f} ms")
    if cancel:
        job = order("cancelled", 60)
        trial.begun("cancelled")
        time.sleep(1)
        began = time.time()
        cancel(job)
        print(f"cancelled: heard after {trial.begun('aborted')[0] - began:.2f} s")
    trial.worker()
    time.sleep(5)
    order("killed", 5)
    _, pid = trial.begun("killed")
    time.sleep(0.5)
    killed = time.time()
    os.kill(pid, 9)
    again = trial.begun("killed", after=killed)
    print(f"killed: begun again {f'after {again[0] - killed:.1f} s' if again else 'never, in two minutes'}")


def main():
    from tests.postgres import private_server

    if sys.argv[1:] == ["work"]:
        work()
        return
    with tempfile.TemporaryDirectory() as folder, private_server(durable=True) as url:
        said = Path(folder) / "said"
        said.touch()
        os.environ |= {"DATABASE_URL": url, "ENGINE": sys.argv[1], "SAID": str(said)}
        trial = Trial(said)
        try:
            measure(trial)
        finally:
            for worker in trial.workers:
                worker.kill()
                worker.wait()


if __name__ == "__main__":
    main()
