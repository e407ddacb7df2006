"""The worked examples beside the settings: each must show a difference, and be what the scoring says."""

import pytest

from contest.setup import examples
from scoring.core.placing import score


def test_a_score_below_zero_is_kept_or_counts_as_zero():
    told = examples.negative_scores()
    below = score("1234", examples.WIDE_CUTS, "4321")
    assert below < 0
    assert told["keep"].endswith(f"counts as −{-below}.")
    assert told["zero"].endswith("counts as 0.")
    assert f"loses {50 - below} of 50" in told["keep"]


def test_an_unreadable_card_earns_nothing_or_the_lowest_of_its_class():
    told = examples.unreadable_card()
    assert told["zero"].endswith("earns 0.")
    assert told["lowest"].endswith(f"earns {score('1234', examples.USUAL_CUTS, '4321')}.")


def test_reasons_count_in_their_category_or_not():
    told = examples.reasons_in_category()
    assert "give 90 in" in told[True]
    assert "give 48 in" in told[False]


def test_reasons_are_standardised_or_not():
    told = examples.reasons_standardised()
    assert told[False].endswith("the best of each has 38 and 48.")
    assert "the best of each has 47.62 and 47.62." in told[True]


def test_people_are_shown_as_the_contest_says():
    assert examples.people_shown() == {"number": "117", "initials": "117 W. A.", "name": "117 Wren Ashdown"}


@pytest.mark.parametrize("counting", range(1, examples.MOST_SHOWN + 1))
def test_the_best_members_make_the_team_and_the_settings_differ(counting):
    team = examples.team_example(counting)
    overall = sorted((int(member.overall) for member in team.members), reverse=True)
    reasons = sorted((int(member.reasons) for member in team.members), reverse=True)
    assert len(team.members) == counting + 1
    assert int(team.overall) == sum(overall[:counting])
    assert int(team.reasons["each"]) == sum(reasons[:counting])
    assert int(team.reasons["fixed"]) == sum(int(m.reasons) for m in team.members if m.counts)
    assert int(team.reasons["fixed"]) < int(team.reasons["each"])
    assert sum(member.counts for member in team.members) == counting


def test_a_short_team_is_ranked_or_not():
    team = examples.team_example(3)
    assert team.short_size == 2
    assert team.short["zero"].startswith("ranked with ")
    assert team.short["unranked"] == "not ranked"


def test_where_every_member_counts_no_team_is_short():
    team = examples.team_example(0)
    assert all(member.counts for member in team.members)
    assert int(team.overall) == sum(int(member.overall) for member in team.members)
    assert team.short == {}


@pytest.mark.parametrize("counting", [-1, examples.MOST_SHOWN + 1, 10**9])
def test_a_team_too_large_to_show_has_no_example(counting):
    assert examples.team_example(counting) is None


def test_a_perfect_score_is_shown_with_what_a_full_reversal_is_left_with():
    assert examples.perfect_score(50) == "With cuts 3-5-2, the official placing earns 50 and the full reversal 15."
    assert examples.perfect_score(30).endswith("earns 30 and the full reversal −5.")
