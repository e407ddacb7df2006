"""How a class was placed, on the board: chosen by the superintendent for the critique, and nobody's placing."""

import re

import pytest

from contest.changes.exceptions import NotPossible
from contest.models import Contest
from scoring.board.choosing import choose, options, picture_wish
from scoring.results.critique import release_key, withdraw_key
from tests.scoring.board.test_board_page import text
from tests.scoring.results.cast import ready, the_class

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def now(contest):
    return Contest.objects.get(pk=contest.pk)


def test_it_can_be_chosen_with_the_key_and_says_how_many_gave_each_placing():
    contest = ready()
    with pytest.raises(NotPossible):
        choose(now(contest), picture_wish(1), "Sue")
    release_key(the_class(contest), "Sue")
    assert [option.label for option in options(now(contest))] == [
        f"Key of class 1, {the_class(contest).name}",
        f"How all placed class 1, {the_class(contest).name}",
    ]
    choose(now(contest), picture_wish(1), "Sue")
    shown = text(contest)
    assert shown.count("<line ") == 2 * 36  # one for a projector, one for phones
    assert "Key of" not in shown
    assert not re.search(r">\s*10[1-9]\b", shown)  # whose placing is whose
    withdraw_key(the_class(contest), "Sue")
    assert "<line " not in text(contest)
