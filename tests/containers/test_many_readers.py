"""nginx between a crowd and Tanbark, as `manage.py nginx` says: of all who look at the same, one a second asks."""

import subprocess
import threading
import time
import urllib.error
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import StringIO

import pytest
from django.core.management import call_command

from tests.containers.steps import nginx
from tests.faults.hall import free_port

SIGNED_IN = {"Cookie": "sessionid=abcdefgh12345678; tanbark_language=en"}


class Told(BaseHTTPRequestHandler):
    """Says what it was asked with, and counts it."""

    def do_GET(self):
        asked = (self.path, self.headers.get("Cookie", ""), self.headers.get("Accept-Language", ""))
        self.server.asked.append(asked)
        body = f"{len(self.server.asked)} {asked}".encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("Vary", "Cookie, Accept-Language")
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_args):
        """Nothing on the tests' own output."""


@pytest.fixture
def hall(settings, tmp_path):
    settings.WEB_COPY_FOLDER = tmp_path / "results"
    port, said = free_port(), StringIO()
    with ThreadingHTTPServer(("127.0.0.1", 0), Told) as tanbark:
        tanbark.asked = []
        threading.Thread(target=tanbark.serve_forever, daemon=True).start()
        there = f"127.0.0.1:{tanbark.server_port}"
        call_command("nginx", "--listen", f"127.0.0.1:{port}", "--tanbark", there, "--elsewhere", stdout=said)
        text = said.getvalue().replace("/var/cache/tanbark-shown", str(tmp_path / "shown"))
        with subprocess.Popen(nginx(tmp_path, text)) as running:
            try:
                yield Hall(port, tanbark, running)
            finally:
                running.terminate()
        tanbark.shutdown()


class Hall:
    def __init__(self, port, tanbark, running):
        self.at, self.tanbark = f"http://127.0.0.1:{port}", tanbark
        while not self.is_there():
            assert running.poll() is None
            time.sleep(0.05)
        tanbark.asked.clear()

    def is_there(self):
        try:
            return self.get("/healthz") != ""
        except urllib.error.URLError:
            return False

    def get(self, path, **headers):
        with urllib.request.urlopen(urllib.request.Request(self.at + path, headers=headers), timeout=60) as answer:
            return answer.read().decode()

    def asked_for(self, path):
        return [asked for asked in self.tanbark.asked if asked[0] == path]


@pytest.mark.parametrize("path", ["/board/1/", "/board/1/?v=7", "/today/", "/results/1/", "/public/1/classes/2/"])
def test_a_crowd_asks_once_a_second(hall, path):
    begun = time.monotonic()
    with ThreadPoolExecutor(20) as crowd:
        answers = list(crowd.map(lambda _reader: hall.get(path), range(400)))
    assert len(set(answers)) == len(hall.asked_for(path)) <= time.monotonic() - begun + 2
    time.sleep(2.1)  # nginx counts whole seconds
    assert hall.get(path) not in answers  # nobody is shown what is older


def test_who_is_known_is_answered_by_tanbark_and_nobody_else_sees_it(hall):
    theirs = [hall.get("/board/1/", **SIGNED_IN) for _ in range(3)]
    assert len(set(theirs)) == 3
    assert all("sessionid=abcdefgh12345678" in answer for answer in theirs)
    assert "sessionid" not in hall.get("/board/1/", Cookie="other=1")


def test_a_family_s_page_is_kept_nowhere(hall, tmp_path):
    assert len({hall.get("/home/abcdefghijklmnop/") for _ in range(3)}) == 3
    assert not [path for path in (tmp_path / "shown").rglob("*") if path.is_file()]


def test_each_language_is_kept_apart(hall):
    wanted = {
        "en": {"Accept-Language": "fr, es;q=0.5"},
        "es": {"Accept-Language": "es, en;q=0.5"},
        "es-mx": {"Cookie": "tanbark_language=es-mx", "Accept-Language": "en"},
    }
    for language, headers in wanted.items():
        assert hall.get("/today/", **headers) == hall.get("/today/", **headers)
        assert hall.asked_for("/today/")[-1] == ("/today/", "", language)


def test_what_is_sent_reaches_tanbark_with_its_cookies(hall):
    assert "other=1" in hall.get("/sign-in/", Cookie="other=1")
