"""`manage.py work`: do what takes long for the processes that serve a PostgreSQL database."""

from __future__ import annotations

import signal
import threading
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils.translation import gettext as _

from contest import data_folder, kept
from contest.health import start
from contest.other_apps import keep_lines_going
from contest.serving import CannotServe
from contest.serving.presence import one_starts, present
from contest.web.readiness import not_ready


class Command(BaseCommand):
    help = _(
        "Do what takes long for the processes that serve a PostgreSQL database with `serve`, which then leave it to "
        "this: print papers, read scanned pages, look for timetables, read files that people bring."
    )
    problem = ""

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--data", metavar="DIR", help=_("a folder of this process's own (or TANBARK_DATA)"))

    def handle(self, **options: Any) -> None:
        stop = threading.Event()

        def lost(problem: str) -> None:
            self.problem = problem
            stop.set()

        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, lambda *_args: stop.set())
        try:
            start.look_at_disk()
            data_folder.refuse_second(settings.DATA_FOLDER)
            with data_folder.held_by_one(settings.DATA_FOLDER, "work"), present("work", lost, works=True):
                kept.forget_fetched()
                with one_starts():
                    missing = not_ready()
                if missing:
                    raise CannotServe(missing)
                self.stdout.write(
                    _("Works on what is ordered. Stop with Ctrl-C; what is being made is made elsewhere.")
                )
                keep_lines_going(stop, works=True)
        except (CannotServe, start.NotAsItWas, data_folder.InUse, DatabaseError, OSError) as problem:
            raise CommandError(str(problem)) from problem
        if self.problem:
            raise CommandError(self.problem)
