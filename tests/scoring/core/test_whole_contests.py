"""Whole contests of every kind, by Hypothesis: the tally against a slow second scorer, and laws that always hold."""

from __future__ import annotations

import copy

from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.core.record import Record
from scoring.core.result import Result
from scoring.core.tally import tally
from tests.scoring.core.slow_scorer import slow_tally, unsettled_cards
from tests.strategies import records, shuffled, wide_records, with_one_more


def individual_rows(result: Result) -> list[tuple]:
    return [
        (standing.division, standing.code, row.rank, row.number, row.team, row.total, row.tie)
        for standing in result.standings
        for row in standing.individuals
    ]


def team_rows(result: Result) -> list[tuple]:
    return [
        (standing.division, standing.code, row.rank, row.team, row.total, row.counting, row.tie)
        for standing in result.standings
        for row in standing.teams
    ]


def score_table(result: Result) -> dict:
    rows = [
        ((number, scores.item), points)
        for scores in result.scores
        for number, points in zip(scores.numbers, scores.points, strict=True)
    ]
    assert len(rows) == len(dict(rows))
    return dict(rows)


def team_score_table(result: Result) -> dict:
    rows = [
        ((scores.division, team, scores.item), points)
        for scores in result.team_scores
        for team, points in zip(scores.teams, scores.points, strict=True)
    ]
    assert len(rows) == len(dict(rows))
    return dict(rows)


@settings(max_examples=300, deadline=None)
@given(st.one_of(records(named=False), wide_records(named=False)))
def test_every_list_agrees_with_the_slow_scorer(record: Record) -> None:
    result, slow = tally(record), slow_tally(record)
    assert score_table(result) == slow.scores
    assert team_score_table(result) == slow.team_scores
    assert individual_rows(result) == slow.individuals
    assert team_rows(result) == slow.teams
    assert list(result.unsettled) == unsettled_cards(record)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_the_order_of_rows_changes_nothing(data: st.DataObject) -> None:
    record = data.draw(records(named=False))
    assert tally(data.draw(shuffled(record))) == tally(record)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_one_more_contestant_changes_no_other_total_and_no_other_score(data: st.DataObject) -> None:
    record = data.draw(records(named=False))
    larger, person = data.draw(with_one_more(record))
    before, after = tally(record), tally(larger)

    def totals(result: Result) -> dict:
        return {(*row[:2], row[3]): row[5] for row in individual_rows(result) if row[3] != person.number}

    assert totals(after) == totals(before)
    others = {key: points for key, points in score_table(after).items() if key[0] != person.number}
    assert others == score_table(before)
    assert (person.number in {row[3] for row in individual_rows(after)}) == (person.present and person.ranked)


@settings(max_examples=60, deadline=None)
@given(records(named=False))
def test_ranks_start_at_1_and_skip_as_many_as_share(record: Record) -> None:
    for standing in tally(record).standings:
        for rows in (standing.individuals, standing.teams):
            ranks = [row.rank for row in rows]
            assert ranks == sorted(ranks)
            for rank in ranks:
                assert rank == ranks.index(rank) + 1
            totals = [row.total for row in rows]
            assert totals == sorted(totals, reverse=True)
            for row in rows:
                assert (row.tie == "shared") == (ranks.count(row.rank) > 1)
                assert (row.tie == "") == (totals.count(row.total) == 1)


@settings(max_examples=60, deadline=None)
@given(records(named=False))
def test_overall_totals_are_the_sums_of_the_scores(record: Record) -> None:
    result = tally(record)
    table, team_table = score_table(result), team_score_table(result)
    for standing in result.standings:
        if standing.code != "overall":
            continue
        totals = {row.number: row.total for row in (*standing.individuals, *standing.apart)}
        for number, total in totals.items():
            assert total == sum(points for (owner, _), points in table.items() if owner == number)
        for row in standing.teams:
            own = sum(points for key, points in team_table.items() if key[:2] == (standing.division, row.team))
            assert row.total == sum(totals[number] for number in row.counting) + own


@settings(max_examples=40, deadline=None)
@given(records(named=False))
def test_the_tally_leaves_its_record_alone_and_repeats_itself(record: Record) -> None:
    before = copy.deepcopy(record)
    first = tally(record)
    assert record == before
    assert tally(record) == first
