"""The example of a season's server built and run by a container engine: python -m tests.containers.engine docker

Or `podman`. Needs root, git, debootstrap, the engine with its compose (`docker compose`, `podman-compose`), and that
nobody has the ports 80 and 443. No image is fetched: `stand_ins` makes what the files name. It walks as README says,
with what is committed, prints what it saw and takes everything down at its end, also the images that were not there.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import re
import shlex
import shutil
import ssl
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any
from uuid import uuid4

from tests.containers.browser import Browser, answers
from tests.containers.stand_ins import NAMES, is_there, make_stand_ins
from tests.faults.hall import Hall
from tests.waiting import eventually

CHECKOUT = Path(__file__).resolve().parents[2]
HELPERS = 12
PACE = 0.5
"""Seconds between two cards of a helper."""
COMPOSE = {"docker": ["docker", "compose"], "podman": ["podman-compose"]}


class Example:
    """A clone of Tanbark and what the engine makes of its example."""

    def __init__(self, engine: str, folder: Path) -> None:
        self.engine, self.clone = engine, folder / "clone"
        self.example = self.clone / ".containers"
        self.certificate = self.example / "certificate" / "chain.pem"
        subprocess.run(["git", "clone", "--quiet", CHECKOUT, self.clone], check=True)

    def compose(self, *words: str, stdin: Any = subprocess.DEVNULL, stdout: Any = subprocess.PIPE) -> str:
        command = [*COMPOSE[self.engine], *words]
        done = subprocess.run(command, cwd=self.example, stdin=stdin, stdout=stdout, stderr=subprocess.PIPE)
        if done.returncode:
            raise RuntimeError(f"{shlex.join(command)}: {done.stderr.decode()[-2000:]}")
        return done.stdout.decode() if done.stdout else ""

    def manage(self, service: str, *words: str) -> str:
        return self.compose("exec", "-T", service, "python3", "manage.py", *words)

    def container(self, service: str) -> str:
        """Its name, of which each engine has a way of its own."""
        return f"tanbark{'-' if self.engine == 'docker' else '_'}{service}{'-' if self.engine == 'docker' else '_'}1"

    def told(self, service: str, what: str) -> str:
        asked = [self.engine, "inspect", "--format", what, self.container(service)]
        return subprocess.run(asked, check=True, capture_output=True, text=True).stdout.strip()

    def logged(self, service: str) -> str:
        asked = subprocess.run([self.engine, "logs", self.container(service)], capture_output=True, text=True)
        return asked.stdout + asked.stderr

    def crash(self, service: str) -> None:
        """As a process that the machine ran out of memory for; the engine begins it again."""
        os.kill(int(self.told(service, "{{.State.Pid}}")), 9)

    def write_secrets(self) -> None:
        """By the very line that the compose file has for it."""
        line = re.search(r"^# +(python3 -c .*)$", (self.example / "compose.yaml").read_text(), re.MULTILINE)
        assert line
        subprocess.run(line[1], shell=True, check=True, cwd=self.example)

    def write_certificate(self) -> None:
        from tests.containers.steps import make_certificate

        self.certificate.parent.mkdir(exist_ok=True)
        make_certificate(self.certificate, self.certificate.with_name("key.pem"))

    def build_another_version(self) -> None:
        with open(self.clone / "contest" / "__init__.py", "a") as code:
            code.write("# another version\n")
        self.compose("build")

    def take_down(self) -> None:
        with contextlib.suppress(RuntimeError):
            self.compose("down", "--volumes")
        subprocess.run([self.engine, "image", "rm", "--force", "tanbark"], capture_output=True)


def say(*words: object) -> None:
    print(time.strftime("%H:%M:%S"), *words, flush=True)


@contextlib.contextmanager
def timed(what: str) -> Iterator[None]:
    began = time.monotonic()
    yield
    say(f"{what}: {time.monotonic() - began:.1f} s")


def walk(example: Example, folder: Path, seconds: float) -> None:
    begin(example)
    browser = sign_in(example)
    contest, record = load_book(example, folder)
    make_paper(browser, contest)
    release(browser, contest)
    read_while_they_come_and_go(example, browser, contest, record, seconds)
    serve_results_alone(example, browser, contest)
    go_back_to_a_dump(example, browser, contest, folder)
    count(example)


def begin(example: Example) -> None:
    try:
        example.compose("up", "--detach")
        raise AssertionError("it began without its secrets")
    except RuntimeError as refusal:
        say("without secrets:", str(refusal).splitlines()[-1])
    example.write_secrets()
    with timed("built and begun, but for a certificate"):
        example.compose("up", "--build", "--detach")
    eventually(lambda: "cannot load certificate" in example.logged("proxy"))
    example.write_certificate()
    with timed("until it answered by https, once the certificate was there"):
        wait_for(lambda: answers(Browser(443, example.certificate)))
    for worker in ("worker1", "worker2"):
        wait_for(partial(is_ready, example, worker))


def wait_for(done: Any, patience: float = 180) -> None:
    deadline = time.monotonic() + patience
    while not done():
        assert time.monotonic() < deadline, "it did not come"
        time.sleep(0.5)


def sign_in(example: Example) -> Browser:
    shown = re.search(r"Password +(\S+)  \(shown", example.logged("app1") + example.logged("app2"))
    assert shown, "nobody logged the first superintendent's password"
    browser = Browser(443, example.certificate)
    assert "<h1>Contests</h1>" in browser.send("sign-in/", name="superintendent", password=shown[1])[1]
    say("signed in with the password that was logged")
    return browser


def load_book(example: Example, folder: Path) -> tuple[int, Any]:
    from contest.book.write import write_book
    from tests.bench.large_contest import large_record

    record = large_record(600)
    write_book(record, folder / "book.zip")
    with open(folder / "book.zip", "rb") as book:
        example.compose("exec", "-T", "app1", "sh", "-c", "cat > /data/book.zip", stdin=book)
    with timed("a book of 600 contestants loaded"):
        said = example.manage("app1", "import_book", "/data/book.zip")
    return int(said.split()[0]), record


def make_paper(browser: Browser, contest: int) -> None:
    page = f"contests/{contest}/prints/"
    choice = {"documents": "placing-cards", "order-placing-cards": "class", "paper": "a4", "copies": "1"}
    with timed("a paper printed, and fetched four times over both that serve"):
        _, shown = browser.send(page, **choice, submission=str(uuid4()), group="A")
        job = max(int(number) for number in re.findall(rf"{page}files/(\d+)/", shown))
        wait_for(lambda: f'{page}files/{job}/"' in browser.get(f"{page}jobs/")[1] and fetched(browser, page, job))
        assert all(fetched(browser, page, job) for _ in range(4))


def fetched(browser: Browser, page: str, job: int) -> bool:
    try:
        return browser.get(f"{page}files/{job}/")[1].startswith("%PDF-")
    except OSError:
        return False


def release(browser: Browser, contest: int) -> None:
    page = f"contests/{contest}/results/"
    _, shown = browser.get(page)
    lines: dict[str, Any] = {"accept": re.findall(r'name="accept"[^>]*value="([^"]+)"', shown)}
    lines |= dict.fromkeys(re.findall(r'name="(reason-[^"]+)"', shown), "it is a walk")
    with timed("released, and handed out by the proxy from a file"):
        browser.send(page, page + "release/", how="at_once", **lines)
        wait_for(lambda: is_from_a_file(browser, contest))


def is_from_a_file(browser: Browser, contest: int) -> bool:
    try:
        answer, _ = browser.get(f"results/{contest}/")
    except OSError:
        return False
    return answer.headers["Cache-Control"] == "public, max-age=10"


def read_while_they_come_and_go(example: Example, browser: Browser, contest: int, record: Any, seconds: float) -> None:
    """Helpers read while containers are stopped, killed and begun again; what was acknowledged must be there, once."""
    codes = example.manage("app2", "join_codes", str(contest))
    code = re.search(r"(\S+)  Tabulator", codes)
    assert code, codes
    cookies = {}
    for number in range(1, HELPERS + 1):
        helper = Browser(443, example.certificate)
        helper.send("join/", name=f"Helper {number}", code=code[1])
        cookies[f"Helper {number}"] = "; ".join(f"{cookie.name}={cookie.value}" for cookie in helper.cookies)
        cookies[f"Helper {number}"] = re.sub(r"csrftoken=\w+;? ?", "", cookies[f"Helper {number}"]).rstrip("; ")
    cards = [(judged.number, person.number) for judged in record.classes for person in record.contestants]
    random.Random(1).shuffle(cards)
    trusting = ssl.create_default_context(cafile=str(example.certificate))
    hall = Hall(Path(), 443, contest, cookies, cards, host="localhost", pace=PACE, proxy=trusting)
    longest = Longest(hall)
    with hall.reading_on(random.Random(2)), longest.watched():
        for what, act in disturbances(example):
            hall.wait_for_an_answer()
            longest.seconds = 0.0
            began = time.monotonic()
            act()
            took = time.monotonic() - began
            time.sleep(seconds)
            say(f"{what}: {took:.1f} s; the longest time without a reading {longest.seconds:.1f} s")
    rows = example.compose(
        *["exec", "-T", "database", "psql", "--username", "postgres", "--dbname", "tanbark", "--tuples-only"],
        *["--no-align", "--command", "SELECT submission FROM contest_reading WHERE by LIKE 'Helper%'"],
    ).split()
    lost = set(hall.acknowledged) - set(rows)
    say(
        f"{len(hall.acknowledged)} readings acknowledged, {hall.sent_again} sent again, lost {len(lost)}, "
        f"doubled {len(rows) - len(set(rows))}"
    )
    assert not lost


class Longest:
    """The longest time in which nobody's reading was acknowledged."""

    def __init__(self, hall: Hall) -> None:
        self.seconds, self.last = 0.0, time.monotonic()
        hall.on_answer = self._answered

    def _answered(self, _submission: str) -> None:
        now = time.monotonic()
        self.seconds, self.last = max(self.seconds, now - self.last), now

    @contextlib.contextmanager
    def watched(self) -> Iterator[None]:
        self.last = time.monotonic()
        yield


def disturbances(example: Example) -> list[tuple[str, Any]]:
    def upgraded(*services: str) -> None:
        for service in services:
            example.compose("up", "--detach", "--no-deps", "--force-recreate", service)
            wait_for(partial(is_ready, example, service))

    return [
        ("app1 stopped", lambda: example.compose("stop", "app1")),
        ("app1 begun again", lambda: example.compose("start", "app1")),
        ("app2 killed", lambda: example.crash("app2")),
        ("worker1 killed", lambda: example.crash("worker1")),
        ("database restarted", lambda: example.compose("restart", "database")),
        ("another version built", example.build_another_version),
        ("app1, then app2 in a new container", lambda: upgraded("app1", "app2")),
        ("worker1, then worker2 in a new container", lambda: upgraded("worker1", "worker2")),
        ("all restarted", lambda: example.compose("restart")),
    ]


def is_ready(example: Example, service: str) -> bool:
    if service.startswith("worker"):
        return "Works on what is ordered" in example.logged(service)
    asks = "import urllib.request; urllib.request.urlopen('http://127.0.0.1:8000/readyz', timeout=5)"
    try:
        example.compose("exec", "-T", service, "python3", "-c", asks)
    except RuntimeError:
        return False
    return True


def serve_results_alone(example: Example, browser: Browser, contest: int) -> None:
    example.compose("stop", "app1", "app2")
    assert is_from_a_file(browser, contest)
    say("results are handed out with nobody serving")
    example.compose("start", "app1", "app2")
    wait_for(lambda: answers(browser))


def go_back_to_a_dump(example: Example, browser: Browser, contest: int, folder: Path) -> None:
    """What README says of a copy, and of starting from it."""
    in_database = ["exec", "-T", "database"]
    with timed("a dump, and a database made of it"):
        with open(folder / "tanbark.dump", "wb") as dump:
            example.compose(*in_database, "pg_dump", "-U", "postgres", "-Fc", "tanbark", stdout=dump)
        example.manage("app1", "load_demo")
        later = browser.get("")[1].count('href="/contests/')
        example.compose("stop", "app1", "app2", "worker1", "worker2")
        example.compose(*in_database, "dropdb", "-U", "postgres", "tanbark")
        example.compose(*in_database, "createdb", "-U", "postgres", "-O", "tanbark", "tanbark")
        with open(folder / "tanbark.dump", "rb") as dump:
            example.compose(*in_database, "pg_restore", "-U", "postgres", "-d", "tanbark", stdin=dump)
        example.compose("start", "app1", "app2", "worker1", "worker2")
        wait_for(lambda: answers(browser))
    assert browser.get("")[1].count('href="/contests/') < later
    say(example.manage("app1", "verify_trail", str(contest)).strip())


def count(example: Example) -> None:
    size = subprocess.run([example.engine, "image", "inspect", "--format", "{{.Size}}", "tanbark"], capture_output=True)
    say(f"the image: {int(size.stdout) / 1e6:.0f} MB")
    names = [example.container(name) for name in ("app1", "app2", "worker1", "worker2", "database", "proxy")]
    asked = [example.engine, "stats", "--no-stream", "--format", "{{.Name}} {{.MemUsage}}", *names]
    print(subprocess.run(asked, capture_output=True, text=True).stdout)


def missing(engine: str) -> list[str]:
    needed = ["git", "debootstrap", engine, COMPOSE[engine][0]]
    return [name for name in dict.fromkeys(needed) if shutil.which(name) is None]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("engine", choices=COMPOSE)
    parser.add_argument("--seconds", type=float, default=15, help="for how long helpers read after each disturbance")
    options = parser.parse_args()
    if lacking := missing(options.engine):
        sys.exit(f"install {', '.join(lacking)} first")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
    before = [name for name in NAMES if is_there(options.engine, name)]
    with tempfile.TemporaryDirectory(prefix="tanbark-engine-") as name:
        folder = Path(name)
        example = Example(options.engine, folder)
        try:
            with timed("the images that stand in"):
                make_stand_ins(options.engine, folder)
            walk(example, folder, options.seconds)
        finally:
            example.take_down()
            made = [name for name in NAMES if name not in before]
            subprocess.run([options.engine, "image", "rm", "--force", *made], capture_output=True)


if __name__ == "__main__":
    main()
