import pytest

from scoring.board import shared


@pytest.fixture(autouse=True)
def no_board_kept():
    shared.forget_all()
