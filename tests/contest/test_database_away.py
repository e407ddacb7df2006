"""Threads that look at the database for as long as a process runs: while it is away, a look takes a line of the log."""

import threading

import pytest
from django.db import OperationalError

from contest.jobs import keeping
from contest.jobs.keeping import keep_going
from scoring.results.web_copy import keeper
from scoring.results.web_copy.keeper import Keeper, keep_web_copy


@pytest.mark.parametrize(("problem", "is_traced"), [(OperationalError("it is away"), False), (KeyError("a"), True)])
@pytest.mark.parametrize("which", ["lines of jobs", "web copy"])
def test_it_is_told_in_a_line_and_anything_else_with_all_that_is_known(
    which, problem, is_traced, settings, tmp_path, monkeypatch, caplog
):
    stop = threading.Event()

    def fails(*_args):
        stop.set()
        raise problem

    settings.WEB_COPY_FOLDER = tmp_path / "copy"
    monkeypatch.setattr(keeping, "_look", fails)
    monkeypatch.setattr(Keeper, "turn", fails)
    monkeypatch.setattr(keeper, "LOOK_EVERY", 0.01)
    work, arguments = (keep_web_copy, [stop]) if which == "web copy" else (keep_going, [[], stop])
    thread = threading.Thread(target=work, args=arguments)
    thread.start()
    thread.join(30)
    (told,) = caplog.records
    assert which in told.message
    assert str(problem) in told.message
    assert bool(told.exc_info) is is_traced
