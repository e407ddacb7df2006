"""The server by itself, before a small application: what stalls it not, what it refuses, with whom it parts."""

import http.client
import socket
import socketserver
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import partial
from wsgiref.simple_server import WSGIRequestHandler

import pytest
from waitress import wasyncore
from waitress.adjustments import Adjustments
from waitress.server import TcpWSGIServer

from contest.serving import channels, server
from contest.serving.addresses import bound_socket
from contest.serving.server import Server
from contest.web.middleware import BESIDES_THE_FILE, MOST_UPLOADED
from tests.stalling import HALF_REQUESTS, slow_reader, slow_sender, stalled
from tests.waiting import PATIENCE, eventually

LARGE = 20_000_000
THREADS = server.SETTINGS["threads"]


def application(environ, start_response):
    path = environ["PATH_INFO"]
    if path == "/nothing":
        start_response("204 No Content", [])
        return [b""]
    if path == "/file":
        file = tempfile.TemporaryFile()  # noqa: SIM115 -- the server closes it
        file.truncate(LARGE)
        start_response("200 OK", [("Content-Length", str(LARGE))])
        return environ["wsgi.file_wrapper"](file, 4096)
    if path == "/page":
        body = b"x" * LARGE
    elif path == "/read":
        body = str(len(environ["wsgi.input"].read())).encode()
    elif path == "/proxied":
        body = str(sorted(name for name in environ if "FORWARDED" in name)).encode()
    else:
        body = b"ok"
    start_response("200 OK", [("Content-Length", str(len(body)))])
    return [body]


@contextmanager
def serving(most_connections=1000, app=application, **options):
    """A server on a free port, in a thread; gives it back with its port."""
    listening = bound_socket("127.0.0.1", 0)
    running = Server(app, listening, most_connections, **options)
    thread = threading.Thread(target=running.run)
    thread.start()
    try:
        yield running, int(running.effective_port)
    finally:
        if not running.stopping.is_set():
            running.stop()
        thread.join(PATIENCE)
        assert not thread.is_alive()


def ask(port, path="/", method="GET", body=None, headers=(), timeout=PATIENCE, whence="127.0.0.1"):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=timeout, source_address=(whence, 0))
    try:
        connection.request(method, path, body, dict(headers))
        answer = connection.getresponse()
        return answer.status, answer.read()
    finally:
        connection.close()


def talk(port, said):
    """All that comes back for these bytes, until the server closes the connection."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as connection:
        connection.sendall(said)
        heard = []
        while more := connection.recv(65536):
            heard.append(more)
    return b"".join(heard)


def is_kept(connection):
    """Does the server keep it? It is asked to, by a connection that came later and has been answered."""
    connection.settimeout(0.2)
    try:
        return connection.recv(1) != b""
    except TimeoutError:
        return True
    except ConnectionError:
        return False


class ThreadsThatRead(socketserver.TCPServer):
    """A server as simple as one can be: as many threads, and each reads what it answers."""

    allow_reuse_address = True

    def __init__(self):
        self.pool = ThreadPoolExecutor(THREADS)
        super().__init__(("127.0.0.1", 0), Reads)

    def process_request(self, request, client_address):
        self.pool.submit(self.process_request_in_thread, request, client_address)

    def process_request_in_thread(self, request, client_address):
        self.finish_request(request, client_address)
        self.shutdown_request(request)


class Reads(WSGIRequestHandler):
    def handle(self):
        line = self.rfile.readline()
        length = 0
        while len(line) > 2:
            length = int(line.split(b":")[1]) if line.lower().startswith(b"content-length") else length
            line = self.rfile.readline()
        self.rfile.read(length)
        self.wfile.write(b"HTTP/1.0 200 OK\r\nContent-Length: 2\r\n\r\nok")


def test_forms_that_never_come_hold_no_thread():
    with serving() as (_, port), stalled([partial(slow_sender, port, half) for half in HALF_REQUESTS], 60):
        assert ask(port) == (200, b"ok")


def test_the_same_forms_hold_a_server_whose_threads_read():
    with ThreadsThatRead() as simple:
        threading.Thread(target=simple.serve_forever, args=[0.05]).start()
        port = simple.server_address[1]
        try:
            assert ask(port) == (200, b"ok")
            with stalled([partial(slow_sender, port, half) for half in HALF_REQUESTS], THREADS):
                time.sleep(0.2)
                with pytest.raises(TimeoutError):
                    ask(port, timeout=1)
            assert ask(port) == (200, b"ok")
        finally:
            simple.shutdown()
            simple.pool.shutdown()


@pytest.mark.parametrize(("path", "times"), [("/file", 1), ("/page", 1), ("/file", 20), ("/page", 3)])
def test_answers_that_are_not_fetched_hold_no_thread(path, times):
    def waiting():
        return sum(channel.total_outbufs_len > 0 for channel in list(running.active_channels.values()))

    count = THREADS + 4  # more than there are threads, and less than the server parts with somebody for
    assert count * LARGE < server.MOST_HELD
    with serving() as (running, port), stalled([partial(slow_reader, port, path, times=times)], count):
        eventually(lambda: waiting() == count)
        assert ask(port) == (200, b"ok")


def test_answers_asked_for_all_at_once_hold_waitress_itself():
    bare = TcpWSGIServer(application, map={}, adj=Adjustments(host="127.0.0.1", port=0, threads=THREADS))
    ended = threading.Event()

    def run():
        while not ended.is_set():
            wasyncore.loop(timeout=0.05, map=bare._map, count=1)

    loop = threading.Thread(target=run)
    loop.start()
    port = int(bare.effective_port)
    assert ask(port) == (200, b"ok")
    with stalled([partial(slow_reader, port, "/page", times=3)], THREADS):
        eventually(lambda: bare.task_dispatcher.active_count == THREADS)
        with pytest.raises(TimeoutError):
            ask(port, timeout=1)
    eventually(lambda: not bare.active_channels)  # the connections that held it are gone
    ended.set()
    loop.join()
    bare.task_dispatcher.shutdown(timeout=PATIENCE)
    bare.trigger.close()
    bare.close()


def test_whoever_asks_many_times_at_once_gets_all_answers_in_order():
    with serving() as (_, port):
        paths = ["/nothing", "/page", "/", "/file", "/"]
        asked = [f"GET {path} HTTP/1.1\r\nHost: x\r\n" for path in paths]
        heard = talk(port, ("\r\n".join([*asked, "GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"])).encode())
    assert heard.count(b"HTTP/1.1 ") == len(paths) + 1
    assert heard.count(b"\r\n\r\nok") == 3
    assert len(heard) > 2 * LARGE


def test_an_answer_without_a_body_keeps_the_connection():
    with serving() as (_, port):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        for path, status in [("/nothing", 204), ("/", 200)] * 3:
            connection.request("GET", path)
            first = connection.sock
            answer = connection.getresponse()
            assert (answer.status, answer.getheader("Connection")) == (status, None)
            answer.read()
            assert connection.sock is first
        connection.close()
        assert b"Connection: close" in talk(port, b"GET /nothing HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")


def test_head_has_the_headers_alone_and_the_next_answer_is_its_own():
    with serving() as (_, port):
        heard = talk(
            port, b"HEAD /page HTTP/1.1\r\nHost: x\r\n\r\nGET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"
        )
    head, second, body = heard.split(b"\r\n\r\n")
    assert f"Content-Length: {LARGE}".encode() in head
    assert second.startswith(b"HTTP/1.1 200 OK")
    assert body == b"ok"


@pytest.mark.parametrize(
    ("said", "status", "words"),
    [
        (b"GARBAGE\r\n\r\n", b"400", b"did not understand"),
        (b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", b"400", b"did not understand"),
        (b"GET / HTTP/1.1\r\nCookie: " + b"a" * 70_000, b"431", b"too long"),
        (b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n1\r\na\r\n0\r\n\r\n", b"501", b"with its length"),
        (b"POST / HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n", b"413", b"far larger"),
    ],
)
def test_what_it_refuses_by_itself_it_refuses_in_words(said, status, words):
    with serving() as (_, port):
        heard = talk(port, said)
    assert heard.startswith(b"HTTP/1.") and status in heard.split(b"\r\n")[0]
    assert words in heard and b"Server: Tanbark" in heard and b"waitress" not in heard.lower()


def test_a_form_that_will_be_refused_for_its_size_is_read_and_kept_nowhere():
    with serving() as (_, port):
        most = MOST_UPLOADED + BESIDES_THE_FILE
        assert ask(port, "/read", "POST", b"x" * most) == (200, str(most).encode())
        assert ask(port, "/read", "POST", b"x" * (most + 1)) == (200, b"0")


def test_nobody_may_say_that_a_request_came_from_elsewhere():
    with serving() as (_, port):
        headers = {"X-Forwarded-For": "10.1.1.1", "Forwarded": "for=10.1.1.1", "X-Forwarded-Proto": "https"}
        assert ask(port, "/proxied", headers=headers) == (200, b"[]")


def test_half_a_request_is_not_waited_for_for_long(monkeypatch):
    with serving() as (_, port), stalled([partial(slow_sender, port, half) for half in HALF_REQUESTS], 3) as half_sent:
        assert all(is_kept(connection) for connection in half_sent)
        monkeypatch.setattr(channels, "WHOLE_WITHIN", -1)
        monkeypatch.setattr(channels, "SLOWEST", 10**9)
        eventually(lambda: not any(is_kept(connection) for connection in half_sent))
        assert ask(port) == (200, b"ok")


def test_answers_that_nobody_fetches_are_dropped_after_a_while():
    with serving() as (running, port), stalled([partial(slow_reader, port, "/page", times=2)], 3) as readers:
        eventually(lambda: sum(channel.waits for channel in list(running.active_channels.values())) == len(readers))
        running.adj.channel_timeout = -1
        eventually(lambda: not running.active_channels)


def test_one_device_that_opens_all_it_can_loses_its_own_connections_alone():
    with serving(most_connections=20) as (running, port):
        desk = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        desk.request("GET", "/")
        desk.getresponse().read()
        first = desk.sock

        def phone():
            connection = socket.create_connection(("127.0.0.1", port), source_address=("127.0.0.2", 0))
            connection.sendall(b"G")
            return connection

        with stalled([phone], 60) as opened:
            eventually(lambda: not is_kept(opened[0]))
            eventually(lambda: len(running.active_channels) <= 20)
            assert ask(port, whence="127.0.0.3") == (200, b"ok")
            desk.request("GET", "/")
            assert desk.getresponse().read() == b"ok"
            assert desk.sock is first
        desk.close()


def test_what_is_half_sent_together_takes_no_more_room_than_there_is(monkeypatch):
    monkeypatch.setattr(server, "MOST_HELD", 500_000)
    half = "POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 1000000\r\n\r\n" + 200_000 * "x"
    with serving() as (_, port), stalled([partial(slow_sender, port, half)], 2) as first:
        assert all(is_kept(connection) for connection in first)
        with stalled([partial(slow_sender, port, half)], 1) as last:
            eventually(lambda: [is_kept(connection) for connection in first] == [False, True])
            assert is_kept(last[0])
            assert ask(port) == (200, b"ok")


def test_pages_that_take_long_wait_for_each_other_and_hold_no_thread():
    may_end, under_way, most = threading.Event(), [], []

    def slow(environ, start_response):
        if environ["PATH_INFO"].startswith("/long"):
            under_way.append(environ["PATH_INFO"])
            most.append(len(under_way))
            assert may_end.wait(PATIENCE)
            under_way.pop()
        return application(environ, start_response)

    count = 3 * THREADS
    with (
        serving(app=slow, is_heavy=lambda method, path: path.startswith("/long")) as (running, port),
        ThreadPoolExecutor(count) as pool,
    ):
        answers = [pool.submit(ask, port, f"/long/{number}") for number in range(count)]
        eventually(lambda: len(running.task_dispatcher.queue.heavy) == count - 1)
        assert ask(port) == (200, b"ok")
        may_end.set()
        assert [answer.result(PATIENCE) for answer in answers] == [(200, b"ok")] * count
    assert len(most) == count and set(most) == {1}


def test_a_page_that_fails_lets_the_next_one_in():
    def fails(environ, start_response):
        raise ValueError("as a view may")

    with serving(app=fails, is_heavy=lambda method, path: True) as (_, port):
        for _ in range(2):
            status, body = ask(port)
            assert status == 500 and b"what was saved before is safe" in body


def test_a_stop_lets_what_is_under_way_end_and_frees_the_port_at_once():
    begun, may_end = threading.Event(), threading.Event()

    def slow(environ, start_response):
        begun.set()
        assert may_end.wait(PATIENCE)
        return application(environ, start_response)

    with serving(app=slow) as (running, port), ThreadPoolExecutor() as pool:
        answer = pool.submit(ask, port)
        assert begun.wait(PATIENCE)
        running.stop()
        eventually(lambda: running.socket is None or running.socket.fileno() == -1)
        with bound_socket("127.0.0.1", port) as again:
            again.listen()
            may_end.set()
            assert answer.result(PATIENCE) == (200, b"ok")


class Limits:
    """What a system says of open files."""

    RLIM_INFINITY, RLIMIT_NOFILE = -1, 7

    def __init__(self, soft, hard, refuses=False):
        self.now, self.refuses = (soft, hard), refuses

    def getrlimit(self, kind):
        return self.now

    def setrlimit(self, kind, limits):
        if self.refuses:
            raise ValueError("not allowed")
        self.now = limits


@pytest.mark.parametrize(
    ("limits", "room", "soft"),
    [
        (Limits(1_000_000, 1_000_000), 1000, 1_000_000),
        (Limits(-1, -1), 1000, -1),
        (Limits(256, -1), 1000, 3100),
        (Limits(1024, 2000), 633, 2000),
        (Limits(1024, 4096, refuses=True), 308, 1024),
        (Limits(256, 256), 100, 256),
        (None, 1000, None),
    ],
)
def test_it_keeps_as_many_connections_as_the_system_lets_it_have_files(monkeypatch, limits, room, soft):
    monkeypatch.setattr(server, "resource", limits)
    monkeypatch.setattr(server, "MOST_CONNECTIONS", 1000)
    assert server.room_for_connections() == room
    assert limits is None or limits.now[0] == soft
