"""The planner has as long as it may work, not as long as this machine takes for it: its clock counts how often it is
asked."""

from itertools import count
from types import SimpleNamespace

import pytest

from reasons.planning import planner

ASKED = 1 / 256
"""Seconds that pass each time; a power of two, so that they add up exactly whenever a test begins."""


@pytest.fixture(autouse=True, scope="module")
def counted_clock():
    ticks = count()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(planner, "time", SimpleNamespace(monotonic=lambda: ASKED * next(ticks)))
        yield
