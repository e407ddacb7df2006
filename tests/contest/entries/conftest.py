"""What every test of a page about entries begins with."""

import pytest

from tests.contest.entries.cast import contestant, submission, two_divisions
from tests.contest.entries.looking import base


@pytest.fixture
def contest(db):
    return two_divisions()


@pytest.fixture
def person(contest):
    return contestant(contest, 101)


@pytest.fixture
def post(superintendent, contest):
    """Posts a form of this area as the superintendent, with its submission id."""

    def send(where, **fields):
        return superintendent.post(base(contest) + where, submission(**fields))

    return send
