"""Books as a folder: what it must hold, what may lie beside it, and what a small one means."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from contest.book import BookProblems, read_book
from scoring.core.record import Division, JudgingClass, Record, Rules
from scoring.core.tally import tally
from tests.contest.book.books import MINIMAL, SOUND, lay_out, problems_of


def test_a_minimal_contest_has_the_formats_defaults(tmp_path: Path) -> None:
    assert read_book(lay_out(tmp_path, {"contest.toml": MINIMAL})) == Record(
        Rules(
            name="Small",
            held_on=None,
            place="",
            readings_per_card=2,
            show_people_as="number",
            negative_scores="keep",
            unreadable_card="zero",
            reasons_in_category=True,
        )
    )


def test_divisions_and_classes_have_the_formats_defaults(tmp_path: Path) -> None:
    text = MINIMAL + (
        '[[division]]\ncode = "SR"\nname = "Senior"\nteam_counting = 3\n'
        '[[class]]\nnumber = 1\nname = "Mares"\ndivisions = ["SR"]\n'
    )
    record = read_book(lay_out(tmp_path, {"contest.toml": text}))
    assert record.divisions == (Division("SR", "Senior", 3, short_team="zero", counting_members="fixed"),)
    assert record.classes == (
        JudgingClass(
            1,
            "Mares",
            ("SR",),
            category="",
            places=True,
            reasons=(),
            perfect=50,
            official=None,
            cuts=None,
            void=False,
        ),
    )


def test_a_contest_without_anybody_has_an_empty_result(tmp_path: Path) -> None:
    result = tally(read_book(lay_out(tmp_path, {"contest.toml": MINIMAL})))
    assert (result.standings, result.scores, result.team_scores, result.unsettled) == ((), (), (), ())


def test_a_path_may_be_text(tmp_path: Path) -> None:
    lay_out(tmp_path, {"contest.toml": MINIMAL.replace('"Small"', '"Small"\nheld_on = 2026-10-17')})
    assert read_book(str(tmp_path)).rules.held_on == date(2026, 10, 17)


def test_a_missing_path_is_named(tmp_path: Path) -> None:
    (only,) = problems_of(tmp_path / "nowhere")
    assert only == (str(tmp_path / "nowhere"), 0, only[2])
    assert "there is no such book" in only[2]


def test_an_empty_folder_is_not_a_book(tmp_path: Path) -> None:
    (only,) = problems_of(tmp_path)
    assert only[:2] == (str(tmp_path), 0)
    assert "it holds no contest.toml" in only[2]


@pytest.mark.parametrize("name", ["entry.csv", "Entries.csv", "cards (1).csv", "entries.CSV", "cards.csv.csv"])
def test_a_csv_file_with_another_name_is_probably_misnamed(tmp_path: Path, name: str) -> None:
    (only,) = problems_of(lay_out(tmp_path, {**SOUND, name: "number\n"}))
    assert only[:2] == (name, 0)
    assert (
        "it is not a file of a contest book (entries.csv, cards.csv, reasons.csv, marks.csv, choices.csv, panel.csv)"
        in only[2]
    )


@pytest.mark.parametrize(
    "name", ["notes.txt", "README.md", "individuals.csv", "teams.csv", "scores.csv", "team-scores.csv", "._cards.csv"]
)
def test_other_files_may_lie_beside_a_book(tmp_path: Path, name: str) -> None:
    plain = read_book(lay_out(tmp_path / "plain", SOUND))
    assert read_book(lay_out(tmp_path / "book", {**SOUND, name: b"\xff\x00"})) == plain


def test_a_folder_named_as_a_file_is_no_file(tmp_path: Path) -> None:
    lay_out(tmp_path, {"contest.toml": MINIMAL})
    (tmp_path / "entries.csv").mkdir()
    assert read_book(tmp_path).contestants == ()


def test_problems_print_as_file_line_and_reason(tmp_path: Path) -> None:
    lay_out(tmp_path, {**SOUND, "cards.csv": "class,number,placing\n1,1,3125\n1,2,3312\n", "more.csv": ""})
    with pytest.raises(BookProblems) as caught:
        read_book(tmp_path)
    lines = str(caught.value).splitlines()
    assert len(lines) == 3
    assert lines[0].startswith("more.csv: it is not a file of a contest book")
    assert lines[1].startswith("cards.csv:2: placing: '3125' names '5'")
    assert lines[2].startswith("cards.csv:3: placing: '3312' places animal 3 more than once")
