"""What works entries out stands alone: no Django comes with it."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
MODULES = ", ".join(
    f"contest.entries.{name}" for name in ("groups", "matching", "numbers", "plan", "rotation", "source")
)


def test_importing_it_loads_no_django():
    script = f"import sys, {MODULES}; print(sorted(name for name in sys.modules if name.split('.')[0] == 'django'))"
    run = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert (run.returncode, run.stdout.strip(), run.stderr) == (0, "[]", "")
