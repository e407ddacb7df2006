"""A process beside the server lets everybody else go first, and still gets somewhere."""

import os
import subprocess
import sys

import pytest

from contest.background import NICE, give_order

SAYS = "import os; from contest.background import step_back; step_back(); print(os.sched_getscheduler(0), os.nice(0))"


def test_it_is_nice_and_not_idle():
    told = subprocess.run([sys.executable, "-c", SAYS], capture_output=True, text=True, check=True)
    scheduler, nice = map(int, told.stdout.split())
    assert scheduler == os.SCHED_BATCH  # SCHED_IDLE gets nothing for minutes where the processor is wanted
    assert nice == min(os.nice(0) + NICE, 19)  # the tests may themselves be nice
    assert 0 < NICE < 19


def test_one_that_ended_before_it_heard_fails_nobody():
    child = subprocess.Popen([sys.executable, "-c", ""], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    child.wait()
    give_order(child, "{}")
    with child:
        assert child.stdout.read() == ""


def test_without_that_it_would():
    child = subprocess.Popen([sys.executable, "-c", ""], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    child.wait()
    child.stdin.write("{}\n")
    with pytest.raises(BrokenPipeError), child:
        pass
