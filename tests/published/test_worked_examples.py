"""Every worked example of a placing score that was found in print; each names its source in `worked-examples.json`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scoring.core.placing import grid, lost_pairs, score

EXAMPLES = json.loads((Path(__file__).parent / "worked-examples.json").read_text("utf-8"))
BY_ID = {example["id"]: example for example in EXAMPLES}


@pytest.mark.parametrize("example", EXAMPLES, ids=[example["id"] for example in EXAMPLES])
def test_a_published_card_scores_what_its_source_says(example: dict) -> None:
    official, cuts, placing = example["official"], example["cuts"], example["placing"]
    assert score(official, cuts, placing) == example["published_score"], example["source_title"]
    assert dict(grid(official, cuts))[placing] == example["published_score"], example["source_title"]


def test_no_published_example_is_left_out() -> None:
    assert sorted(BY_ID) == ["md-1", "md-2", "md-3", "md-4", "ne-1", "ne-2", "tx-1"]


@pytest.mark.parametrize(
    ("example", "losses"),
    [
        ("md-2", [2, 2]),  # Maryland Cooperative Extension, "Scoring of Contests": top and bottom pair switched
        ("md-3", [8]),  # same: middle pair switched
        ("md-4", [2, 12, 10, 2]),  # same: "2+12+10+2=26"
        ("ne-1", [2]),  # Nebraska, "How to Score Livestock Judging Cards": top pair switched
        ("ne-2", [2, 3]),  # same: top and bottom pairs switched
        ("tx-1", [2, 5, 3]),  # Texas lesson plan, Market Steer Evaluation: "2+5+3=10"
    ],
)
def test_a_published_card_loses_the_pairs_that_its_source_lists(example: str, losses: list[int]) -> None:
    published = BY_ID[example]
    pairs = lost_pairs(published["official"], published["cuts"], published["placing"])
    assert sorted(pair.points for pair in pairs) == sorted(losses)
