"""CSV files in the forms that spreadsheets give them: all that mean the same are read the same, the rest is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.contest.book.books import CARDS, ENTRIES, MARKS, REASONS, problems_with, read_with

FILES = {"entries": ENTRIES, "cards": CARDS, "reasons": REASONS, "marks": MARKS}


def all_quoted(text: str, delimiter: str) -> str:
    return "".join(delimiter.join(f'"{cell}"' for cell in line.split(",")) + "\n" for line in text.splitlines())


FORMS = {
    "with a byte-order mark": lambda text: "\ufeff" + text,
    "with CRLF": lambda text: text.replace("\n", "\r\n"),
    "with CR alone": lambda text: text.replace("\n", "\r"),
    "without a last newline": lambda text: text.rstrip("\n"),
    "with blank lines": lambda text: text.replace("\n", "\n\n") + "\n\n",
    "with lines of commas": lambda text: text + "," * text.splitlines()[0].count(",") + "\n",
    "with lines of too many commas": lambda text: text + "," * 30 + "\n",
    "with empty columns at the end": lambda text: text.replace("\n", ",,\n"),
    "with an empty column at the end of the rows alone": lambda text: text.replace("\n", ",\n").replace(",\n", "\n", 1),
    "semicolon-separated": lambda text: text.replace(",", ";"),
    "semicolon-separated with decimal commas": lambda text: text.replace(",", ";").replace(".", ","),
    "semicolon-separated, quoted, with a byte-order mark": lambda text: "\ufeff" + all_quoted(text, ";"),
    "tab-separated": lambda text: text.replace(",", "\t"),
    "tab-separated and quoted": lambda text: all_quoted(text, "\t"),
    "fully quoted": lambda text: all_quoted(text, ","),
    "fully quoted with CRLF": lambda text: all_quoted(text, ",").replace("\n", "\r\n"),
    "with spaces around cells": lambda text: text.replace(",", " , "),
    "with columns in another order": lambda text: "".join(
        ",".join(reversed(line.split(","))) + "\n" for line in text.splitlines()
    ),
}


@pytest.mark.parametrize("form", FORMS)
def test_a_spreadsheets_form_reads_as_the_plain_one(tmp_path: Path, form: str) -> None:
    plain = read_with(tmp_path / "plain")
    other = read_with(tmp_path / "other", **{name: FORMS[form](text) for name, text in FILES.items()})
    assert other == plain
    assert len(plain.contestants) == 3 and len(plain.reasons) == 3


def test_columns_that_may_be_empty_may_be_left_out(tmp_path: Path) -> None:
    record = read_with(
        tmp_path,
        entries="role,number,division\nindividual,7,JR\n",
        cards="number,class,placing\n7,1,3124\n",
        reasons="",
        marks="part,number,points\nQUEST,7,5\n",
    )
    (person,) = record.contestants
    assert (person.team, person.first_name, person.group, person.show_name, person.present) == ("", "", "", True, True)
    assert record.cards[0].second is None


def test_a_quoted_cell_keeps_commas_quotes_and_semicolons(tmp_path: Path) -> None:
    entries = 'number,division,team,role\n1,SR,"Oak, ""A""; east",member\n'
    record = read_with(tmp_path, entries=entries, cards="", reasons="", marks="")
    assert record.contestants[0].team == 'Oak, "A"; east'


@pytest.mark.parametrize(("cell", "shown"), [("", True), ("yes", True), ("no", False)])
def test_show_name_says_whether_a_name_may_be_shown(tmp_path: Path, cell: str, shown: bool) -> None:
    entries = f"number,division,role,show_name\n1,SR,individual,{cell}\n"
    record = read_with(tmp_path, entries=entries, cards="", reasons="", marks="")
    assert record.contestants[0].show_name is shown


HEAD, FIRST, *REST = ENTRIES.splitlines(keepends=True)

# A changed entries.csv, the line that is named, and what is said.
REFUSED = [
    (ENTRIES.replace("number", "nummer"), 1, "column 'nummer' is unknown; is 'number' meant?"),
    (ENTRIES.replace("number", "nummer"), 1, "column 'number' is missing"),
    (ENTRIES.replace("number", "Number"), 1, "column 'Number' is unknown; is 'number' meant?"),
    (ENTRIES.replace("group", "county"), 1, "column 'county' is unknown. The columns are number, division"),
    (ENTRIES.replace("group", ""), 1, "column '' is unknown"),
    (ENTRIES.replace("role", "team"), 1, "column 'team' stands twice"),
    (ENTRIES.replace("role", "team"), 1, "column 'role' is missing"),
    (ENTRIES.replace("number,division", "division"), 1, "column 'number' is missing"),
    (FIRST + "".join(REST), 1, "column 'number' is missing"),
    ("".join(f'"{line}"\n' for line in ENTRIES.splitlines()), 1, "in one pair of quotation marks"),
    ("".join(f'"{line}"\n' for line in ENTRIES.replace(",", ";").splitlines()), 1, "in one pair of quotation marks"),
    (ENTRIES.replace("Ann", '"Ann'), 2, "check its quotation marks"),
    (ENTRIES.replace("Cy", '"Cy'), 4, "check its quotation marks"),
    (ENTRIES.replace("Bo", '"Bo"x'), 3, "check its quotation marks"),
    (ENTRIES.replace("Bo", '"Bo\nVale"'), 3, "line break"),
    (ENTRIES.replace("Bo", "Bo\x00"), 3, "control character"),
    (ENTRIES.replace("Bo", "Bo\u2028Vale"), 3, "line break"),
    (ENTRIES.replace("Bo", "Bo\x0bVale"), 3, "line break"),
    (ENTRIES.replace("Bo", "Bo\x85Vale"), 3, "line break"),
    (ENTRIES.replace("Bo", "x" * 100_000), 3, "first_name has 100000 characters"),
    (ENTRIES.replace("Bo", "x" * 200_000), 3, "field limit"),
    (ENTRIES.replace("Bo", "B\xf6").encode("cp1252"), 3, "byte 0xF6 is not UTF-8"),
    (ENTRIES.replace("Bo", "B\xf6").replace("\n", "\r\n").encode("cp1252"), 3, "byte 0xF6 is not UTF-8"),
    (ENTRIES.encode().replace(b"Bo", b"B\xed\xa0\x80"), 3, "byte 0xED is not UTF-8"),
    (ENTRIES.encode().replace(b"Bo", b"B\xc0\x80"), 3, "byte 0xC0 is not UTF-8"),
    (ENTRIES.encode("utf-16"), 0, "saved as UTF-16"),
    (b"\xfe\xff" + ENTRIES.encode("utf-16-be"), 0, "saved as UTF-16"),
    (ENTRIES.encode("utf-16-le"), 1, "is unknown"),
    (b"PK\x03\x04\x14\x00\x08\x08\x08\x00\x00\x00\xff", 1, "is not UTF-8"),
]


NAMES = [f"{number}-{reason[:40]}" for number, (_, _, reason) in enumerate(REFUSED)]


@pytest.mark.parametrize(("content", "line", "reason"), REFUSED, ids=NAMES)
def test_a_form_that_cannot_be_read_is_refused_with_its_line(tmp_path: Path, content, line, reason) -> None:
    found = problems_with(tmp_path, entries=content)
    assert any(one[:2] == ("entries.csv", line) and reason in one[2] for one in found), found[:5]


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("blank_lines", [0, 2])
def test_lines_are_counted_as_an_editor_counts_them(tmp_path: Path, ending: str, blank_lines: int) -> None:
    entries = ENTRIES + "\n" * blank_lines + "4,XX,,A,B,individual,,\n"
    found = problems_with(tmp_path, entries=entries.replace("\n", ending))
    assert [one[:2] for one in found] == [("entries.csv", 5 + blank_lines)]


@pytest.mark.parametrize("separator", ["\u2028", "\x0b", "\x1c", "\x85"])
def test_a_line_separator_inside_a_name_does_not_shift_the_lines_after_it(tmp_path: Path, separator: str) -> None:
    # No editor counts these as line ends in a CSV file, and no spreadsheet starts a row there.
    entries = ENTRIES.replace("Bo", f"Bo{separator}Vale") + "4,XX,,A,B,individual,,\n"
    found = problems_with(tmp_path, entries=entries, cards="", reasons="", marks="")
    assert [one[:2] for one in found] == [("entries.csv", 3), ("entries.csv", 5)], found


def test_the_header_may_follow_blank_lines(tmp_path: Path) -> None:
    assert read_with(tmp_path, entries="\n\n" + ENTRIES) == read_with(tmp_path)
