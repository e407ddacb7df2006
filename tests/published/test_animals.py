"""Labels of animals as rulebooks give them: set up, keyed and carded as they stand there."""

import pytest

from contest.slips.typed import TypedDecision, parse_decision
from contest.watch.typed import TypedKey, parse_key
from scoring.core.placing import limits, score, why_not_animals

FOUR, SIX = "ABXY", "ABCXYZ"
"""National Federation of Young Farmers' Clubs (UK): "A, B, X, Y" for four animals (Stockman of the Year 2016-17), and
"A, B, C, X, Y, Z" for six (national intermediate dairy stockjudging)."""


@pytest.mark.parametrize("animals", [FOUR, SIX])
def test_young_farmers_labels_are_taken_as_they_stand(animals):
    cuts = (3, 5, 2, 4, 1)[: len(animals) - 1]
    key = f"{' '.join(animals)} {' '.join(map(str, cuts))}"
    assert why_not_animals(animals) == ""
    assert parse_key(key, animals) == parse_key(key.lower(), animals) == TypedKey(animals, cuts)
    assert parse_decision(animals[:-1].lower(), (), animals) == TypedDecision(animals)
    swapped = animals[1] + animals[0] + animals[2:]
    assert score(animals, cuts, swapped, 50, animals) == 47


def test_limits_are_published_of_four_animals_whatever_they_are_called():
    assert [limit.code for limit in limits((9, 1, 1), 50, len(FOUR))] == ["limit_top"]
    assert limits((9, 9, 9, 9, 9), 50, len(SIX)) == ()
