"""The rotation: every group at every class once, and never two at one class."""

from datetime import time

from hypothesis import given
from hypothesis import strategies as st

from contest.entries.rotation import rotation


def twelve(_place):
    return 12


@given(st.integers(1, 15), st.integers(1, 15))
def test_each_group_is_at_each_class_once_and_never_two_at_one_class(groups, count):
    classes = list(range(count))
    rounds = rotation(groups, classes, None, twelve)
    assert len(rounds) == max(groups, count)
    for turn in rounds:
        busy = [place for place in turn.places if place is not None]
        assert len(turn.places) == groups
        assert len(busy) == len(set(busy))
    for group in range(groups):
        visited = [turn.places[group] for turn in rounds]
        assert sorted(place for place in visited if place is not None) == classes
        assert visited.count(None) == max(0, groups - count)


def test_rounds_follow_one_another_by_the_clock():
    rounds = rotation(2, ["1 Steers", "2 Heifers", "3 Hogs"], time(9, 50), twelve)
    assert [(turn.number, turn.starts, turn.ends) for turn in rounds] == [
        (1, time(9, 50), time(10, 2)),
        (2, time(10, 2), time(10, 14)),
        (3, time(10, 14), time(10, 26)),
    ]
    assert [turn.places for turn in rounds] == [
        ("1 Steers", "2 Heifers"),
        ("2 Heifers", "3 Hogs"),
        ("3 Hogs", "1 Steers"),
    ]


def test_a_round_lasts_as_long_as_the_longest_class_that_somebody_is_at():
    minutes = {"1 Steers": 12, "2 Heifers": 15, "3 Hogs": 12}
    rounds = rotation(2, list(minutes), time(9, 0), minutes.__getitem__)
    assert [turn.starts for turn in rounds] == [time(9, 0), time(9, 15), time(9, 30)]
    assert rounds[2].ends == time(9, 42)


def test_midnight_is_a_time_like_any_other():
    assert [turn.starts for turn in rotation(1, "ab", time(0, 0), lambda _place: 20)] == [time(0, 0), time(0, 20)]


def test_without_a_first_time_there_are_no_times():
    assert rotation(1, ["a"], None, twelve)[0].starts is None


def test_without_groups_or_classes_there_are_no_rounds():
    assert rotation(0, ["a"], None, twelve) == rotation(3, [], None, twelve) == []
