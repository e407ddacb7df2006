"""Two `serve` and two `work`, of which each is killed while everybody works; the long run is `tests.faults.several`."""

import json
import subprocess
import sys

import pytest
from django.conf import settings

pytestmark = pytest.mark.postgresql


def test_whoever_of_several_is_killed_no_reading_is_lost_or_doubled_no_paper_lost_and_no_board_late():
    run = subprocess.run(
        [sys.executable, "-m", "tests.faults.several", "--short", "--seconds", "8", "--seed", "1"],
        cwd=settings.BASE_DIR,
        capture_output=True,
        text=True,
    )
    print(run.stdout, run.stderr)
    counted = json.loads(run.stdout.splitlines()[-1])
    assert counted["wrong"] == {}
    assert set(counted["troubles"]) == {"serve", "serving process", "work"}
    assert min(counted["readings"], counted["looks"]) > 5
    assert min(counted["reveals"], counted["papers"]) > 1
