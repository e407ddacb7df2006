"""A file to double-click. Linux's is really run; those of other systems are read."""

import re
import shlex
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from contest.management.commands import shortcut
from tests.bootstrap.test_up import fetch, free_port
from tests.processes import children_of
from tests.waiting import eventually

MANAGE = str(settings.BASE_DIR / "manage.py")


def written(system, folder, **options):
    call_command("shortcut", f"--for={system}", f"--to={folder}", stdout=StringIO(), **options)
    (path,) = Path(folder).iterdir()
    return path


def words_of(entry: str) -> list[str]:
    """The words of an Exec line, by the rules of desktop entries."""
    value = re.search(r"^Exec=(.*)$", entry, re.MULTILINE)[1].replace("\\\\", "\\").replace("%%", "%")
    words = re.findall(r'"((?:[^"\\]|\\.)*)"|(\S+)', value)
    return [re.sub(r'\\(["`$\\])', r"\1", quoted) or bare for quoted, bare in words]


def test_linux_gets_a_desktop_entry_that_starts_it(tmp_path, used_data):
    folder = tmp_path / 'a "strange" $folder at 100 %'
    folder.mkdir()
    port = free_port()
    options = ["--for", "linux", "--to", folder, "--port", str(port), "--data", folder / "data"]
    used_data.rename(folder / "data")
    subprocess.run([sys.executable, MANAGE, "shortcut", *options], check=True, capture_output=True)
    path = folder / "Tanbark.desktop"
    assert path.stat().st_mode & 0o111
    entry = path.read_text(encoding="utf-8")
    assert entry.startswith("[Desktop Entry]\nType=Application\nName=Tanbark\n")
    assert "\nTerminal=true\n" in entry
    with subprocess.Popen(words_of(entry), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as started:
        try:
            eventually(lambda: answers(port))
        finally:
            for up in children_of(started.pid):
                subprocess.run(["kill", str(up)], check=True)
            said, _ = started.communicate(timeout=60)
    assert said.endswith("Stopped. Everything is saved.\n")
    assert (folder / "data" / "db.sqlite3").exists()


def answers(port):
    try:
        return fetch(f"http://127.0.0.1:{port}/healthz") == "ok\n"
    except OSError:
        return False


def test_a_window_stays_open_where_it_went_wrong():
    words = words_of(shortcut.desktop_entry([sys.executable, "-c", "raise SystemExit(3)"]))
    done = subprocess.run(words, input="\n", capture_output=True, text=True, timeout=60)
    assert done.stdout == f"\n{shortcut.WAIT}\n"
    good = subprocess.run(words_of(shortcut.desktop_entry(["true"])), capture_output=True, text=True, timeout=60)
    assert good.stdout == ""


def test_macos_gets_a_script(tmp_path):
    path = written("macos", tmp_path, port=8010)
    first, second = path.read_text(encoding="utf-8").splitlines()
    assert path.name == "Tanbark.command" and path.stat().st_mode & 0o111
    assert first == "#!/bin/sh"
    assert shlex.split(second)[:5] == ["python3", MANAGE, "up", "--port", "8010"]
    subprocess.run(["sh", "-n", path], check=True)


def test_windows_gets_a_batch_file(tmp_path):
    path = written("windows", tmp_path)
    text = path.read_bytes().decode()
    assert path.name == "Tanbark.bat"
    assert text.count("\r\n") == text.count("\n") == 4
    assert f'\r\n"py" "-3" "{MANAGE}" "up" "--port" "8000"' in text
    assert text.endswith("\r\nif errorlevel 1 pause\r\n")
    assert '"C:\\100 %% sheep\\manage.py"' in shortcut.batch_file(["C:\\100 % sheep\\manage.py"])


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(CommandError, match="cannot be written"):
        written("linux", tmp_path / "none")
