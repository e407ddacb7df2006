"""A serving process that ends is started again, after pauses that grow and are forgotten."""

import multiprocessing
import socket
import threading
import time

import pytest

from contest.serving import supervising


@pytest.fixture
def days(monkeypatch):
    """Has serving processes end after so many seconds each; gives back the pauses and what was said."""

    def last(*lives):
        clock, pauses, said, left = [0.0], [], [], list(lives)

        def serve_once(listening, say, drain):
            if not left:
                raise KeyboardInterrupt
            clock[0] += left.pop(0)
            return -9

        monkeypatch.setattr(supervising, "serve_once", serve_once)
        monkeypatch.setattr(supervising.time, "monotonic", lambda: clock[0])
        monkeypatch.setattr(supervising.time, "sleep", pauses.append)
        with socket.socket() as listening, pytest.raises(KeyboardInterrupt):
            supervising.keep_serving(listening, said.append)
        return pauses, said

    return last


def test_it_is_started_again_as_often_as_it_ends_after_pauses_that_grow_to_a_bound(days):
    pauses, said = days(*[1.0] * 9)
    assert pauses == [0.25, 0.5, 1, 2, 4, 8, 8, 8, 8]
    assert said[1] == "The serving process ended (SIGKILL) and starts again in 0.5 s. Nothing saved is lost."


def test_the_pause_is_short_again_once_it_ran_well(days):
    pauses, _ = days(1.0, 1.0, 1.0, 31.0, 1.0)
    assert pauses == [0.25, 0.5, 1, 0.25, 0.5]


@pytest.mark.parametrize(("code", "words"), [(-9, "SIGKILL"), (-250, "signal 250"), (1, "exit code 1")])
def test_it_says_how_it_ended(code, words):
    assert supervising.how(code) == words


def watched(listening, monkeypatch, seconds):
    """A process that runs for so long while it is watched; gives back its exit code and what was said."""
    monkeypatch.setattr(supervising, "ASK_EVERY", 0.01)
    monkeypatch.setattr(supervising, "PATIENCE", 0.2)
    process = multiprocessing.get_context("spawn").Process(target=time.sleep, args=(seconds,))
    process.start()
    said = []
    supervising.watch(process, listening, said.append)
    process.join()
    return process.exitcode, said


def test_one_that_runs_and_answers_nobody_is_ended(monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as listening:
        code, said = watched(listening, monkeypatch, 600)
    assert code == -9
    assert said == ["The serving process has not answered for 1.2 s, and is ended."]


def test_one_that_answers_is_left_alone(monkeypatch):
    asked = []

    def serve(listening):
        while True:
            try:
                connection, _ = listening.accept()
            except OSError:
                return
            with connection:
                asked.append(connection.recv(1000))
                connection.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 3\r\n\r\nok\n")

    with socket.create_server(("127.0.0.1", 0)) as listening:
        server = threading.Thread(target=serve, args=[listening], daemon=True)
        server.start()
        code, said = watched(listening, monkeypatch, 0.5)
        listening.shutdown(socket.SHUT_RDWR)
        server.join()
    assert (code, said) == (0, [])
    assert asked[0].startswith(b"GET /healthz ")
