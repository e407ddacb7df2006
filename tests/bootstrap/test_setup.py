"""What is installed, in what order, and what is said when it cannot be."""

import subprocess
import sys
import threading
import time

import pytest

from contest import bootstrap
from contest.bootstrap import needs, setup
from contest.bootstrap.environment import Environment
from contest.bootstrap.lock import only_one
from contest.bootstrap.needs import RUN, STORE, TESTS, Needs, SystemPackage


class Machine:
    """Stands for the programs that would be run: notes each, and does what the real one would leave behind."""

    def __init__(self, environment=None, failing=()):
        self.environment = environment
        self.failing = list(failing)
        self.ran = []
        self.stamped_during = []

    def __call__(self, command):
        line = " ".join(command)
        self.ran.append(line)
        if self.environment:
            self.stamped_during.append(self.environment.stamp.exists())
            if " -m venv " in line:
                self.environment.python.parent.mkdir(parents=True, exist_ok=True)
                self.environment.python.touch()
                (self.environment.folder / "pyvenv.cfg").touch()
        failed = bool(self.failing) and self.failing[0] in line
        if failed:
            self.failing.pop(0)
        return subprocess.CompletedProcess(command, int(failed), stdout="what the program said\n")


@pytest.fixture
def environment(tmp_path):
    (tmp_path / RUN).write_text("django==5.2\n")
    (tmp_path / TESTS).write_text("django==5.2\npytest==9\n")
    return Environment(tmp_path)


def absent(name="chromium"):
    return SystemPackage(name, "runs the browser tests", lambda: False)


def test_a_first_run_makes_the_environment_and_installs_by_hash(environment, capsys):
    machine = Machine(environment)
    setup.set_up(environment, Needs(RUN), machine)
    made, installed = machine.ran
    assert made.endswith(f"-m venv --clear {environment.folder}")
    assert installed.startswith(f"{environment.python} -m pip install")
    assert f"--require-hashes -r {environment.checkout / RUN}" in installed
    assert environment.satisfies(RUN)
    said = capsys.readouterr().out
    assert "python3 -m venv .venv ... 0.0 s" in said
    assert "pip install -r requirements.txt ... 0.0 s" in said


def test_the_environment_of_another_checkout_is_left_alone_where_ours_is_a_link_to_it(environment, tmp_path):
    theirs = tmp_path / "elsewhere"
    theirs.mkdir()
    (theirs / environment.stamp.name).touch()
    environment.folder.symlink_to(theirs)
    setup.set_up(environment, Needs(RUN), Machine(environment))
    assert environment.satisfies(RUN) and not environment.folder.is_symlink()
    assert [path.name for path in theirs.iterdir()] == [environment.stamp.name]


def test_a_second_run_does_nothing(environment):
    setup.set_up(environment, Needs(RUN), Machine(environment))
    machine = Machine(environment)
    setup.set_up(environment, Needs(RUN), machine)
    assert machine.ran == []


def test_changed_requirements_are_installed_into_what_is_there(environment):
    setup.set_up(environment, Needs(RUN), Machine(environment))
    (environment.checkout / RUN).write_text("django==5.2.1\n")
    machine = Machine(environment)
    setup.set_up(environment, Needs(RUN), machine)
    assert [" -m pip " in line for line in machine.ran] == [True]
    assert environment.satisfies(RUN)


def test_the_stamp_is_away_while_anything_is_changed(environment):
    setup.set_up(environment, Needs(RUN), Machine(environment))
    (environment.checkout / RUN).write_text("django==5.2.1\n")
    machine = Machine(environment)
    setup.set_up(environment, Needs(RUN), machine)
    assert machine.stamped_during == [False]


def test_without_a_network_pip_says_so_and_nothing_counts_as_ready(environment):
    with pytest.raises(setup.NotReady, match=r"(?s)what the program said.*needs the internet"):
        setup.set_up(environment, Needs(RUN), Machine(environment, failing=[" -m pip "]))
    assert not environment.is_sound()


def test_without_a_network_an_update_keeps_the_old_environment(environment):
    setup.set_up(environment, Needs(RUN), Machine(environment))
    (environment.checkout / RUN).write_text("django==5.2.1\n")
    with pytest.raises(setup.NotReady):
        setup.set_up(environment, Needs(RUN), Machine(environment, failing=[" -m pip "]))
    assert environment.is_sound()
    assert not environment.satisfies(RUN)


def test_a_root_user_gets_system_packages_from_apt():
    machine = Machine()
    setup.install_system_packages([absent("chromium"), absent("postgresql")], machine, may=lambda: True)
    assert machine.ran == ["apt-get install --yes --quiet --no-install-recommends chromium postgresql"]


def test_apt_fetches_its_lists_when_the_first_try_fails():
    machine = Machine(failing=["apt-get install"])
    setup.install_system_packages([absent()], machine, may=lambda: True)
    assert [line.split()[1] for line in machine.ran] == ["install", "update", "install"]


def test_apt_that_cannot_fetch_its_lists_is_reported():
    machine = Machine(failing=["apt-get install", "apt-get update"])
    with pytest.raises(setup.NotReady, match="could not install chromium"):
        setup.install_system_packages([absent()], machine, may=lambda: True)
    assert [line.split()[1] for line in machine.ran] == ["install", "update"]


def test_what_a_command_can_do_without_is_installed_where_that_is_allowed():
    machine = Machine()
    setup.install_wishes([absent("libpango-1.0-0")], machine, may=lambda: True)
    assert machine.ran == ["apt-get install --yes --quiet --no-install-recommends libpango-1.0-0"]


def test_a_command_goes_on_without_what_it_can_do_without(capsys):
    setup.install_wishes([absent("libpango-1.0-0")], Machine(failing=["install", "update"]), may=lambda: True)
    assert "Going on without libpango-1.0-0." in capsys.readouterr().out
    machine = Machine()
    setup.install_wishes([absent("libpango-1.0-0")], machine, may=lambda: False)
    assert machine.ran == []


def test_anybody_else_gets_one_line_to_paste_and_apt_is_left_alone():
    machine = Machine()
    with pytest.raises(setup.NotReady):
        setup.install_system_packages([absent()], machine, may=lambda: False)
    assert machine.ran == []
    lines = setup.how_to_install([absent("chromium"), absent("postgresql")], with_apt=True).splitlines()
    assert [line for line in lines if line.startswith("sudo ")] == [
        "sudo apt-get update && sudo apt-get install --yes --no-install-recommends chromium postgresql"
    ]


def test_a_machine_without_apt_is_told_what_is_missing_and_why():
    said = setup.how_to_install([absent()], with_apt=False)
    assert "chromium: runs the browser tests" in said
    assert "apt-get" not in said


def test_only_the_tests_need_a_browser_and_a_database_server():
    assert {"chromium-headless-shell", "postgresql"} <= {package.name for package in needs.needs_of("test").system}
    assert needs.needs_of("up").system == ()
    assert {"libpango-1.0-0", "libharfbuzz-subset0"} <= {package.name for package in needs.needs_of("up").wished}
    assert needs.needs_of("print") == needs.needs_of("up")
    assert needs.needs_of("up").requirements == RUN


def test_only_files_in_a_bucket_need_what_reaches_it(monkeypatch):
    monkeypatch.setenv("TANBARK_FILES", "/a/folder")
    assert needs.needs_of("serve").requirements == RUN
    monkeypatch.setenv("TANBARK_FILES", "s3://fair/files")
    assert needs.needs_of("serve").requirements == STORE
    assert needs.needs_of("test").requirements == TESTS


@pytest.mark.parametrize(
    ("there", "taken"),
    [
        (["chromium", "chromium-headless-shell"], "chromium-headless-shell"),
        (["chromium"], "chromium"),
        (["chromium-browser"], "chromium-browser"),
        ([], None),
    ],
)
def test_any_chromium_will_do_and_the_one_without_windows_is_quicker(monkeypatch, there, taken):
    monkeypatch.setattr(needs.shutil, "which", lambda name: name if name in there else None)
    assert needs.chromium() == taken
    assert needs.CHROMIUM.present() is bool(there)


def test_a_library_is_there_or_not():
    assert needs.has_library("libc.so.6")
    assert not needs.has_library("libtanbark-has-no-such.so.1")


def test_an_old_python_is_told_what_is_needed():
    assert "needs Python 3.11 or newer; this is Python 3.9" in bootstrap.python_complaint((3, 9))
    assert bootstrap.python_complaint((3, 11)) == ""


@pytest.mark.parametrize("argv", [["up", "--data", "here"], ["up", "--data=here"]])
def test_the_data_folder_is_known_before_the_settings_are(argv, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TANBARK_DATA", "elsewhere")
    bootstrap.name_folders(["manage.py", *argv])
    assert bootstrap.os.environ["TANBARK_DATA"] == str(tmp_path / "here")


def test_two_at_once_take_turns(tmp_path, capsys):
    inside = []

    def second():
        with only_one(tmp_path / "lock"):
            inside.append("second")

    with only_one(tmp_path / "lock"):
        thread = threading.Thread(target=second)
        thread.start()
        time.sleep(0.3)
        inside.append("first")
    thread.join(timeout=5)
    assert inside == ["first", "second"]
    assert "waiting for another command" in capsys.readouterr().out


def test_the_bootstrap_runs_without_django():
    code = (
        "import sys; from contest.bootstrap import setup, environment, lock, needs; "
        "sys.exit(any(name.split('.')[0] in {'django', 'segno', 'waitress'} for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-S", "-c", code], cwd=bootstrap.CHECKOUT).returncode == 0
