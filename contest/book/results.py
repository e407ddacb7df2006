"""The four result files that a tally writes."""

from __future__ import annotations

from pathlib import Path

from contest.book.write import csv_text
from scoring.core.points import written
from scoring.core.record import Record
from scoring.core.result import Result


def result_files(record: Record, result: Result) -> dict[str, str]:
    """The texts of individuals.csv, teams.csv, scores.csv and team-scores.csv.

    Scores stand in the order of the record's contestants, so that they can be laid beside its entries.
    """
    individuals = (
        (standing.division, standing.code, row.rank, row.number, row.team, written(row.total), row.tie)
        for standing in result.standings
        for row in standing.individuals
    )
    teams = (
        (
            standing.division,
            standing.code,
            row.rank,
            row.team,
            written(row.total),
            " ".join(map(str, row.counting)),
            row.tie,
        )
        for standing in result.standings
        for row in standing.teams
    )
    by_number: dict[int, list[tuple[int, str, str]]] = {}
    for scores in result.scores:
        for number, points in zip(scores.numbers, scores.points, strict=True):
            by_number.setdefault(number, []).append((number, scores.item, written(points)))
    team_scores = sorted(
        (
            (place, team, scores.item, written(points))
            for place, division in enumerate(record.divisions)
            for scores in result.team_scores
            if scores.division == division.code
            for team, points in zip(scores.teams, scores.points, strict=True)
        ),
        key=lambda row: row[:2],
    )
    return {
        "individuals.csv": csv_text(("division", "list", "rank", "number", "team", "total", "tie"), individuals),
        "teams.csv": csv_text(("division", "list", "rank", "team", "total", "counting", "tie"), teams),
        "scores.csv": csv_text(
            ("number", "item", "score"),
            (row for contestant in record.contestants for row in by_number.get(contestant.number, ())),
        ),
        "team-scores.csv": csv_text(
            ("division", "team", "item", "score"),
            ((record.divisions[place].code, *rest) for place, *rest in team_scores),
        ),
    }


def write_results(record: Record, result: Result, folder: Path | str) -> None:
    """Write the result files into `folder`, which is made where it is missing."""
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in result_files(record, result).items():
        (folder / name).write_bytes(text.encode())
