"""The site as hostile requests find it: a contest in full use, everybody signed in, and a way to send any bytes."""

import signal
import threading
import traceback
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from unittest.mock import patch
from uuid import uuid4

from django.core.cache import cache
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import got_request_exception, request_finished, request_started
from django.db import close_old_connections, connection, transaction
from django.test import Client
from django.test.client import FakePayload
from django.urls import resolve

from contest.helpers.throttling import limiter
from contest.models import Duty, Reading, ReasonsReading
from contest.practice.making import make_practice
from contest.practice.pictures import put_picture
from contest.practice.running import go_to
from contest.records import tallying
from contest.uploads import brought
from contest.web.charset import only_utf_8
from reasons.day import search
from scoring.announced import released
from scoring.board import board_cache
from scoring.prints import jobs
from tests.accounts import signed_in
from tests.addresses import addresses, values_of
from tests.hostile.pages import forms_of

STRANGER = "a stranger"
MEMBER = "a member of a practice"
PATIENCE = 20
"""Seconds after which a request counts as hanging: hundreds of times what the slowest takes."""
TOKEN = "t" * 32


class Hangs(Exception):
    """A request that did not come to an end."""


@dataclass
class Site:
    people: dict
    addresses: list
    forms: dict
    json: list


def site_of(contest, as_helper):
    """Everybody signed in, every address, every form each of them is shown, and what scripts send."""
    people = {STRANGER: Client()}
    for duty in Duty:
        people[str(duty)] = as_helper(contest, duty, f"Ann {duty}")
    people["superintendent"] = signed_in()
    people[MEMBER] = a_member()
    found = list(dict.fromkeys(addresses(values_of(contest))))
    forms = {}
    for name, client in people.items():
        forms[name] = []
        for address in found:
            if not reaches(name, address):  # what turns them away holds no form
                continue
            page = client.get(address)
            if page.status_code == 200 and page.headers["Content-Type"].startswith("text/html"):
                forms[name] += forms_of(page.content.decode(), address)
    cookies = {name: client.cookies["sessionid"].value if name != STRANGER else "" for name, client in people.items()}
    return Site(cookies, found, forms, told_by_scripts(contest))


def a_member():
    """Somebody in a practice that has begun."""
    practice = make_practice("Market steers", "1234", 12, keeps=False, by="coach")
    judged = practice.classes.get()
    put_picture(judged, "3", "side", "a brown steer", b"jpeg")
    go_to(judged, judged.Step.JOINING, judged.Step.PLACING)
    client = Client()
    client.post("/practice/", {"submission": uuid4(), "name": "Ana", "code": practice.code})
    return client


def reaches(name, address):
    view = resolve(address).func
    return name == "superintendent" or getattr(view, "open_to_all", False) or name in getattr(view, "duties", ())


def told_by_scripts(contest):
    room, official = contest.rooms.first(), contest.reasons_officials.first()
    team = contest.divisions.get().teams.first()
    by = "superintendent"
    at = f"/contests/{contest.pk}"
    event = {"by": by, "number": 101, "class_number": 1, "at": 1_700_000_000_000, "note": "", "marks": "", "points": ""}
    return [
        (f"{at}/desk/readings/", {"by": by, "class_number": 1, "number": 101, "placing": "3124"}),
        (f"{at}/desk/readings/{Reading.objects.first().submission}/take-back/", {"by": by}),
        (f"{at}/scores/readings/{ReasonsReading.objects.first().submission}/take-back/", {"by": by}),
        (f"{at}/scores/classes/1/{official.pk}/readings/", {"by": by, "of": 101, "points": "41.5"}),
        (f"{at}/scores/parts/ACT/readings/", {"by": by, "of": team.pk, "points": "41.5"}),
        *(
            (f"{at}/reasons/rooms/{room.pk}/{one.pk}/events/", {**event, "what": what, "points": "41"})
            for one in room.officials.all()
            for what in ("begin", "stop", "absent", "back", "write", "score")
        ),
    ]


class Sender:
    """Sends requests as a server would hand them on, and takes back what they changed."""

    def __init__(self, site):
        self.site = site
        self.application = only_utf_8(WSGIHandler())

    def send(self, hostile):
        """The status of the answer, and the error where it is one of ours."""
        errors = []

        def note(**_kwargs):
            errors.append(traceback.format_exc())

        got_request_exception.connect(note)
        try:
            with transaction.atomic(), limited():
                status = self.answered(hostile)
                if hostile.method == "POST" and status < 400:
                    connection.check_constraints()
                transaction.set_rollback(True)
        except Exception:  # past Django's own net, where a server would say 500
            status = 500
            note()
        finally:
            got_request_exception.disconnect(note)
        if hostile.method not in ("GET", "HEAD"):
            forget()
        return status, "".join(errors)

    def answered(self, hostile):
        statuses = []
        answer = self.application(self.environment(hostile), lambda status, headers: statuses.append(status))
        try:
            for _ in answer:
                pass
        finally:
            if hasattr(answer, "close"):
                answer.close()
        return int(statuses[0][:3])

    def environment(self, hostile):
        key = self.site.people[hostile.who]
        headers = {"Cookie": f"csrftoken={TOKEN}" + (f"; sessionid={key}" if key else ""), "X-CSRFToken": TOKEN}
        headers.update({"Host": "testserver"})
        made = {
            "REQUEST_METHOD": hostile.method,
            "PATH_INFO": hostile.path.encode("utf-8", "surrogateescape").decode("latin-1"),
            "QUERY_STRING": hostile.query,
            "SERVER_NAME": "testserver",
            "SERVER_PORT": "80",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "SCRIPT_NAME": "",
            "REMOTE_ADDR": "127.0.0.1",
            "wsgi.version": (1, 0),
            "wsgi.url_scheme": "http",
            "wsgi.input": FakePayload(hostile.body),
            "wsgi.errors": BytesIO(),
            "wsgi.multiprocess": False,
            "wsgi.multithread": False,
            "wsgi.run_once": False,
        }
        if hostile.body or hostile.method == "POST":
            made["CONTENT_LENGTH"] = str(len(hostile.body))
        if hostile.content_type is not None:
            made["CONTENT_TYPE"] = hostile.content_type
        for name, value in {**headers, **hostile.headers}.items():
            key = name.upper().replace("-", "_")
            made[key if key == "CONTENT_LENGTH" else f"HTTP_{key}"] = value
        return made


def forget():
    """What is remembered by a revision that was taken back would be told of another."""
    cache.clear()
    limiter.storage.reset()
    tallying.forget_all()
    released.forget_all()
    board_cache.forget_all()


@contextmanager
def limited():
    def too_long(_signal, _frame):
        raise Hangs

    before = signal.signal(signal.SIGALRM, too_long)
    signal.setitimer(signal.ITIMER_REAL, PATIENCE)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@contextmanager
def nothing_started():
    """No printing, no search and no reading of files in processes of their own: that is not what a request does."""
    with (
        patch.object(jobs, "go_on", lambda: None),
        patch.object(search, "keep_searching", lambda _search: None),
        patch.object(brought, "AT_ONCE", 0.0),
    ):
        yield


@contextmanager
def connection_kept():
    """The test's own connection stays open after a request, with what it has not committed."""
    signals = (request_started, request_finished)
    for each in signals:
        each.disconnect(close_old_connections)
    yield
    for each in signals:
        each.connect(close_old_connections)


assert threading.current_thread() is threading.main_thread()  # the only one that an alarm reaches
