"""The table of tie steps is the one place that a new step has to be added to."""

from dataclasses import replace

import pytest

from contest.book import read_book, write_book
from contest.setup.ties import steps_offered
from scoring.core.explain import how_ties_fell, tie_step, ties_in_words
from scoring.core.record import Card
from scoring.core.steps import STEPS, Step, find_step
from scoring.core.tally import tally
from tests.factories import ClassFactory, ContestantFactory, RecordFactory


def _worst_class(values, name):
    return list(map(min, zip(*(values.items[item] for item in values.items if item.startswith("class:")), strict=True)))


WORST = Step("worst-class", "lowest single placing score", "the worst single class", _worst_class)


@pytest.fixture
def worst_class(monkeypatch):
    monkeypatch.setitem(STEPS, WORST.code, WORST)


@pytest.fixture
def record():
    """Both have 97 points: 101 as 50 and 47, 102 as 48 and 49; each is a team of its own."""
    return RecordFactory(
        classes=(ClassFactory(cuts=(1, 2, 3)), ClassFactory(number=2, cuts=(1, 2, 3))),
        contestants=(ContestantFactory(number=101, team="Larks"), ContestantFactory(number=102, team="Oak")),
        cards=(Card(1, 101, "3124"), Card(2, 101, "3142"), Card(1, 102, "3214"), Card(2, 102, "1324")),
        individual_ties=("worst-class",),
        team_ties=("worst-class",),
    )


def test_a_step_added_to_the_table_decides_and_is_told(worst_class, record):
    standing = tally(record).standings[0]
    assert [(row.number, row.tie) for row in standing.individuals] == [(102, "worst-class"), (101, "worst-class")]
    assert [(row.team, row.tie) for row in standing.teams] == [("Oak", "worst-class"), ("Larks", "worst-class")]
    individuals, teams = how_ties_fell(record, tally(record), standing)
    assert individuals[0] == "level at 97; ahead of 101 on the worst single class, 48 to 47"
    assert teams[1] == "level at 97; behind Oak on the worst single class, 47 to 48"
    assert tie_step("worst-class", record) == "lowest single placing score"
    assert ties_in_words(record)["worst-class"] == "decided by lowest single placing score"


def test_a_step_added_to_the_table_is_offered_and_goes_through_a_book(worst_class, record, tmp_path):
    write_book(record, tmp_path / "book")
    assert read_book(tmp_path / "book").individual_ties == ("worst-class",)
    for scope in ("individual", "team"):
        assert "worst-class" in steps_offered(replace(record, individual_ties=(), team_ties=()), scope)


@pytest.mark.parametrize("written", ["", "coin", "class", "total:3", ":", ":3", "worst-class"])
def test_what_is_in_no_entry_is_no_step(written):
    assert find_step(written) is None
    assert tie_step(written, RecordFactory()) == written
