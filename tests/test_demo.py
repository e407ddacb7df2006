"""The demo contest in `fixtures/demo`: made by its script to the byte, and holding what a demo has to show."""

from __future__ import annotations

from collections import Counter, defaultdict
from pathlib import Path
from statistics import mean

import pytest

from contest.book import read_book, write_book
from scoring.core.placing import PLACINGS, limits, score
from scoring.core.ranking import SHARED
from scoring.core.record import NO_CARD, UNREADABLE, Record
from scoring.core.result import Result
from scoring.core.tally import tally
from tests.demo_setting import NAME_NOT_SHOWN
from tests.make_demo import FOLDER, MISSING, UNREADABLE_CARDS, UNSETTLED, demo_record

BOOK_FILES = ["cards.csv", "contest.toml", "entries.csv", "marks.csv", "reasons.csv"]


@pytest.fixture(scope="module")
def demo() -> Record:
    return read_book(FOLDER)  # raises where the book has a problem


@pytest.fixture(scope="module")
def result(demo: Record) -> Result:
    return tally(demo)


def test_the_script_makes_the_committed_book_to_the_byte(tmp_path: Path) -> None:
    write_book(demo_record(), tmp_path)
    assert sorted(path.name for path in FOLDER.iterdir()) == BOOK_FILES
    for name in BOOK_FILES:
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes(), name


def test_reading_and_writing_it_gives_the_same_bytes(demo: Record, tmp_path: Path) -> None:
    write_book(demo, tmp_path)
    for name in BOOK_FILES:
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes(), name


def test_it_has_the_size_of_a_real_contest(demo: Record) -> None:
    assert 58 <= len(demo.contestants) <= 66
    assert len(demo.divisions) == 3
    assert len(demo.categories) == 2
    assert [judged.number for judged in demo.classes] == list(range(1, 11))
    assert {len(judged.official or "") for judged in demo.classes} == {4}
    assert sum(judged.void for judged in demo.classes) == 1
    assert demo.rules.readings_per_card == 2
    assert demo.rules.held_on is not None and demo.rules.held_on.year == 2026
    assert {part.code: part.scope for part in demo.parts} == {
        "QUEST": "individual",
        "KEEP": "individual",
        "FLEECE": "team",
    }


def test_seniors_give_four_sets_of_reasons_intermediates_two_juniors_none(demo: Record) -> None:
    sets = Counter(code for judged in demo.classes for code in judged.reasons)
    assert sets == {"SR": 4, "IN": 2}
    heard = Counter((given.class_number, given.number) for given in demo.reasons)
    assert set(heard.values()) == {1, 2}
    assert len({given.official for given in demo.reasons}) == 2
    assert all(2500 <= given.hundredths <= 5000 and given.hundredths % 50 == 0 for given in demo.reasons)


def test_some_means_of_two_officials_have_quarters(result: Result) -> None:
    points = [p for scores in result.scores if scores.item.startswith("reasons:") for p in scores.points]
    assert any(p.denominator == 4 for p in points)


def test_some_cards_are_missing_unreadable_or_unsettled(demo: Record, result: Result) -> None:
    void = {judged.number for judged in demo.classes if judged.void}
    counted = [card for card in demo.cards if card.class_number not in void]
    assert sum(card.placing == NO_CARD for card in counted) == MISSING > 3
    assert sum(card.placing == UNREADABLE for card in counted) == UNREADABLE_CARDS > 3
    assert len(result.unsettled) == UNSETTLED > 3
    assert any(card.class_number in void for card in demo.cards)
    assert all(card.second is not None for card in demo.cards if card.placing != NO_CARD)


def test_everybody_present_has_a_card_for_every_class_of_the_division(demo: Record) -> None:
    expected = {
        (judged.number, contestant.number)
        for judged in demo.classes
        for contestant in demo.contestants
        if contestant.present and contestant.division in judged.divisions
    }
    assert {(card.class_number, card.number) for card in demo.cards} == expected


def test_people_differ_as_they_do(demo: Record) -> None:
    names = [f"{c.first_name} {c.last_name}" for c in demo.contestants]
    assert len(set(names)) == len(names)
    assert sum(not name.isascii() for name in names) >= 8
    assert any("'" in name for name in names)
    assert any(len(name) > 40 for name in names)
    assert sum(not c.show_name for c in demo.contestants) == len(NAME_NOT_SHOWN) == 3
    assert sum(not c.present for c in demo.contestants) == 4
    assert {c.role for c in demo.contestants if c.division == "SR"} == {"member", "individual"}


def test_team_mates_walk_apart_in_even_groups(demo: Record) -> None:
    groups: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for contestant in demo.contestants:
        if contestant.present and contestant.team:
            groups[contestant.division, contestant.team].append(contestant.group)
    assert all(len(set(walking)) == len(walking) for walking in groups.values())
    sizes = Counter(contestant.group for contestant in demo.contestants)
    assert sorted(sizes) == ["A", "B", "C", "D"]
    assert max(sizes.values()) - min(sizes.values()) <= 1


def test_every_team_rule_is_at_work(demo: Record, result: Result) -> None:
    assert {division.short_team for division in demo.divisions} == {"zero", "unranked"}
    assert {division.counting_members for division in demo.divisions} == {"fixed", "each"}
    entered = Counter((c.division, c.team) for c in demo.contestants if c.team)
    assert set(entered.values()) == {3, 4, 5}

    ranked = {(s.division, row.team): row for s in result.standings if s.code == "overall" for row in s.teams}
    assert set(entered) - set(ranked) == {("SR", "Hobbin Bridge")}  # short, and unranked
    assert len(ranked["IN", "Fenny Rigg"].counting) == 2  # short, and ranked with a zero
    counting = {(s.code, row.team): row.counting for s in result.standings if s.division == "IN" for row in s.teams}
    assert any(counting[code, team] != counting["overall", team] for code, team in counting)


def test_every_individual_tie_step_decides_a_tie_and_some_ranks_are_shared(demo: Record, result: Result) -> None:
    ties = Counter(row.tie for standing in result.standings for row in standing.individuals)
    assert set(ties) == {"", SHARED, *demo.individual_ties}
    kinds = {step.partition(":")[0] for step in demo.individual_ties}
    assert kinds == {"reasons", "part", "class", "placing", "best-class", "total", "category"}


def test_every_team_tie_step_decides_a_tie(demo: Record, result: Result) -> None:
    ties = Counter(row.tie for standing in result.standings for row in standing.teams)
    assert set(ties) >= {"", *demo.team_ties}
    kinds = {step.partition(":")[0] for step in demo.team_ties}
    assert kinds == {"reasons", "part", "class", "placing", "best-class", "total", "category", "left-out"}


def test_every_key_keeps_to_the_published_limits(demo: Record) -> None:
    assert [limits(judged.cuts or (), judged.perfect) for judged in demo.classes] == [()] * 10


def test_the_placings_spread_as_real_ones_do(demo: Record, result: Result) -> None:
    keys = {judged.number: (judged.official or "", judged.cuts or ()) for judged in demo.classes}
    scores = [score(*keys[card.class_number], card.placing) for card in demo.cards if card.placing in PLACINGS]
    assert 35 < mean(scores) < 47
    assert 0.1 < scores.count(50) / len(scores) < 0.35
    assert sum(points < 30 for points in scores) >= 10

    possible = {"JR": 8 * 50 + 50, "IN": 9 * 50 + 2 * 50 + 50, "SR": 9 * 50 + 4 * 50 + 50}
    for standing in result.standings:
        if standing.code == "overall":
            best, last = standing.individuals[0].total, standing.individuals[-1].total
            assert 0.85 < best / possible[standing.division] < 0.95, standing.division
            assert 0.5 < last / possible[standing.division] < 0.8, standing.division
