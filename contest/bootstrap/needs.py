"""Which command needs what. The one place to add a package that a command cannot do without."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

RUN = "requirements.txt"
SIGN_ON = "requirements-single-sign-on.txt"  # holds all of RUN too, at the same versions
STORE = "requirements-store.txt"  # for files in a bucket, and all of both
TESTS = "requirements-tests.txt"  # and all of the three


@dataclass(frozen=True)
class SystemPackage:
    """Something that pip cannot bring."""

    name: str  # in Debian's archive
    why: str
    present: Callable[[], bool]


@dataclass(frozen=True)
class Needs:
    """What a command cannot do without, and what it goes on without where it cannot be had."""

    requirements: str
    system: tuple[SystemPackage, ...] = ()
    wished: tuple[SystemPackage, ...] = ()

    def missing(self) -> list[SystemPackage]:
        return [package for package in self.system if not package.present()]

    def missed(self) -> list[SystemPackage]:
        return [package for package in self.wished if not package.present()]


def has_venv() -> bool:
    # Debian's python3 comes without ensurepip, and the venv module cannot make an environment that has pip.
    from importlib.util import find_spec

    return find_spec("ensurepip") is not None


def chromium() -> str | None:
    """The browser without windows of its own where it is there: a page then costs a quarter of the processor's time."""
    return next(filter(None, map(shutil.which, ("chromium-headless-shell", "chromium", "chromium-browser"))), None)


def postgresql_folder() -> Path | None:
    """Where PostgreSQL's server programs are: the newest one Debian installed, or what the PATH has."""
    versions = [path for path in Path("/usr/lib/postgresql").glob("*/bin/initdb") if path.parts[-3].isdigit()]
    if versions:
        return max(versions, key=lambda path: int(path.parts[-3])).parent
    initdb = shutil.which("initdb")
    return Path(initdb).parent if initdb else None


def server_program(name: str) -> str | None:
    """Where a program is that Debian keeps for root alone."""
    return shutil.which(name) or shutil.which(name, path="/usr/sbin:/sbin")


def has_library(name: str) -> bool:
    """Can this shared library be loaded? Asked on Linux only; elsewhere wheels bring what they need."""
    from ctypes import CDLL

    try:
        CDLL(name)
    except OSError:
        return not sys.platform.startswith("linux")
    return True


VENV = SystemPackage("python3-venv", "makes the virtual environment", has_venv)
CHROMIUM = SystemPackage("chromium-headless-shell", "runs the browser tests", lambda: chromium() is not None)
LIBATOMIC = SystemPackage("libatomic1", "drives the browser", lambda: has_library("libatomic.so.1"))
NGINX = SystemPackage(
    "nginx-light", "stands before the processes of a test", lambda: server_program("nginx") is not None
)
POPPLER = SystemPackage(
    "poppler-utils", "draws cards for the tests of what reads them", lambda: shutil.which("pdftoppm") is not None
)
POSTGRESQL = SystemPackage("postgresql", "runs the database tests again", lambda: postgresql_folder() is not None)

PRINTS = (
    SystemPackage("libpango-1.0-0", "sets the text of PDF files", lambda: has_library("libpango-1.0.so.0")),
    SystemPackage("libpangoft2-1.0-0", "sets the text of PDF files", lambda: has_library("libpangoft2-1.0.so.0")),
    SystemPackage("libharfbuzz-subset0", "keeps PDF files small", lambda: has_library("libharfbuzz-subset.so.0")),
)

BY_COMMAND = {
    "up": Needs(RUN, wished=PRINTS),  # without them, documents are printed from the browser
    "serve": Needs(RUN, wished=PRINTS),
    "work": Needs(RUN, PRINTS),
    "print": Needs(RUN, wished=PRINTS),
    "test": Needs(TESTS, (CHROMIUM, LIBATOMIC, POSTGRESQL, POPPLER, NGINX, *PRINTS)),
}
ANY_OTHER = Needs(RUN)


def needs_of(command: str) -> Needs:
    needs = BY_COMMAND.get(command, ANY_OTHER)
    if needs.requirements == RUN and os.environ.get("TANBARK_FILES", "").startswith("s3://"):
        return replace(needs, requirements=STORE)
    if needs.requirements == RUN and os.environ.get("TANBARK_OIDC_ISSUER"):
        return replace(needs, requirements=SIGN_ON)
    return needs
