"""What most people did in a class, in words."""

import pytest

from scoring.core.common import had_over, most_did, placings_of


@pytest.mark.parametrize(
    ("cards", "words"),
    [
        (["3124", "3124", "1234", "", "unreadable"], "Most often 3124, on 2 of 3 cards"),
        (["3124", "1234"], "Most often 1234 and 3124, each on 1 of 2 cards"),
        (["3124", "1234", "4321", "2134"], ""),
        ([], ""),
    ],
)
def test_the_commonest_placing_is_said_unless_nothing_is_common(cards, words):
    assert most_did(placings_of(cards)) == words


def test_a_pair_is_counted_on_every_card():
    assert had_over(placings_of(["3124", "1324", "2431"]), "3", "1") == "2 of 3 in the division had 3 over 1"
