"""New orders out of old ones."""

import pytest

from contest.setup.arranging import rearranged


@pytest.mark.parametrize(
    ("wish", "order"),
    [
        ("up b", ["b", "a", "c"]),
        ("down b", ["a", "c", "b"]),
        ("out b", ["a", "c"]),
        ("up a", ["a", "b", "c"]),
        ("down c", ["a", "b", "c"]),
        ("down a", ["b", "a", "c"]),
        ("up c", ["a", "c", "b"]),
    ],
)
def test_a_wish_moves_one_and_keeps_the_rest(wish, order):
    assert rearranged(["a", "b", "c"], wish) == order


@pytest.mark.parametrize("wish", ["", "up", "up d", "sideways a"])
def test_a_wish_that_is_none_is_refused(wish):
    with pytest.raises(ValueError):
        rearranged(["a", "b", "c"], wish)
