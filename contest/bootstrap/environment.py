"""The virtual environment in .venv, and the stamp that says what was installed into it."""

from __future__ import annotations

import os
import sys
from hashlib import sha256
from pathlib import Path

from .needs import RUN, SIGN_ON, STORE, TESTS

SETS = (RUN, SIGN_ON, STORE, TESTS)
"""Each holds all of those before it."""
INCLUDES = {name: SETS[at:] for at, name in enumerate(SETS)}


class Environment:
    """What is known of .venv without starting its Python.

    The stamp is written last, after pip has ended well, and taken away before .venv is touched. So no stamp, or one
    made elsewhere or by another Python, means an environment that nobody can vouch for; it is made anew.
    """

    def __init__(self, checkout: Path, version: tuple[int, ...] = tuple(sys.version_info[:2])) -> None:
        self.checkout = checkout
        self.folder = checkout / ".venv"
        self.stamp = self.folder / "tanbark-stamp"
        self.version = version
        scripts = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
        self.python = self.folder.joinpath(*scripts)

    def is_running(self) -> bool:
        """Is this process already the environment's own Python?"""
        return Path(sys.prefix).resolve() == self.folder.resolve()

    def is_sound(self) -> bool:
        """Was it finished once, here, by this Python? The packages in it may still be out of date."""
        return (
            self._stamp_lines()[:2] == self._origin()
            and self.python.exists()
            # Without this file the Python in .venv takes itself for the system's own.
            and (self.folder / "pyvenv.cfg").exists()
        )

    def satisfies(self, requirements: str) -> bool:
        if not self.is_sound():
            return False
        name, digest = self._installed()
        return name in INCLUDES[requirements] and digest == self._digest(name)

    def best_for(self, requirements: str) -> str:
        """The set to install: never a smaller one than is there, or the tests would be set up again and again."""
        return TESTS if self._installed()[0] == TESTS and self.is_sound() else requirements

    def write_stamp(self, requirements: str) -> None:
        lines = [*self._origin(), f"{requirements} {self._digest(requirements)}"]
        half = self.stamp.with_suffix(".half")
        half.write_text("\n".join(lines) + "\n", encoding="utf-8")
        half.replace(self.stamp)

    def _origin(self) -> list[str]:
        # Scripts in .venv hold its path, so an environment that was moved or copied does not work.
        return [f"python {self.version[0]}.{self.version[1]}", f"folder {self.folder}"]

    def _installed(self) -> tuple[str, str]:
        """Which set of requirements, and the digest of its file as it was then."""
        name, _, digest = " ".join(self._stamp_lines()[2:]).partition(" ")
        return name, digest

    def _stamp_lines(self) -> list[str]:
        try:
            return self.stamp.read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return []

    def _digest(self, requirements: str) -> str:
        return sha256((self.checkout / requirements).read_bytes()).hexdigest()
