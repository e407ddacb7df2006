"""A sample of what a machine read, held against SciPy's distributions and against every way that cards may be wrong."""

from fractions import Fraction
from itertools import product
from math import ceil, prod

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import convolve
from scipy.stats import binom, hypergeom

from scoring.core.sampling import drawn, most_wrong, share_to_read

SURE = Fraction(95, 100)


@pytest.mark.parametrize(("cards", "rate"), [(1440, "0.01"), (60, "0.02"), (3000, "0.005"), (24, "0.1"), (5, "0.01")])
def test_no_sample_without_a_fault_hides_more_than_is_tolerated(cards, rate):
    rate = Fraction(rate)
    share = share_to_read(cards, rate, SURE)
    tolerated = int(rate * cards)
    assert binom.pmf(0, tolerated + 1, share) == pytest.approx(0.05)
    assert hypergeom.pmf(0, cards, tolerated + 1, ceil(share * cards)) <= 0.05 + 1e-9
    assert most_wrong(cards, share, 0, SURE) == tolerated


def test_the_share_is_what_it_was_worked_out_by_hand():
    # 15 wrong of 1 440 are one too many at 1 in 100: 1 - 0.05 ** (1 / 15)
    assert share_to_read(1440, Fraction(1, 100), SURE) == pytest.approx(0.18104, abs=1e-5)
    assert share_to_read(0, Fraction(1, 100), SURE) == 0
    assert share_to_read(40, Fraction(1), SURE) == 0


HEAPS = (5, 8, 3)


def chances_of_found(wrong, taken):
    """How likely each number of found ones is, where so many are wrong in each heap."""
    total = [1.0]
    for size, bad, n in zip(HEAPS, wrong, taken, strict=True):
        total = convolve(total, [hypergeom.pmf(k, size, bad, n) for k in range(bad + 1)])
    return total


@pytest.mark.parametrize("share", [0.2, 0.34, 0.5, 0.7])
@pytest.mark.parametrize("found", [0, 1, 2])
def test_wherever_the_wrong_ones_lie_a_sample_rarely_shows_so_few(share, found):
    taken = [ceil(share * size) for size in HEAPS]
    bound = most_wrong(sum(HEAPS), share, found, SURE)
    beyond = [wrong for wrong in product(*(range(size + 1) for size in HEAPS)) if sum(wrong) > bound]
    assert beyond or bound == sum(HEAPS)
    for wrong in beyond:
        assert sum(chances_of_found(wrong, taken)[: found + 1]) <= 0.05 + 1e-9, wrong


def test_where_all_are_read_nothing_is_hidden():
    assert most_wrong(30, 1.0, 0, SURE) == 0
    assert most_wrong(30, 1.0, 2, SURE) == 2


def test_where_nothing_is_read_all_may_be_wrong():
    assert most_wrong(30, 0.0, 0, SURE) == 30


@given(
    st.dictionaries(st.integers(1, 9), st.sets(st.integers(1, 500), max_size=40), max_size=5),
    st.floats(0, 1),
    st.text(min_size=1, max_size=8),
)
def test_at_least_the_share_of_every_heap_is_drawn_and_the_same_by_the_same_seed(heaps, share, seed):
    found = drawn(heaps, share, seed)
    assert found == drawn({heap: sorted(numbers) for heap, numbers in heaps.items()}, share, seed)
    for heap, numbers in heaps.items():
        assert found[heap] <= numbers
        assert len(found[heap]) >= share * len(numbers) - 1e-6
        assert len(found[heap]) < share * len(numbers) + 1


def test_another_seed_draws_others():
    heap = {1: range(1, 101)}
    draws = [frozenset(drawn(heap, 0.2, f"seed {each}")[1]) for each in range(50)]
    assert len(set(draws)) == 50
    often = [sum(number in draw for draw in draws) for number in range(1, 101)]
    assert prod(0 < count < 25 for count in often)  # nobody always, nobody never: 10 of 50 are to be expected
