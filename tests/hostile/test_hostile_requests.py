"""Whatever is sent to whichever address by whomever: no answer is a 500, and every request comes to an end.

pytest tests/hostile                               what the gate runs
pytest tests/hostile --hostile=SEED:INDEX          one request again, as a failure names it
pytest tests/hostile --hostile=SEED                as many again from another seed
"""

import logging
import time
from collections import Counter

import pytest
from django.db import connection

from tests.hostile.materials import FORM
from tests.hostile.requests import Hostile, request_of
from tests.hostile.site import STRANGER, Sender, Site, connection_kept, nothing_started, site_of
from tests.scoring.results.test_nothing_leaks import contest as full_contest

MANY = {"sqlite": ("2026", 10_000), "postgresql": ("2027", 2_500)}
"""For each database a seed and how many: on PostgreSQL it is what that one refuses that is looked for."""
FAILURES_SHOWN = 12

contest = full_contest
pytestmark = pytest.mark.django_db


@pytest.fixture
def site(contest, as_helper):
    logging.disable(logging.CRITICAL)  # each refusal is a line, and the failures are told below
    with nothing_started():
        yield site_of(contest, as_helper)
    logging.disable(logging.NOTSET)


def sent(site, seed, indices):
    """Sends them all: how many of each status, and each failure with what sends it again."""
    sender, statuses, failures = Sender(site), Counter(), []
    for index in indices:
        hostile = request_of(seed, index, site)
        with connection_kept():
            status, error = sender.send(hostile)
        statuses[status] += 1
        if status >= 500 or error:
            failures.append((f"--hostile={seed}:{index}", hostile, error))
    return statuses, failures


def told(failures):
    kinds = {}
    for replay, hostile, error in failures:
        kinds.setdefault(error.strip().splitlines()[-1][:150] if error else "", []).append((replay, hostile, error))
    lines = [f"{len(failures)} failures of {len(kinds)} kinds"]
    for kind, found in list(kinds.items())[:FAILURES_SHOWN]:
        replay, hostile, error = found[0]
        lines.append(f"{len(found)} x {kind}\n{replay}\n{hostile}\n{error[-1500:]}")
    return "\n\n".join(lines)


def test_no_request_is_answered_with_a_500(site, pytestconfig, capsys):
    usual_seed, many = MANY[connection.vendor]
    seed, _, index = (pytestconfig.getoption("--hostile") or usual_seed).partition(":")
    began = time.monotonic()
    statuses, failures = sent(site, seed, [int(index)] if index else range(many))
    with capsys.disabled():
        counts = ", ".join(f"{status}: {count}" for status, count in sorted(statuses.items()))
        print(f"\n{statuses.total()} hostile requests in {time.monotonic() - began:.0f} s; {counts}")
    assert not failures, told(failures)


def test_a_request_that_nothing_guards_against_is_found(settings):
    site = Site({STRANGER: ""}, [], {}, [])
    broken = Hostile(STRANGER, "POST", "/join/", "", {"Content-Length": "1.5"}, FORM, b"name=Ann")
    status, error = Sender(site).send(broken)
    assert (status, error) == (400, "")
    settings.MIDDLEWARE = [each for each in settings.MIDDLEWARE if each != "contest.web.middleware.RefuseUnreadable"]
    status, error = Sender(site).send(broken)
    assert status == 500
    assert "invalid literal" in error
