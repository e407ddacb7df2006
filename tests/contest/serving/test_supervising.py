"""A serving process that ends is started again, after pauses that grow and are forgotten."""

import socket

import pytest

from contest.serving import supervising


@pytest.fixture
def days(monkeypatch):
    """Has serving processes end after so many seconds each; gives back the pauses and what was said."""

    def last(*lives):
        clock, pauses, said, left = [0.0], [], [], list(lives)

        def serve_once(listening):
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
