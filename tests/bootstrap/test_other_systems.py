"""Windows cannot be tried here. What only POSIX has is looked for in the code, and taken away while it runs."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

from tests.bootstrap.test_up import free_port, started, stop

ROOT = Path(settings.BASE_DIR)
PARTS = ("contest", "scoring", "reasons")
LACKING = {"PYTHONPATH": str(Path(__file__).parent / "other_system")}

POSIX_MODULES = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "syslog", "readline", "curses"}
ONLY_POSIX_HAS = """
os.nice os.fork os.forkpty os.geteuid os.getuid os.getegid os.getgid os.sched_setscheduler os.setsid os.killpg
os.getpgid os.setpgid os.mkfifo os.statvfs os.getloadavg os.sysconf os.uname os.wait os.chown os.fchmod os.sync
os.sendfile os.fdatasync os.pread os.pwrite os.O_DIRECTORY os.O_NOFOLLOW os.O_CLOEXEC os.WIFEXITED
signal.SIGKILL signal.SIGHUP signal.SIGALRM signal.SIGUSR1 signal.SIGUSR2 signal.SIGCHLD signal.alarm
signal.setitimer signal.pause time.tzset socket.AF_UNIX socket.SO_REUSEPORT
"""
POSIX_NAMES = frozenset(ONLY_POSIX_HAS.split())
POSIX_ARGUMENTS = {"preexec_fn", "start_new_session", "pass_fds", "umask"}
GUARDS = ("os.name", "sys.platform", "hasattr", "is None", "getattr")


def sources():
    files = [path for part in PARTS for path in (ROOT / part).rglob("*.py")]
    return [ROOT / "manage.py", *sorted(files)]


def unguarded(source: str) -> list[str]:
    """What of the source only POSIX has, unless it stands where another system is thought of."""
    tree = ast.parse(source)
    over = {child: parent for parent in ast.walk(tree) for child in ast.iter_child_nodes(parent)}

    def is_guarded(node):
        while node in over:
            below, node = node, over[node]
            if isinstance(node, ast.Try) and below in node.body:
                caught = " ".join(ast.unparse(handler.type) for handler in node.handlers if handler.type)
                if "ImportError" in caught or "AttributeError" in caught:
                    return True
            if isinstance(node, ast.If | ast.IfExp | ast.BoolOp) and any(g in ast.unparse(node) for g in GUARDS):
                return True
            if isinstance(node, ast.FunctionDef):  # `if resource is None: return` guards the rest
                first = [part for part in node.body if isinstance(part, ast.If)][:1]
                if first and any(guard in ast.unparse(first[0].test) for guard in GUARDS):
                    return True
        return False

    found = []
    for node in ast.walk(tree):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names if alias.name in POSIX_MODULES]
        elif isinstance(node, ast.ImportFrom) and node.module in POSIX_MODULES:
            names = [node.module]
        elif isinstance(node, ast.ImportFrom):
            names = [alias.name for alias in node.names if f"{node.module}.{alias.name}" in POSIX_NAMES]
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            names = [node.attr] if f"{node.value.id}.{node.attr}" in POSIX_NAMES else []
        elif isinstance(node, ast.keyword) and node.arg in POSIX_ARGUMENTS:
            names = [node.arg]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            names = [node.value] if any(f"%-{letter}" in node.value for letter in "dHIMmjSy") else []
        found += [f"line {node.lineno}: {name}" for name in names if not is_guarded(node)]
    return found


def test_nothing_that_only_posix_has_is_used_unguarded():
    found = {str(path.relative_to(ROOT)): unguarded(path.read_text(encoding="utf-8")) for path in sources()}
    assert len(found) > 300
    assert {path: lines for path, lines in found.items() if lines} == {}


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("import fcntl", 1),
        ("try:\n    import fcntl\nexcept ImportError:\n    fcntl = None", 0),
        ("import os\nos.fork()", 1),
        ("import os\nif hasattr(os, 'nice'):\n    os.nice(19)", 0),
        ("import os, signal\nos.kill(1, signal.SIGKILL)", 1),
        ("import subprocess\nsubprocess.run([], start_new_session=True)", 1),
        ("now.strftime('%-d %B')", 1),
        ("from pwd import getpwuid", 1),
    ],
)
def test_the_look_for_it_would_find_it(source, count):
    assert len(unguarded(source)) == count


def test_files_are_never_read_or_written_in_the_systems_own_encoding():
    """Windows writes another one than it reads elsewhere."""
    found = []
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            given = {keyword.arg for keyword in node.keywords}
            if name in {"read_text", "write_text"} and "encoding" not in given:
                found.append(f"{path}:{node.lineno}")
            if name in {"run", "Popen"} and given & {"text", "universal_newlines"} and "encoding" not in given:
                found.append(f"{path}:{node.lineno}")
    assert found == []


def run_there(*command):
    return subprocess.run(
        [sys.executable, *command],
        cwd=ROOT,
        env={**os.environ, **LACKING},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
    )


def test_every_module_can_be_loaded_without_what_only_posix_has():
    names = [".".join(path.relative_to(ROOT).with_suffix("").parts) for path in sources()]
    names = [name.removesuffix(".__init__") for name in names if not name.endswith("__main__")]
    code = (
        "import importlib, os, sys, django\n"
        "assert not hasattr(os, 'fork') and not hasattr(os, 'nice')\n"
        "os.environ['DJANGO_SETTINGS_MODULE'] = 'contest.settings'; django.setup()\n"
        "for name in sys.argv[1:]: importlib.import_module(name)\n"
        "print(len(sys.argv) - 1)"
    )
    done = run_there("-W", "ignore", "-c", code, *names)
    assert (done.returncode, done.stdout) == (0, f"{len(names)}\n"), done.stderr


def test_the_door_opens_without_what_only_posix_has():
    code = (
        "import pathlib, sys; from contest import bootstrap; from contest.bootstrap.lock import only_one\n"
        "print(bootstrap.may_use_apt())\n"
        "with only_one(pathlib.Path(sys.argv[1])): print('held')"
    )
    done = run_there("-c", code, os.devnull)
    assert (done.returncode, done.stdout) == (0, "False\nheld\n"), done.stderr
    assert run_there("manage.py", "check").returncode == 0


def test_it_starts_serves_and_stops_without_what_only_posix_has(used_data):
    with started(free_port(), "--no-demo", "--data", str(used_data), **LACKING) as process:
        assert stop(process).endswith("Stopped. Everything is saved.\n")


def test_a_console_that_lacks_a_letter_shows_another(tmp_path):
    done = subprocess.run(
        [sys.executable, "manage.py", "tally", str(ROOT / "fixtures" / "demo")],
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert b"?" in done.stdout
