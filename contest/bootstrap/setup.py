"""The slow path: makes what is missing, and says what it does and how long each step took."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from . import may_use_apt
from .environment import Environment
from .lock import only_one
from .needs import VENV, Needs, SystemPackage

Run = Callable[[Sequence[str]], "subprocess.CompletedProcess[str]"]

APT_INSTALL = ("apt-get", "install", "--yes", "--quiet", "--no-install-recommends")


class NotReady(Exception):
    """Something is missing that Tanbark may not or cannot install; the message says what to do."""


def run_quietly(command: Sequence[str]) -> subprocess.CompletedProcess[str]:
    """Run a program with nobody at its input; its output is kept for the case that it fails."""
    return subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
    )


@contextmanager
def step(task: str) -> Iterator[None]:
    print(f"  {task} ...", end="", flush=True)
    began = time.monotonic()
    try:
        yield
    except BaseException:
        print(" failed", flush=True)
        raise
    print(f" {time.monotonic() - began:.1f} s", flush=True)


def set_up(environment: Environment, needs: Needs, run: Run = run_quietly) -> None:
    """Bring everything in that `needs` names. Does nothing twice; raises NotReady if it cannot."""
    print("Tanbark is getting ready.", flush=True)
    try:
        with only_one(environment.checkout / ".venv.lock"):
            install_system_packages(missing_packages(environment, needs), run)
            install_wishes(needs.missed(), run)
            if not environment.satisfies(needs.requirements):  # another command may have done it meanwhile
                make_environment(environment, run)
                install_requirements(environment, environment.best_for(needs.requirements), run)
    except PermissionError as error:
        raise NotReady(f"May not write to {error.filename}. Run this as the user who owns the folder.") from error
    print("Ready.\n", flush=True)


def missing_packages(environment: Environment, needs: Needs) -> list[SystemPackage]:
    missing = needs.missing()
    if not environment.is_sound() and not VENV.present():
        missing.insert(0, VENV)
    return missing


def install_system_packages(packages: list[SystemPackage], run: Run, may: Callable[[], bool] = may_use_apt) -> None:
    if not packages:
        return
    names = [package.name for package in packages]
    if not may():
        raise NotReady(how_to_install(packages, with_apt=shutil.which("apt-get") is not None))
    with step(f"apt-get install {' '.join(names)}"):
        done = run([*APT_INSTALL, *names])
        if done.returncode:
            # There are no lists of packages yet, or older ones than the archive: fetch them and try once more.
            done = run(["apt-get", "update", "--quiet"])
            if done.returncode == 0:
                done = run([*APT_INSTALL, *names])
    if done.returncode:
        raise NotReady(f"{last_lines(done.stdout)}\n\napt-get could not install {' '.join(names)} (see above).")


def install_wishes(packages: list[SystemPackage], run: Run, may: Callable[[], bool] = may_use_apt) -> None:
    """Install what can be done without; where that fails, say what it will be like."""
    if packages and may():
        try:
            install_system_packages(packages, run, may)
        except NotReady:
            print(f"  Going on without {', '.join(package.name for package in packages)}.", flush=True)


def how_to_install(packages: list[SystemPackage], with_apt: bool) -> str:
    names = " ".join(package.name for package in packages)
    if with_apt:
        return (
            "Some system packages are missing, and only root may install them. Paste this line, then try again:\n\n"
            f"sudo apt-get update && sudo apt-get install --yes --no-install-recommends {names}"
        )
    reasons = "\n".join(f"  {package.name}: {package.why}" for package in packages)
    return f"Missing on this machine (Debian's names):\n{reasons}\nInstall them and try again."


def make_environment(environment: Environment, run: Run) -> None:
    if environment.is_sound():
        return
    # Cleared first: what an interrupted run left, or another Python made, cannot be trusted. From within .venv
    # itself the new one is made by the Python that made the old.
    python = getattr(sys, "_base_executable", None) or sys.executable
    with step("python3 -m venv .venv"):
        if environment.folder.is_symlink():
            environment.folder.unlink()  # or what it leads to, another checkout's, would be emptied
        environment.stamp.unlink(missing_ok=True)
        done = run([python, "-m", "venv", "--clear", str(environment.folder)])
    if done.returncode:
        raise NotReady(f"{last_lines(done.stdout)}\n\nThe virtual environment .venv could not be made (see above).")


def install_requirements(environment: Environment, requirements: str, run: Run) -> None:
    old_stamp = environment.stamp.read_bytes() if environment.stamp.exists() else None
    with step(f"pip install -r {requirements}"):
        environment.stamp.unlink(missing_ok=True)
        done = run(
            [
                str(environment.python),
                *("-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-input"),
                *("--require-hashes", "-r", str(environment.checkout / requirements)),
            ]
        )
    if done.returncode == 0:
        environment.write_stamp(requirements)
        return
    if old_stamp is not None:
        # pip fetches everything before it changes anything, so without a network the old packages still stand.
        environment.stamp.write_bytes(old_stamp)
    raise NotReady(
        f"{last_lines(done.stdout)}\n\npip could not install {requirements} (see above). "
        "The first run needs the internet; later ones do not. Check the network and try again."
    )


def last_lines(output: str, count: int = 15) -> str:
    return "\n".join(output.rstrip().splitlines()[-count:])
