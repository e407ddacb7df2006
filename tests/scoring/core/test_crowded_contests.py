"""Many contestants with nearly the same card: the tally against the slow scorer where every tie step has to decide."""

from __future__ import annotations

from collections import Counter

import pytest

from scoring.core.record import UNREADABLE
from scoring.core.tally import tally
from tests.scoring.core.crowded import STEPS, crowded_contest
from tests.scoring.core.slow_scorer import slow_tally
from tests.scoring.core.test_whole_contests import individual_rows, score_table, team_rows, team_score_table

SEEDS = range(200)


def test_every_list_of_a_crowded_contest_agrees_with_the_slow_scorer() -> None:
    for seed in SEEDS:
        record = crowded_contest(seed)
        result, slow = tally(record), slow_tally(record)
        assert score_table(result) == slow.scores, f"seed {seed}"
        assert team_score_table(result) == slow.team_scores, f"seed {seed}"
        assert individual_rows(result) == slow.individuals, f"seed {seed}"
        assert team_rows(result) == slow.teams, f"seed {seed}"


@pytest.fixture(scope="module")
def ties() -> Counter[str]:
    found: Counter[str] = Counter()
    for seed in SEEDS:
        result = tally(crowded_contest(seed))
        found.update(f"individual {row[-1]}" for row in individual_rows(result))
        found.update(f"team {row[-1]}" for row in team_rows(result))
    return found


@pytest.mark.parametrize("kind", ["individual", "team"])
def test_the_crowded_contests_hold_ties_that_each_step_separates(kind: str, ties: Counter[str]) -> None:
    wanted = {*STEPS, "shared", ""} | ({"left-out"} if kind == "team" else set())
    if kind == "individual":
        wanted.remove("part:TEAM")  # a team's mark is nothing to an individual
    assert {step for step in wanted if not ties[f"{kind} {step}"]} == set()


def test_the_crowded_contests_hold_unreadable_and_negative_cards() -> None:
    worst = 0
    unreadable = 0
    for seed in SEEDS:
        record = crowded_contest(seed)
        worst = min(worst, *score_table(tally(record)).values())
        unreadable += sum(card.placing == UNREADABLE for card in record.cards)
    assert worst == -4  # the full reversal of 3-9-3
    assert unreadable > 100
