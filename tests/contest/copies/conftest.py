"""The laptop of the tests of copies: a data folder with the demo contest, made once."""

import shutil
from pathlib import Path

import pytest

from tests.contest.copies.test_backing_up import ROOT, manage


@pytest.fixture(scope="session")
def _laptop(_made_data, tmp_path_factory):
    folder = Path(shutil.copytree(_made_data, tmp_path_factory.mktemp("laptop") / "data"))
    code, said = manage(folder, "import_book", ROOT / "fixtures" / "demo")
    assert code == 0, said
    return folder


@pytest.fixture
def data(_laptop, tmp_path):
    """Such a folder of this test's own."""
    return Path(shutil.copytree(_laptop, tmp_path / "data"))
