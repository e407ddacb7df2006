"""Mutants of the pure code, and how many of them its pure tests notice.

    nice python -m tests.mutants                             the core and the planner, all of them: an hour or so
    nice python -m tests.mutants scoring/core --sample 200 --seed 7
    nice python -m tests.mutants scoring/core/tally.py reasons/planning/again.py:60
    nice python -m tests.mutants --tests "not whole_contests"    quicker; what survives may yet be noticed by the others

The survivors are printed as they are met, and a share for each module at the end.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter, defaultdict
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import pytest

from tests.mutants.making import Mutant, mutants_of
from tests.mutants.running import SURVIVED, Mutating

TESTS = {"scoring/core": ["tests/scoring/core", "tests/published"], "reasons/planning": ["tests/reasons/planning"]}


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("paths", nargs="*", default=list(TESTS))
    asked.add_argument("--sample", type=int, help="so many of them, drawn by --seed")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--tests", metavar="WORDS", default="", help="of the tests only those that pytest -k picks")
    options = asked.parse_args()

    lines: defaultdict[str, set[int]] = defaultdict(set)
    for path in options.paths:
        lines[path.split(":")[0]].update(map(int, path.split(":")[1:]))
    files = sorted({str(file) for path in options.paths for file in _files(path.split(":")[0])})
    mutants = [mutant for file in files for mutant in mutants_of(file) if not lines[file] or mutant.line in lines[file]]
    print(f"{len(mutants)} mutants of {len(files)} modules", flush=True)
    if options.sample and options.sample < len(mutants):
        mutants = random.Random(options.seed).sample(mutants, options.sample)
        print(f"a sample of {options.sample}, seed {options.seed}", flush=True)
        mutants.sort(key=lambda mutant: (mutant.path, mutant.line, mutant.node))

    made: Counter[str] = Counter()
    survived: Counter[str] = Counter()
    begun = time.monotonic()

    def tell(mutant: Mutant, fate: str) -> None:
        made[mutant.path] += 1
        if fate == SURVIVED:
            survived[mutant.path] += 1
            print(mutant, file=sys.__stdout__, flush=True)

    tests = [test for folder, some in TESTS.items() if any(file.startswith(folder) for file in files) for test in some]
    with redirect_stdout(StringIO()):  # what pytest says of the tests as they are
        arguments = ["-q", "-p", "no:cacheprovider", "-k", options.tests, *tests]
        ended = pytest.main(arguments, plugins=[Mutating(mutants, tell)])
    if ended:
        print("the tests fail, or there are none", file=sys.__stdout__)
        return 2
    print(f"\n{'module':40} mutants survived killed")
    for path in sorted(made):
        print(f"{path:40} {made[path]:7} {survived[path]:8} {_share(made[path], survived[path])}")
    print(f"{'all':40} {made.total():7} {survived.total():8} {_share(made.total(), survived.total())}")
    print(f"{time.monotonic() - begun:.0f} s")
    return 0


def _files(path: str) -> list[Path]:
    return [Path(path)] if path.endswith(".py") else sorted(Path(path).rglob("*.py"))


def _share(made: int, survived: int) -> str:
    return f"{(made - survived) / made:6.1%}"


if __name__ == "__main__":
    raise SystemExit(main())
