"""`manage.py shortcut`: write a file to double-click that starts `up`."""

import re
import shlex
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser

from contest.management.commands.up import port_number

HERE = {"win32": "windows", "darwin": "macos"}.get(sys.platform, "linux")
NAMES = {"windows": "Tanbark.bat", "macos": "Tanbark.command", "linux": "Tanbark.desktop"}
WAIT = "Press Enter to close this window."


class Command(BaseCommand):
    help = "Write a file that starts `up` when it is double-clicked."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--for", dest="system", choices=NAMES, default=HERE, help="default: this system")
        parser.add_argument("--to", metavar="DIR", type=Path, help="where to (default: the desktop, or else here)")
        parser.add_argument("--port", type=port_number, default=8000)
        parser.add_argument("--data", metavar="DIR", help="the folder that holds all state (or TANBARK_DATA)")

    def handle(self, *, system: str, to: Path | None, port: int, **options: Any) -> None:
        desktop = Path.home() / "Desktop"
        path = (to or (desktop if desktop.is_dir() else Path.cwd())) / NAMES[system]
        try:
            write(path, system, up_command(system, port))
        except OSError as error:
            raise CommandError(f"{path} cannot be written: {error.strerror}") from None
        self.stdout.write(f"Double-click {path} to start Tanbark; close its window, or press Ctrl-C in it, to stop.")


def up_command(system: str, port: int) -> list[str]:
    """The words of the command; for another system than this one, the Python and the folders are to be mended."""
    # The Python that made .venv: another one would make it anew each time that it starts.
    python = [getattr(sys, "_base_executable", sys.executable)] if system == HERE else [*GENERIC[system]]
    command = [*python, str(settings.BASE_DIR / "manage.py"), "up", "--port", str(port)]
    if settings.DATA_FOLDER != settings.BASE_DIR / ".data":
        command += ["--data", str(settings.DATA_FOLDER)]
    return command


GENERIC = {"windows": ["py", "-3"], "macos": ["python3"], "linux": ["python3"]}


def write(path: Path, system: str, command: list[str]) -> None:
    text = {"windows": batch_file, "macos": shell_script, "linux": desktop_entry}[system](command)
    path.write_text(text, encoding="utf-8", newline="\r\n" if system == "windows" else "\n")
    path.chmod(0o755)


def batch_file(command: list[str]) -> str:
    words = " ".join(f'"{word}"' for word in command).replace("%", "%%")  # a per cent sign begins a variable
    return f"@echo off\nchcp 65001 >nul\n{words}\nif errorlevel 1 pause\n"


def shell_script(command: list[str]) -> str:
    return f"#!/bin/sh\n{with_a_wait(command)}\n"


def desktop_entry(command: list[str]) -> str:
    # Quoted three times: for the shell, as one word of Exec, and as a value of the file.
    word = re.sub(r'(["`$\\])', r"\\\1", with_a_wait(command))
    line = f'sh -c "{word}"'.replace("\\", "\\\\").replace("%", "%%")
    return (
        "[Desktop Entry]\nType=Application\nName=Tanbark\nComment=Serve a contest from this laptop\n"
        f"Terminal=true\nExec={line}\n"
    )


def with_a_wait(command: list[str]) -> str:
    """The command for a shell, which keeps the window open where something went wrong."""
    return f"{shlex.join(command)} || {{ echo; echo {shlex.quote(WAIT)}; read -r _; }}"
