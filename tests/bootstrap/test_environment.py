"""When is .venv ready, and when is it not to be trusted?"""

import shutil

import pytest

from contest.bootstrap.environment import Environment
from contest.bootstrap.needs import RUN, STORE, TESTS


@pytest.fixture
def checkout(tmp_path):
    (tmp_path / RUN).write_text("django==5.2\n")
    (tmp_path / STORE).write_text("django==5.2\nboto3==1\n")
    (tmp_path / TESTS).write_text("django==5.2\npytest==9\n")
    return tmp_path


def finished(checkout, requirements, version=(3, 11)):
    environment = Environment(checkout, version)
    environment.python.parent.mkdir(parents=True)
    environment.python.touch()
    (environment.folder / "pyvenv.cfg").touch()
    environment.write_stamp(requirements)
    return environment


def test_nothing_there_satisfies_nothing(checkout):
    environment = Environment(checkout)
    assert not environment.is_sound()
    assert not environment.satisfies(RUN)


@pytest.mark.parametrize(
    ("installed", "needed", "enough"),
    [(RUN, RUN, True), (RUN, TESTS, False), (STORE, RUN, True), (TESTS, STORE, True), (TESTS, TESTS, True)],
)
def test_the_tests_packages_also_serve(checkout, installed, needed, enough):
    assert finished(checkout, installed).satisfies(needed) is enough


def test_other_requirements_need_another_install_but_no_new_environment(checkout):
    environment = finished(checkout, RUN)
    (checkout / RUN).write_text("django==5.2.1\n")
    assert not environment.satisfies(RUN)
    assert environment.is_sound()


def test_an_update_never_takes_the_tests_packages_away(checkout):
    environment = finished(checkout, TESTS)
    (checkout / TESTS).write_text("django==5.2.1\npytest==9\n")
    assert environment.best_for(RUN) == TESTS


def test_an_environment_of_another_python_is_not_sound(checkout):
    finished(checkout, RUN, version=(3, 11))
    assert not Environment(checkout, (3, 12)).is_sound()


def test_an_environment_that_was_moved_is_not_sound(checkout, tmp_path_factory):
    finished(checkout, RUN)
    moved = tmp_path_factory.mktemp("elsewhere") / "checkout"
    shutil.copytree(checkout, moved)
    assert not Environment(moved, (3, 11)).is_sound()


@pytest.mark.parametrize("lost", ["bin/python", "pyvenv.cfg", "tanbark-stamp"])
def test_an_environment_that_lost_a_part_is_not_sound(checkout, lost):
    environment = finished(checkout, RUN)
    (environment.folder / lost).unlink()
    assert not environment.is_sound()


def test_a_spoilt_stamp_is_no_stamp(checkout):
    environment = finished(checkout, RUN)
    environment.stamp.write_bytes(b"\xff\xfe")
    assert not environment.is_sound()
