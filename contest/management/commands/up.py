"""`manage.py up`: serve a contest from this laptop. Keeps what is there; makes what is missing."""

import os
import signal
import socket
import sys
import time
from argparse import ArgumentTypeError
from collections.abc import Iterator
from contextlib import closing, contextmanager, nullcontext, suppress
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import BaseCommand, CommandError, CommandParser, call_command
from django.db import DatabaseError, connection, connections
from django.utils.translation import gettext as _

from contest import data_folder, kept
from contest.bin.emptying import empty_old
from contest.copies.files import CopyFailed
from contest.copies.keeper import copies_being_made
from contest.copies.restoring import tell_the_trail
from contest.health import start
from contest.helpers.codes import codes_of
from contest.helpers.superintendents import make_first
from contest.models import Contest, Duty
from contest.models.wall import is_passed_by
from contest.records import sweep_abandoned
from contest.serving import CannotServe
from contest.serving.addresses import bound_socket, by_the_proxy, qr_code, urls
from contest.serving.borne import migrate
from contest.serving.presence import Presence, one_starts, present
from contest.serving.static import collect_static
from contest.serving.supervising import keep_serving
from contest.uploads.files import tidy


class Command(BaseCommand):
    help = _("Serve a contest from this laptop to every browser on the local network.")
    name = "up"
    drain, workers = 0.0, 1
    problem = ""

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=port_number, default=8000)
        parser.add_argument("--host", default="0.0.0.0", help=_("the address to listen on (default: all)"))  # noqa: S104
        parser.add_argument("--no-demo", action="store_true", help=_("start without the invented contest"))
        parser.add_argument("--data", metavar="DIR", help=_("the folder that holds all state (or TANBARK_DATA)"))
        parser.add_argument("--copies", metavar="DIR", help=_("where copies go while it is there (or TANBARK_COPIES)"))

    def handle(self, *, port: int, host: str, no_demo: bool, **options: Any) -> None:
        # `--data` has become TANBARK_DATA, and `--copies` TANBARK_COPIES, before the settings were read; see
        # contest.bootstrap.
        try:
            start.look_at_disk()
            data_folder.refuse_second(settings.DATA_FOLDER)  # before the port: that is taken too, most likely
            with (
                closing(bound_socket(host, port)) as bound,
                data_folder.held_by_one(settings.DATA_FOLDER, self.name, *urls(host, port)),
                present(f"{self.name} --port {port}", self.lost) as presence,
            ):
                self.serve(bound, no_demo, presence)
        except (CannotServe, start.NotAsItWas, CopyFailed, data_folder.InUse, DatabaseError, OSError) as problem:
            raise CommandError(str(problem)) from problem
        self.say(_("Stopped. Everything is saved."))
        if self.problem:
            raise CommandError(self.problem)

    def lost(self, problem: str) -> None:
        """Stop, as somebody else came to serve the database while it was out of reach."""
        self.problem = problem
        os.kill(os.getpid(), signal.SIGTERM)

    def serve(self, bound: socket.socket, no_demo: bool, presence: Presence | None) -> None:
        for stop in (signal.SIGINT, signal.SIGTERM):  # a stop from outside is like Ctrl-C, in the background too
            signal.signal(stop, signal.default_int_handler)
        self.say(_("Data folder  {folder}").format(folder=settings.DATA_FOLDER))
        with one_starts(presence) as is_first:
            first_password = self.prepare(no_demo, is_first, bool(presence and presence.beside_other_code))
        host, port = bound.getsockname()[:2]
        self.show_addresses(host, port, first_password)
        connections.close_all()  # the serving process opens its own
        with suppress(KeyboardInterrupt), nullcontext() if settings.SEVERAL else copies_being_made():
            keep_serving(bound, self.say, self.drain, self.workers)

    def prepare(self, no_demo: bool, is_first: bool, beside_others: bool) -> str | None:
        """Make what is missing, of the database only as the first of several. Gives back the first superintendent's
        password if that was missing too."""
        start.look_at_data(self.say)  # before anything is made: nothing new is begun over a loss
        data_folder.prepare(settings.DATA_FOLDER)
        with self.step(_("Database")):
            if is_first:
                migrate(beside_others)
            sweep_abandoned()
            empty_old()
            tidy(at_start=True)
            kept.forget_fetched()
            if settings.SEVERAL:
                call_command("createcachetable", verbosity=0)
            start.remember()
            tell_the_trail(settings.DATA_FOLDER)
        with self.step(_("Static files")):
            collect_static()
        # Remembered in the data folder, so that a demo contest that was deleted does not come back.
        decided = settings.DATA_FOLDER / "demo-decided"
        if not decided.exists():
            if not no_demo and not Contest.objects.exists():
                with self.step(_("Demo contest")):
                    call_command("load_demo", verbosity=0)
            decided.touch()
        return make_first()

    def show_addresses(self, host: str, port: int, first_password: str | None) -> None:
        here, others = urls(host, port)
        self.say("")
        if proxy := by_the_proxy():  # nobody comes but through it
            here, others = proxy, []
            self.say(_("By the proxy    {here}").format(here=here))
        else:
            self.show_own_addresses(here, others)
        self.show_ways_in(here, first_password)
        if settings.SEVERAL:
            self.say(_("Files           {where}, shared by all that serve").format(where=settings.FILES))
        else:
            self.say(_("Copies          {where}").format(where=start.where_copies_go()))
        if connection.vendor == "postgresql" and is_passed_by():
            self.say(_("PostgreSQL      holds organizations apart for a role that is no superuser; Tanbark's is one"))
        if others:
            self.say("\n" + qr_code(others[0], sys.stdout.encoding or "ascii"))
        self.say(_("Stop with Ctrl-C."))

    def show_own_addresses(self, here: str, others: list[str]) -> None:
        self.say(_("On this laptop  {here}").format(here=here))
        for position, address in enumerate(others):
            self.say(f"{'' if position else 'Other devices':<16}{address}")
        if not others:
            self.say(_("Other devices   cannot reach it: no local network, or --host keeps them out"))

    def show_ways_in(self, here: str, first_password: str | None) -> None:
        name = User.objects.order_by("pk").values_list("username", flat=True).first()
        self.say(_("Sign in         {here}sign-in/ as {name}").format(here=here, name=name))
        change = _("`python3 manage.py superintendent {name}` sets a new one").format(name=name)
        if first_password:
            self.say(
                _("Password        {first_password}  (shown this once; {change})").format(
                    first_password=first_password, change=change
                )
            )
        else:
            self.say(_("Password        was shown at the first start; {change}").format(change=change))
        contest = Contest.objects.order_by("-pk").first()
        if contest is None:
            self.say(_("Join codes      come with the first contest"))
            return
        self.say(_("Join codes      for helpers of {name}").format(name=contest.name))
        for duty, code in codes_of(contest).items():
            self.say(f"{'':<16}{code}  {Duty(duty).label}")

    @contextmanager
    def step(self, task: str) -> Iterator[None]:
        began = time.monotonic()
        yield
        self.say(_("{task:<12} ready in {seconds:.1f} s").format(task=task, seconds=time.monotonic() - began))

    def say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


def port_number(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise ArgumentTypeError(_("must be a whole number from 1 to 65535"))
    return int(text)
