"""The folder that holds everything, and who has it."""

import os
import subprocess
import sys

import pytest
from django.conf import settings

from contest import data_folder


def test_secrets_are_made_once_and_for_this_user_alone(tmp_path):
    folder = tmp_path / "deep" / "data"
    data_folder.prepare(folder)
    made = {path.name: path.read_text() for path in folder.iterdir()}
    assert set(made) == {"secret-key"}
    data_folder.prepare(folder)
    assert {path.name: path.read_text() for path in folder.iterdir()} == made
    if os.name == "posix":
        assert {path.stat().st_mode & 0o777 for path in folder.iterdir()} == {0o600}


def test_a_folder_that_others_could_look_into_is_closed_to_them(tmp_path):
    tmp_path.chmod(0o755)
    data_folder.prepare(tmp_path)
    if os.name == "posix":
        assert tmp_path.stat().st_mode & 0o777 == 0o700


def test_a_folder_is_held_by_one_and_the_next_is_told_by_whom(tmp_path):
    data_folder.refuse_second(tmp_path / "data")
    assert not (tmp_path / "data").exists()
    with data_folder.held_by_one(tmp_path / "data", "restore"):
        told = f"in use by process {os.getpid()} \\(restore\\), since \\d{{4}}-\\d\\d-\\d\\d \\d\\d:\\d\\d"
        with pytest.raises(data_folder.InUse, match=told):
            data_folder.refuse_second(tmp_path / "data")
        with (
            pytest.raises(data_folder.InUse, match=told),
            data_folder.held_by_one(tmp_path / "data", "up", "http://localhost:8000/"),
        ):
            raise AssertionError("two hold it")
        (tmp_path / "data" / "in-use.json").unlink()  # it holds the folder, and has not said yet who it is
        with pytest.raises(data_folder.InUse, match="in use by another process"):
            data_folder.refuse_second(tmp_path / "data")
    data_folder.refuse_second(tmp_path / "data")
    with (
        data_folder.held_by_one(tmp_path / "data", "up", "http://localhost:8000/"),
        pytest.raises(data_folder.InUse, match=r"\(up\) serving at http://localhost:8000/, since"),
    ):
        data_folder.refuse_second(tmp_path / "data")


def test_a_holder_that_is_killed_holds_nothing_any_more(tmp_path):
    holding = (
        "import sys, time, pathlib; from contest import data_folder\n"
        "with data_folder.held_by_one(pathlib.Path(sys.argv[1]), 'up'):\n"
        "    print('held', flush=True); time.sleep(60)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", holding, str(tmp_path)], cwd=settings.BASE_DIR, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(data_folder.InUse, match=f"process {holder.pid} "):
            data_folder.refuse_second(tmp_path)
        holder.kill()
        holder.wait()
    with data_folder.held_by_one(tmp_path, "up"):
        pass
