"""`up`, started for real: a server, its pages, its stop, and what is still there the next time."""

import http.cookiejar
import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from contextlib import closing, contextmanager

import pytest
from django.conf import settings

from tests.processes import serving_process_of
from tests.waiting import PATIENCE, eventually


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def is_answered(port):
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def started(port, *options, **environment):
    """`up` on 127.0.0.1, once it answers; whatever happens, it is gone afterwards."""
    process = subprocess.Popen(
        [sys.executable, "manage.py", "up", "--host", "127.0.0.1", "--port", str(port), *options],
        cwd=settings.BASE_DIR,
        env={**{name: value for name, value in os.environ.items() if name != "DATABASE_URL"}, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        encoding="utf-8",
    )
    try:
        deadline = time.monotonic() + PATIENCE
        while True:
            try:
                assert fetch(f"http://127.0.0.1:{port}/healthz") == "ok\n"
                break
            except OSError:  # not there yet, or there and still getting ready
                assert process.poll() is None, process.stdout.read()
                assert time.monotonic() < deadline, "up does not answer"
                time.sleep(0.05)
        yield process
    finally:
        if process.poll() is None:
            process.terminate()
            print(process.communicate(timeout=PATIENCE)[0])  # seen only if the test fails
        process.stdout.close()


def stop(process, how=signal.SIGTERM):
    """Stop it and give back all that it printed."""
    process.send_signal(how)
    said, _ = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, said
    return said


def fetch(url, opener=None, timeout=10, **data):
    body = urllib.parse.urlencode(data).encode() if data else None
    with (opener.open if opener else urllib.request.urlopen)(url, body, timeout=timeout) as response:
        return response.read().decode()


def opener():
    jar = http.cookiejar.CookieJar()
    return urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))


def type_in(port, page, **typed):
    """Fill in the form of a page as a person would; gives back the page that comes next."""
    browser = opener()
    url = f"http://127.0.0.1:{port}/{page}/"
    form = fetch(url, browser)
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([\w-]*)"', form))
    return fetch(url, browser, **hidden, **typed)


def content_of(folder):
    """What each file says; of the database its rows, because how they lie in its files may change by itself."""
    files = [path for path in folder.iterdir() if path.is_file() and not path.name.startswith("db.sqlite3")]
    content = {path.name: path.read_bytes() for path in files}
    with closing(sqlite3.connect(folder / "db.sqlite3")) as database:
        content["db.sqlite3"] = "\n".join(database.iterdump())
    return content


def test_it_serves_stops_and_keeps_everything(tmp_path):
    data = tmp_path / "data"
    port = free_port()
    with started(port, "--no-demo", "--data", str(data)) as process:
        first = stop(process)
    assert f"Data folder  {data}" in first
    assert f"http://127.0.0.1:{port}/" in first
    kept = content_of(data)
    assert {"db.sqlite3", "secret-key"} <= set(kept)
    if os.name == "posix":
        assert data.stat().st_mode & 0o777 == 0o700
        assert (data / "secret-key").stat().st_mode & 0o777 == 0o600

    with started(port, "--no-demo", TANBARK_DATA=str(data)) as process:
        stop(process, signal.SIGINT)
    assert content_of(data) == kept


def test_what_it_prints_opens_its_doors_and_the_demo_comes_at_the_first_start_alone(tmp_path):
    data = tmp_path / "data"
    port = free_port()
    with started(port, "--data", str(data)) as process:
        said = stop(process)
    password = re.search(r"\nPassword +([\w-]+)  \(shown this once", said)[1]
    code = re.search(r"\n +([\w-]+)  Tabulator", said)[1]
    assert "Demo contest" in said
    assert f"http://127.0.0.1:{port}/sign-in/ as superintendent" in said
    assert not any(password.encode() in path.read_bytes() for path in data.rglob("*") if path.is_file())

    with started(port, "--data", str(data)) as process:
        assert "<h1>Contests</h1>" in type_in(port, "sign-in", name="superintendent", password=password)
        assert "Ann, tabulator" in re.sub("<[^>]*>", "", type_in(port, "join", name="Ann", code=code))
        for page, typed in [("join", {"code": "AAAA-AAAA"}), ("sign-in", {"password": "wrong"})]:
            with pytest.raises(urllib.error.HTTPError) as refused:
                type_in(port, page, name="superintendent", **typed)
            assert refused.value.code == 422
            refused.value.close()
        again = stop(process)
    assert password not in again
    assert "Demo contest" not in again
    assert "was shown at the first start; `python3 manage.py superintendent superintendent` sets a new one" in again
    assert code in again


def test_it_serves_static_files_under_names_that_never_change(used_data):
    port = free_port()
    with started(port, "--no-demo", "--data", str(used_data)) as process:
        manifest = json.loads((settings.BASE_DIR / ".static/staticfiles.json").read_text())
        hashed = manifest["paths"]["django_htmx/htmx-2.min.js"]
        assert hashed != "django_htmx/htmx-2.min.js"
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/static/{hashed}") as response:
            assert "immutable" in response.headers["Cache-Control"]
        stop(process)


def test_killed_outright_it_leaves_nobody_on_its_port(used_data):
    data = used_data
    port = free_port()
    with started(port, "--no-demo", "--data", str(data)) as process:
        process.kill()
        process.wait()
        eventually(lambda: not is_answered(port))
    with started(port, "--no-demo", "--data", str(data)) as process:
        stop(process)


def test_a_serving_process_that_dies_is_started_again_as_often_as_it_dies(used_data):
    port = free_port()
    with started(port, "--no-demo", "--data", str(used_data)) as process:
        killed = []
        for _ in range(3):
            serving = eventually(lambda: serving_process_of(process.pid))
            os.kill(serving, signal.SIGKILL)
            killed.append(serving)
            eventually(lambda: serving_process_of(process.pid) not in {None, *killed})
            assert fetch(f"http://127.0.0.1:{port}/healthz", timeout=PATIENCE) == "ok\n"  # nobody is turned away
        said = stop(process)
    assert len(set(killed)) == 3
    assert said.count("The serving process ended (SIGKILL) and starts again in ") == 3
    assert said.endswith("Stopped. Everything is saved.\n")


def test_a_second_one_on_the_same_data_is_refused_and_told_of_the_first(used_data):
    data = used_data
    port, other = free_port(), free_port()
    with started(port, "--no-demo", "--data", str(data)) as process:
        for asked in (port, other):
            refused = subprocess.run(
                [sys.executable, "manage.py", "up", "--port", str(asked), "--data", str(data)],
                cwd=settings.BASE_DIR,
                capture_output=True,
                text=True,
                timeout=PATIENCE,
            )
            assert refused.returncode == 1
            assert f"{data} is in use by process {process.pid} (up) serving at http://127.0.0.1:{port}/, since" in (
                refused.stderr
            )
        stop(process)
    assert not (data / "in-use.json").exists()


def test_a_port_in_use_is_said_before_anything_is_made(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = subprocess.run(
            [
                sys.executable,
                "manage.py",
                "up",
                "--host",
                "127.0.0.1",
                "--port",
                str(port),
                "--data",
                str(tmp_path / "d"),
            ],
            cwd=settings.BASE_DIR,
            capture_output=True,
            text=True,
            timeout=60,
        )
    assert done.returncode == 1
    assert f"Port {port} is in use" in done.stderr
    assert f"--port {port + 1}" in done.stderr
    assert not (tmp_path / "d").exists()


def test_another_command_makes_no_data_folder(tmp_path):
    subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=settings.BASE_DIR,
        env={**os.environ, "TANBARK_DATA": str(tmp_path / "data")},
        check=True,
        capture_output=True,
    )
    assert not (tmp_path / "data").exists()
