"""Gets a bare checkout ready to run: the virtual environment, its packages and the few system packages.

Standard library only, and nothing here imports Django: this code runs before anything is installed. It must also
parse on Pythons older than the one Tanbark needs, so that they can be told so.

When everything is ready, `open_door` compares one small stamp file and gets out of the way. Whatever is slower to
import stays inside the functions that need it.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent.parent
OLDEST_PYTHON = (3, 11)


def open_door(argv: list[str]) -> None:
    """Make sure that the command in `argv` can run, and go on in .venv's Python. Exits with 2 if it cannot."""
    complaint = python_complaint(tuple(sys.version_info[:2]))
    if complaint:
        sys.exit(complaint)

    from .environment import Environment
    from .needs import needs_of

    name_folders(argv)
    name_mode(argv)
    needs = needs_of(argv[1] if len(argv) > 1 else "")
    environment = Environment(CHECKOUT)
    if not environment.satisfies(needs.requirements) or needs.missing() or (needs.missed() and may_use_apt()):
        from .setup import NotReady, set_up

        try:
            set_up(environment, needs)
        except NotReady as problem:
            print(f"\n{problem}", file=sys.stderr, flush=True)
            sys.exit(2)
        except KeyboardInterrupt:
            print("\nStopped. The next run goes on from here.", file=sys.stderr, flush=True)
            sys.exit(130)
    if not environment.is_running():
        go_on_in(environment.python)


def may_use_apt() -> bool:
    """May system packages be installed here without asking anybody?"""
    import shutil

    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def python_complaint(version: tuple[int, ...]) -> str:
    """What to tell whoever runs a Python that is too old; empty if it will do."""
    if version >= OLDEST_PYTHON:
        return ""
    return (
        f"Tanbark needs Python {OLDEST_PYTHON[0]}.{OLDEST_PYTHON[1]} or newer; this is Python "
        f"{version[0]}.{version[1]} ({sys.executable}).\nInstall a newer one and run this command with it, "
        "for example: python3.11 manage.py up"
    )


FOLDERS = {"--data": "TANBARK_DATA", "--copies": "TANBARK_COPIES"}
NAMES_COPIES = ("up", "copies", "restore")


def name_folders(argv: list[str]) -> None:
    """Turn `--data DIR` into TANBARK_DATA, and `--copies DIR` into TANBARK_COPIES where the command knows that option,
    because the settings are read before Django parses any option."""
    for position, word in enumerate(argv):
        option, equals, value = word.partition("=")
        if option not in FOLDERS or (option == "--copies" and argv[1] not in NAMES_COPIES):
            continue
        if equals:
            os.environ[FOLDERS[option]] = os.path.abspath(value)
        elif position + 1 < len(argv):
            os.environ[FOLDERS[option]] = os.path.abspath(argv[position + 1])


AMONG_SEVERAL = ("serve", "work")


def name_mode(argv: list[str]) -> None:
    """Say by TANBARK_SEVERAL that a command runs beside others like it, for itself and the processes that it starts."""
    if argv[1:2] and argv[1] in AMONG_SEVERAL:
        os.environ["TANBARK_SEVERAL"] = "1"
    elif argv[1:2] == ["up"]:
        os.environ.pop("TANBARK_SEVERAL", None)


def go_on_in(python: Path) -> None:
    """Run the same command line under `python`, in place of this process."""
    command = [str(python), *sys.orig_argv[1:]]
    sys.stdout.flush()
    if os.name == "posix":
        os.execv(python, command)
    # Windows cannot replace a process: run a child and pass on what it says. Ctrl-C reaches both; the child decides.
    import signal
    import subprocess

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    sys.exit(subprocess.run(command).returncode)
