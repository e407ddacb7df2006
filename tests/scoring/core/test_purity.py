"""The core stands alone: no Django comes with it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]


@pytest.mark.parametrize(
    "modules",
    [
        ", ".join(
            ".".join(path.relative_to(ROOT).with_suffix("").parts)
            for path in sorted(ROOT.glob("scoring/core/**/[a-z]*.py"))
        ),
        "scoring.standings.listing, scoring.standings.rows, scoring.standings.sheets",
        "contest.book",
    ],
)
def test_importing_it_loads_no_django(modules: str) -> None:
    script = f"import sys, {modules}; print(sorted(name for name in sys.modules if name.split('.')[0] == 'django'))"
    run = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert (run.returncode, run.stdout.strip(), run.stderr) == (0, "[]", "")


def test_the_check_would_notice_django() -> None:
    script = "import sys, django; print(sorted(name for name in sys.modules if name.split('.')[0] == 'django')[0])"
    run = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert run.stdout.strip() == "django"
