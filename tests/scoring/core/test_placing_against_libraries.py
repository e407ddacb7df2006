"""The grid math against other people's arithmetic, for all 24 x 24 pairs of placings."""

from __future__ import annotations

from itertools import combinations
from random import Random

import numpy
import pytest
from scipy.stats import spearmanr

from scoring.core.placing import PLACINGS, grid, lost_pairs, score

SOME_CUTS = [tuple(Random(seed).choices(range(13), k=3)) for seed in range(40)]
PERFECT = 1000


def loss(official: str, cuts: tuple[int, ...], placing: str) -> int:
    return PERFECT - score(official, cuts, placing, PERFECT)


def ranks(placing: str) -> list[int]:
    """The place of each animal, animal 1 first: `3124` gives 2, 3, 1, 4."""
    return [placing.index(animal) + 1 for animal in "1234"]


@pytest.mark.parametrize("official", PLACINGS)
def test_with_equal_cuts_the_loss_is_spearmans_rank_correlation(official: str) -> None:
    # For n = 4, rho = 1 - 6 sum(d^2) / (n (n^2 - 1)), and with equal cuts c the loss is c sum(d^2) / 2 = 5 c (1 - rho).
    for placing in PLACINGS:
        rho = spearmanr(ranks(official), ranks(placing)).statistic
        for cut in (1, 5, 7):
            assert loss(official, (cut, cut, cut), placing) == pytest.approx(5 * cut * (1 - rho), abs=1e-9)


@pytest.mark.parametrize("cuts", SOME_CUTS)
def test_the_loss_is_the_difference_of_two_dot_products(cuts: tuple[int, ...]) -> None:
    # Where an animal stands on the officials' scale (cumulative cuts) against the rank that somebody gives it.
    scale = numpy.concatenate([[0], numpy.cumsum(cuts)])
    for official in PLACINGS:
        by_animal = numpy.array([scale[official.index(animal)] for animal in "1234"])
        for placing in PLACINGS:
            expected = by_animal @ numpy.array(ranks(official)) - by_animal @ numpy.array(ranks(placing))
            assert loss(official, cuts, placing) == int(expected)


@pytest.mark.parametrize("cuts", SOME_CUTS)
def test_the_loss_is_that_of_a_walk_over_every_pair(cuts: tuple[int, ...]) -> None:
    top, middle, bottom = cuts
    between = {
        (1, 2): top,
        (1, 3): top + middle,
        (1, 4): top + middle + bottom,
        (2, 3): middle,
        (2, 4): middle + bottom,
        (3, 4): bottom,
    }
    for official in PLACINGS:
        place = {animal: position for position, animal in enumerate(official, start=1)}
        for placing in PLACINGS:
            # Read down the card: wherever a worse animal stands above a better one, that pair is lost.
            lost = [
                (place[below], place[above]) for above, below in combinations(placing, 2) if place[above] > place[below]
            ]
            assert loss(official, cuts, placing) == sum(between[pair] for pair in lost)
            pairs = {
                (place[pair.above], place[pair.below]): pair.points for pair in lost_pairs(official, cuts, placing)
            }
            assert pairs == {pair: between[pair] for pair in lost}


def test_the_grid_holds_what_each_placing_scores() -> None:
    for official in PLACINGS:
        assert dict(grid(official, (3, 5, 2))) == {placing: score(official, (3, 5, 2), placing) for placing in PLACINGS}
