"""Kills and power cuts in number, while cards are read: python -m tests.bench.faults --kills 1000 --cuts 500

Starts a real server on a free port with a data folder of its own. Target: nothing acknowledged is lost, nothing is
there twice, nothing is torn.
"""

import argparse
import tempfile
import time
from pathlib import Path

from tests.faults.killing import kill_again_and_again
from tests.faults.power import cut_again_and_again

BATCH = 100  # faults on one data folder; then another one, so that a long run says how far it is


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--cuts", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    for number, run, contestants in (
        (options.kills, kill_again_and_again, 1_500),
        (options.cuts, cut_again_and_again, 1_500),
    ):
        for batch, done in enumerate(range(0, number, BATCH)):
            with tempfile.TemporaryDirectory() as folder:
                began = time.monotonic()
                print(run(Path(folder) / "data", min(BATCH, number - done), options.seed + batch, contestants))
                print(f"  in {time.monotonic() - began:.0f} s  (target: lost 0, twice 0, torn 0)", flush=True)


if __name__ == "__main__":
    main()
