"""Numbers given by team, drawn at random, and filled in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contest.entries.numbers import LARGEST_NUMBER, NoNumbers, at_random, by_team, changed, free_from

TEAMS = st.lists(st.integers(0, 12), max_size=12).map(
    lambda sizes: [[f"{team}-{member}" for member in range(size)] for team, size in enumerate(sizes)]
)


@pytest.mark.parametrize(
    ("teams", "alone", "start", "step", "numbers"),
    [
        ([["a", "b"], ["c"]], [], 101, 10, {"a": 101, "b": 102, "c": 111}),
        ([["a", "b"], ["c"]], ["d", "e"], 101, 10, {"a": 101, "b": 102, "c": 111, "d": 121, "e": 122}),
        ([["a", "b", "c"], ["d"]], [], 1, 2, {"a": 1, "b": 2, "c": 3, "d": 5}),
        ([], ["a"], 7, 100, {"a": 7}),
        ([], [], 7, 100, {}),
    ],
)
def test_teams_are_given_blocks(teams, alone, start, step, numbers):
    assert by_team(teams, alone, start, step) == numbers


@given(TEAMS, st.integers(0, 9), st.integers(1, 999), st.integers(1, 20))
def test_numbers_by_team_are_unique_and_teams_stand_in_blocks(teams, loners, start, step):
    alone = [f"alone-{one}" for one in range(loners)]
    numbers = by_team(teams, alone, start, step)
    assert set(numbers) == {person for team in teams for person in team} | set(alone)
    assert len(set(numbers.values())) == len(numbers)
    assert all(number >= start for number in numbers.values())
    for team in filter(None, teams):
        first = numbers[team[0]]
        assert (first - start) % step == 0
        assert [numbers[person] for person in team] == list(range(first, first + len(team)))


@given(st.integers(0, 200), st.integers(1, 5000), st.integers(0, 300), st.text(min_size=1))
def test_drawn_numbers_are_unique_in_range_and_known_by_their_seed(people, lowest, more, seed):
    highest = lowest + people + more - 1
    if highest < lowest:
        return
    numbers = at_random(range(people), lowest, highest, seed)
    assert set(numbers) == set(range(people))
    assert len(set(numbers.values())) == people
    assert all(lowest <= number <= highest for number in numbers.values())
    assert numbers == at_random(range(people), lowest, highest, seed)


def test_drawn_numbers_hide_the_order_people_stand_in():
    numbers = at_random(range(400), 100, 999, "a seed")
    neighbours = sum(abs(numbers[one] - numbers[one + 1]) == 1 for one in range(399))
    assert neighbours < 10  # in blocks it would be hundreds; by chance it is about one
    assert numbers != at_random(range(400), 100, 999, "another seed")


@pytest.mark.parametrize(("lowest", "highest"), [(0, 10), (10, 5), (1, 3), (1, LARGEST_NUMBER + 1)])
def test_a_range_that_cannot_be_is_refused(lowest, highest):
    with pytest.raises(NoNumbers):
        at_random("abcd", lowest, highest, "seed")


@pytest.mark.parametrize(("start", "step"), [(0, 10), (1, 0), (LARGEST_NUMBER, 1)])
def test_blocks_that_cannot_be_are_refused(start, step):
    with pytest.raises(NoNumbers):
        by_team([["a", "b"]], ["c"], start, step)


def test_free_numbers_step_over_those_that_are_taken():
    assert free_from(101, {101, 103}, 3) == [102, 104, 105]
    assert free_from(0, set(), 2) == [1, 2]
    assert free_from(5, {5}, 0) == []


def test_only_numbers_that_differ_change():
    assert changed({"a": 1, "b": 2}, {"a": 1, "b": 3, "c": 4}) == {"b": 3, "c": 4}
