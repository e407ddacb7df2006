"""Groups: sizes even, team-mates apart, and as few changes as asked."""

from collections import Counter
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from contest.entries.groups import deal, letters, together

TEAMS = st.lists(st.sampled_from(["Ash", "Birch", "Cedar", "Dogwood", None]), max_size=40)


def numbered(teams):
    return list(enumerate(teams))


def sizes(groups, dealt):
    counted = Counter(dealt.values())
    return sorted(counted[group] for group in groups)


@given(TEAMS, st.integers(1, 9))
def test_sizes_differ_by_one_at_most_and_team_mates_are_as_far_apart_as_can_be(teams, count):
    people, groups = numbered(teams), letters(count)
    dealt = deal(people, groups)
    assert set(dealt) == set(range(len(teams)))
    even = sizes(groups, dealt)
    assert even[-1] - even[0] <= 1
    for team in set(teams) - {None}:
        mates = Counter(dealt[person] for person, its in people if its == team)
        assert max(mates.values()) == -(-mates.total() // count)
    assert together(people, dealt) == sum(
        count_pairs(teams.count(team), count) for team in set(teams) if team is not None
    )


def count_pairs(members, groups):
    full, more = divmod(members, groups)
    return more * full * (full + 1) // 2 + (groups - more) * full * (full - 1) // 2


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["Ash", "Birch", None]), st.sampled_from(["A", "B", "C", None])),
        min_size=1,
        max_size=7,
    ),
    st.integers(1, 3),
)
def test_with_some_kept_it_is_as_good_as_any_way_at_all(drawn, count):
    groups = letters(count)
    people = [(person, team) for person, (team, _group) in enumerate(drawn)]
    kept = {person: group for person, (_team, group) in enumerate(drawn) if group in groups}
    free = [person for person, _team in people if person not in kept]

    def cost(dealt):
        counted = Counter(dealt.values())
        return sum(counted[group] ** 2 for group in groups), together(people, dealt)

    best = min(cost(kept | dict(zip(free, ways, strict=True))) for ways in product(groups, repeat=len(free)))
    dealt = deal(people, groups, kept)
    assert kept.items() <= dealt.items()
    assert cost(dealt) == best


def test_a_large_contest_is_dealt_at_once():
    people = [(person, person // 4 if person % 9 else None) for person in range(1500)]
    dealt = deal(people, letters(12))
    assert sizes(letters(12), dealt) == [125] * 12
    assert together(people, dealt) == 0
    kept = {person: group for person, group in dealt.items() if person % 3}
    assert together(people, deal(people, letters(12), kept)) == 0


def test_those_away_from_the_list_are_not_dealt_though_they_were_kept():
    assert deal([(1, None)], ["A"], {1: "A", 2: "A"}) == {1: "A"}


def test_nobody_can_be_kept_in_a_group_that_is_not_there():
    with pytest.raises(ValueError, match="groups that there are"):
        deal([(1, None)], ["A"], {1: "B"})
    with pytest.raises(ValueError, match="groups that there are"):
        deal([(1, None)], [])
