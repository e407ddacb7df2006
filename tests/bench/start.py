"""How much the door adds to the start of a command that finds everything ready: python -m tests.bench.start

Two starts are compared: Python alone, in .venv, and the way from `python3 manage.py` to the same Python in .venv.
"""

import statistics
import subprocess
import sys
import time

from contest.bootstrap import CHECKOUT
from contest.bootstrap.environment import Environment

RUNS = 21
THROUGH = (
    f"import sys; sys.path.insert(0, {str(CHECKOUT)!r}); from contest import bootstrap; bootstrap.open_door(sys.argv)"
)


def median_ms(command):
    times = []
    for _ in range(RUNS):
        began = time.perf_counter()
        subprocess.run(command, check=True)
        times.append((time.perf_counter() - began) * 1000)
    return statistics.median(times)


def main():
    inside = str(Environment(CHECKOUT).python)
    outside = sys._base_executable
    alone = median_ms([inside, "-c", "pass"])
    through = median_ms([outside, "-c", THROUGH, "up"])
    print(f"Python alone {alone:.0f} ms, through the door {through:.0f} ms: the door adds {through - alone:.0f} ms")


if __name__ == "__main__":
    main()
