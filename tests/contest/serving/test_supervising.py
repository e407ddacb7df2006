"""A serving process that ends is started again, after pauses that grow and are forgotten."""

import multiprocessing
import socket
import threading
import time
from types import SimpleNamespace

import pytest

from contest.serving import child, supervising


class Ended:
    """A process that has ended at once."""

    exitcode, pid, sentinel = -9, 1, 0

    def join(self, *patience):
        pass

    def is_alive(self):
        return False


@pytest.fixture
def lives(monkeypatch):
    """A place whose processes end after so many seconds each; gives back the pauses before the next and what was
    said."""

    def last(*seconds):
        clock, pauses, said, left = [0.0], [], [], list(seconds)
        monkeypatch.setattr(supervising.time, "monotonic", lambda: clock[0])
        seat = supervising.Seat(None, 0.0)
        monkeypatch.setattr(seat, "start", lambda: setattr(seat, "process", Ended()))
        seat.fill(said.append)
        for life in left:
            clock[0] = seat.began + life
            seat.fill(said.append)
            pauses.append(seat.starts_at - clock[0])
            assert seat.process is None  # it waits
            clock[0] = seat.starts_at
            seat.fill(said.append)
            assert seat.process
        return pauses, said

    return last


def test_it_is_started_again_as_often_as_it_ends_after_pauses_that_grow_to_a_bound(lives):
    pauses, said = lives(*[1.0] * 9)
    assert pauses == [0.25, 0.5, 1, 2, 4, 8, 8, 8, 8]
    assert said[1] == "The serving process ended (SIGKILL) and starts again in 0.5 s. Nothing saved is lost."


def test_the_pause_is_short_again_once_it_ran_well(lives):
    pauses, _ = lives(1.0, 1.0, 1.0, 31.0, 1.0)
    assert pauses == [0.25, 0.5, 1, 0.25, 0.5]


@pytest.mark.parametrize(("code", "words"), [(-9, "SIGKILL"), (-250, "signal 250"), (1, "exit code 1")])
def test_it_says_how_it_ended(code, words):
    assert supervising.how(code) == words


def watched(listening, monkeypatch, seconds):
    """Two processes that run for so long while they are watched; gives back their exit codes and what was said."""
    monkeypatch.setattr(supervising, "ASK_EVERY", 0.01)
    monkeypatch.setattr(supervising, "PATIENCE", 0.2)
    codes, said = [], []

    def start(seat):
        if len(codes) >= 2:
            raise KeyboardInterrupt
        codes.append(None)
        seat.process = multiprocessing.get_context("spawn").Process(target=time.sleep, args=(seconds,))
        seat.process.start()

    def clear(seat):
        if seat.process:
            seat.process.join()
            codes.append(seat.process.exitcode)
        seat.process = None

    monkeypatch.setattr(supervising.Seat, "start", start)
    monkeypatch.setattr(supervising.Seat, "clear", clear)
    with pytest.raises(KeyboardInterrupt):
        supervising.keep_serving(listening, said.append, workers=2)
    return codes[2:], said


def test_those_that_run_and_answer_nobody_are_ended(monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as listening:
        codes, said = watched(listening, monkeypatch, 600)
    assert codes == [-9, -9]
    assert said[0] == "The serving process has not answered for 1.2 s, and is ended."


def test_those_that_answer_are_left_alone(monkeypatch):
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
        codes, said = watched(listening, monkeypatch, 0.5)
        listening.shutdown(socket.SHUT_RDWR)
        server.join()
    assert codes == [0, 0]
    assert not any("has not answered" in words for words in said)
    assert asked[0].startswith(b"GET /healthz ")


def test_one_of_several_whose_loop_stands_still_ends_itself(monkeypatch):
    server, ended = SimpleNamespace(stopping=threading.Event(), turns=7), []
    monkeypatch.setattr(child.os, "_exit", lambda code: (ended.append(code), server.stopping.set()))
    child.end_if_stuck(server, look_every=0.001)
    assert ended == [child.STUCK]
