"""The folder that holds everything, and who has it."""

import os

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
