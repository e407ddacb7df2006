"""Ask the tests about each mutant: those that call the changed function, the quickest first, up to the first failure.

A mutant of a function is put into a copy of this process, where everything is loaded already. One of what runs when a
module is loaded needs a process of its own.
"""

from __future__ import annotations

import gc
import importlib
import os
import signal
import subprocess
import sys
import threading
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest

from tests.mutants.making import Mutant

PATIENCE = 3
"""How many times as long as a test took before it may take, and a second more, in time of the processor, however busy
the machine is: a mutant that never ends has been noticed. Looked at, each test took several times as long already."""

NOT_MADE = 3
KILLED, SURVIVED = "killed", "survived"


class Mutating:
    """A plugin of pytest that runs the chosen tests once to see what each calls, and then again for each mutant."""

    def __init__(self, mutants: list[Mutant], told: Callable[[Mutant, str], None]) -> None:
        self._mutants = mutants
        self._told = told
        self._failed = ""
        self._files = {str(Path(mutant.path).resolve()): mutant.path for mutant in mutants}
        self._calling: dict[tuple[str, str], list[Any]] = defaultdict(list)
        self._called: set[tuple[str, str]] = set()
        self._seconds: dict[Any, float] = {}

    @pytest.hookimpl(trylast=True)
    def pytest_configure(self) -> None:
        only_look_for_a_failure()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._failed = f"{report.nodeid}:\n{report.longreprtext}"

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        for item in session.items:
            self._look(item)
        if self._failed:
            raise pytest.UsageError(f"a test fails although nothing is changed: {self._failed}")
        gc.freeze()
        for mutant in self._mutants:
            self._told(mutant, self._fate(mutant))
        return True

    def _look(self, item: Any) -> None:
        """Run a test as it is, and keep which functions it calls and how long it takes."""
        seen: set[tuple[str, str]] = set()

        def trace(frame: Any, event: str, argument: object) -> None:
            if path := self._files.get(frame.f_code.co_filename):
                function, _, within = frame.f_code.co_qualname.partition(".<locals>")
                seen.add((path, function))
                if not within:
                    self._called.add((path, function))

        begun = time.process_time()
        threading.settrace(trace)
        sys.settrace(trace)
        try:
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
        finally:
            sys.settrace(None)
            threading.settrace(None)  # type: ignore[arg-type]
        self._seconds[item] = time.process_time() - begun
        for function in seen:
            self._calling[function].append(item)

    def _fate(self, mutant: Mutant) -> str:
        # What no test calls may still be called when a module is loaded.
        if (mutant.path, mutant.function) not in self._called or _function(
            mutant
        ).__code__.co_freevars != mutant.function_code().co_freevars:
            seconds: Counter[str] = Counter()
            for item in {item for place, items in self._calling.items() if place[0] == mutant.path for item in items}:
                seconds[str(item.path)] += self._seconds[item]
            return _in_a_process_of_its_own(mutant, sorted(seconds, key=seconds.__getitem__))
        items = sorted(self._calling[mutant.path, mutant.function], key=self._seconds.__getitem__)
        child = os.fork()
        if child == 0:
            self._in_a_copy(mutant, items)
        return _waited_for(child)

    def _in_a_copy(self, mutant: Mutant, items: Iterable[Any]) -> None:
        """Does not come back: the process ends with 1 as soon as a test fails."""
        try:
            _function(mutant).__code__ = mutant.function_code()
            _forget_what_was_worked_out()
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            os.dup2(1, 2)
        except BaseException:
            traceback.print_exc()
            os._exit(NOT_MADE)
        try:
            for item in items:
                signal.setitimer(signal.ITIMER_VIRTUAL, 1 + PATIENCE * self._seconds[item])  # it ends the process
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
                if self._failed:
                    break
        finally:
            os._exit(bool(self._failed))


def only_look_for_a_failure() -> None:
    """Let Hypothesis draw the same examples each time, and not look for a simpler one that fails as well."""
    from hypothesis import Phase, settings  # pytest wants to load it first

    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("mutants", deadline=None, database=None, derandomize=True, phases=phases)
    settings.load_profile("mutants")


def _function(mutant: Mutant) -> Any:
    found: Any = importlib.import_module(_module(mutant.path))
    for name in mutant.function.split("."):
        found = vars(found)[name]
    for within in ("fget", "func", "__func__", "__wrapped__"):
        found = getattr(found, within, found) if not isinstance(found, cached_property) else found.func
    return found


def _module(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _forget_what_was_worked_out() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith(("scoring.", "reasons.")):
            for thing in vars(module).values():
                if hasattr(thing, "cache_clear"):
                    thing.cache_clear()


def _waited_for(child: int) -> str:
    _, status = os.waitpid(child, 0)
    if os.waitstatus_to_exitcode(status) == NOT_MADE:
        raise pytest.UsageError("a mutant could not be made")
    return KILLED if status else SURVIVED


def _in_a_process_of_its_own(mutant: Mutant, files: list[str]) -> str:
    if not files:
        return SURVIVED
    place = f"{mutant.path}|{mutant.node}|{mutant.way}"
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "tests.mutants.loading", *files]
    try:
        ended = subprocess.run(command, env={**os.environ, "MUTANT": place}, capture_output=True, timeout=300)
    except subprocess.TimeoutExpired:
        return KILLED  # it never ends
    return KILLED if ended.returncode else SURVIVED
