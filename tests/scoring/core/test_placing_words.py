"""What is wrong with a placing or a key, and which published limits a key exceeds: exactly from where on."""

import pytest

from scoring.core.placing import PLACINGS, grid, is_placing, limits, lost_pairs, score, why_not_a_placing, why_not_cuts


@pytest.mark.parametrize(
    ("placing", "why"),
    [
        ("3124", ""),
        (3124, "3124 is not text; write the placing in quotes, such as '3124'"),
        (None, "None is not text; write the placing in quotes, such as '3124'"),
        ("312", "'312' has 3 characters; a placing is four animals, best first, such as 3124"),
        ("31245", "'31245' has 5 characters; a placing is four animals, best first, such as 3124"),
        ("3125", "'3125' names '5'; the animals are 1, 2, 3 and 4"),
        ("3120", "'3120' names '0'; the animals are 1, 2, 3 and 4"),
        ("3122", "'3122' places animal 2 more than once"),
    ],
)
def test_what_is_wrong_with_a_placing(placing, why):
    assert why_not_a_placing(placing) == why
    assert is_placing(placing) is (not why)


@pytest.mark.parametrize(
    ("cuts", "why"),
    [
        ((3, 5, 2), ""),
        ([0, 0, 0], ""),
        (7, "7 is not three cuts, such as (3, 5, 2)"),
        ("352", "'352' is not three cuts, such as (3, 5, 2)"),
        ((3, 5), "there are three cuts (top, middle, bottom), not 2"),
        ((3, 5, 2, 1), "there are three cuts (top, middle, bottom), not 4"),
        ((3, 5.0, 2), "the middle cut is 5.0; a cut is a whole number"),
        ((True, 5, 2), "the top cut is True; a cut is a whole number"),
        ((3, 5, -1), "the bottom cut is -1; a cut is 0 or more"),
    ],
)
def test_what_is_wrong_with_cuts(cuts, why):
    assert why_not_cuts(cuts) == why


@pytest.mark.parametrize("wrong", [("3125", (3, 5, 2)), ("3124", (3, 5))])
def test_what_is_wrong_is_refused_everywhere(wrong):
    for function in (lambda: lost_pairs(*wrong, "1234"), lambda: score(*wrong, "1234"), lambda: grid(*wrong)):
        with pytest.raises(ValueError, match=r"official placing: |cuts: "):
            function()
    for function in (lost_pairs, score):
        with pytest.raises(ValueError, match=r"^placing: '12' has 2 characters"):
            function("3124", (3, 5, 2), "12")


@pytest.mark.parametrize("perfect", [0, -1, 49.5, True])
def test_a_perfect_score_is_a_whole_number_of_1_or_more(perfect):
    for function in (lambda: score("3124", (0, 0, 0), "3124", perfect), lambda: grid("3124", (0, 0, 0), perfect)):
        with pytest.raises(ValueError, match="is not a whole number of 1 or more"):
            function()
    with pytest.raises(ValueError, match="perfect score: "):
        limits((0, 0, 0), perfect)
    assert score("3124", (0, 0, 0), "3124", 1) == 1
    with pytest.raises(ValueError, match="cuts: "):
        limits((0, 0))


@pytest.mark.parametrize(
    ("cuts", "perfect", "messages"),
    [
        ((0, 0, 0), 50, ["every cut is 0, so every placing scores the same"]),
        ((0, 0, 1), 50, []),
        ((5, 5, 5), 50, []),
        ((5, 6, 5), 100, ["the cuts add up to 16, more than 15"]),
        ((1, 8, 1), 50, []),
        ((8, 1, 1), 50, []),
        ((9, 1, 1), 50, ["the top cut is 9, more than 8"]),
        ((1, 1, 9), 50, ["the bottom cut is 9, more than 8"]),
        ((1, 9, 1), 50, ["the middle cut is 9, more than 8"]),
        ((3, 5, 2), 35, []),
        ((3, 5, 2), 34, ["some placing would score below zero: the full reversal loses 35 of 34"]),
    ],
)
def test_a_limit_is_named_as_soon_as_it_is_exceeded(cuts, perfect, messages):
    assert [limit.message for limit in limits(cuts, perfect)] == messages


def test_equal_scores_stand_in_ascending_order_behind_the_official_placing():
    assert grid("4321", (0, 0, 0)) == tuple((placing, 50) for placing in ("4321", *PLACINGS[:-1]))
    assert [placing for placing, _ in grid("3124", (3, 5, 2))][:3] == ["3124", "3142", "1324"]


def test_the_plain_perfect_score_is_50():
    assert score("3124", (3, 5, 2), "3124") == 50
    assert limits((5, 5, 5)) == ()
    assert [limit.source for limit in limits((9, 0, 7))][1] == "Nebraska G2092"
