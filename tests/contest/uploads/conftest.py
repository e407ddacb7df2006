"""Tests of this folder find no file of those before them."""

import pytest

from tests.contest.uploads.cast import files_there


@pytest.fixture(autouse=True)
def no_files():
    for path in files_there():
        path.unlink()
