"""Whatever was pasted or uploaded becomes lines of cells."""

import io
from datetime import date, datetime

import pytest
from openpyxl import Workbook

from contest.uploads import spreadsheets as sheets
from contest.uploads.spreadsheets import Line, Unreadable, lines_of, sheets_of


def xlsx(*rows, prepare=None):
    book = Workbook()
    sheet = book.active
    for row in rows:
        sheet.append(row)
    if prepare:
        prepare(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def cells(text):
    return [(line.number, *line.cells) for line in lines_of(text)]


@pytest.mark.parametrize(
    "text",
    [
        "No\tName\n101\tTolworthy, Maisie\n",
        'No,Name\r\n101,"Tolworthy, Maisie"\r\n',
        "No;Name\n101;Tolworthy, Maisie",
        "No;Name\n\n",
    ],
)
def test_tabs_semicolons_and_commas_part_cells(text):
    read = cells(text)
    assert read[0] == (1, "No", "Name")
    assert read[1:] in ([(2, "101", "Tolworthy, Maisie")], [])


def test_columns_that_hold_nothing_at_the_end_are_no_columns():
    assert [line.cells for line in lines_of("No;Name;;; \n1;Ann;;\n2;;;;;;\n")] == [
        ("No", "Name"),
        ("1", "Ann"),
        ("2", ""),
    ]


def test_lines_keep_the_numbers_they_have_in_the_file():
    assert cells('a,b\n\n"two\nlines",c\nd,e\n') == [(1, "a", "b"), (3, "two lines", "c"), (5, "d", "e")]


def test_short_lines_are_filled_up_and_spaces_are_trimmed():
    assert cells("a\tb\tc\n  d   e \n") == [(1, "a", "b", "c"), (2, "d e", "", "")]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (" \n\n", "nothing in the table"),
        ('a,b\nc,"d\ne,f\n', "line 2 .* quotation marks"),
        ("a\n" * (sheets.MOST_LINES + 1), "lines"),
        ("a," * (sheets.MOST_COLUMNS + 1) + "\n", "columns"),
        ("a" * (sheets.MOST_TEXT + 1), "characters"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused(text, reason):
    with pytest.raises(Unreadable, match=reason):
        lines_of(text)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_text_files_come_in_any_usual_encoding(encoding):
    assert sheets_of("entries.csv", "Zoë;Łódź"[: 3 if encoding == "cp1252" else None].encode(encoding))[""].startswith(
        "Zoë"
    )


def test_a_spreadsheet_reads_as_people_see_it():
    data = xlsx(
        ["No", "Born", "Seen", "Here", "Name", "Error"],
        [12.0, date(2012, 5, 3), datetime(2026, 1, 2, 3, 4), True, "two\nlines", "=A1"],
        [],
        [1.5, None, datetime(2026, 1, 2), False, " x ", None],
    )
    assert cells(sheets_of("entries.xlsx", data)["Sheet"]) == [
        (1, "No", "Born", "Seen", "Here", "Name", "Error"),
        (2, "12", "2012-05-03", "2026-01-02 03:04", "yes", "two lines", ""),
        (4, "1.5", "", "2026-01-02", "no", "x", ""),
    ]


def test_a_cell_merged_down_stands_in_every_row():
    data = xlsx(
        ["Team", "Name"], ["Ash", "a"], [None, "b"], [None, "c"], prepare=lambda book: book.active.merge_cells("A2:A3")
    )
    assert [line.cells for line in lines_of(sheets_of("e.xlsx", data)["Sheet"])][1:] == [
        ("Ash", "a"),
        ("Ash", "b"),
        ("", "c"),
    ]


def test_every_sheet_that_holds_something_can_be_chosen():
    def more(book):
        book.create_sheet("Empty")
        book.create_sheet("Juniors").append(["a"])

    assert list(sheets_of("e.xlsx", xlsx(["b"], prepare=more))) == ["Sheet", "Juniors"]


def test_far_away_cells_cost_nothing():
    data = xlsx(["a"], prepare=lambda book: book.active.cell(1_000_000, 1, "z"))
    assert cells(sheets_of("e.xlsx", data)["Sheet"]) == [(1, "a")]


@pytest.mark.parametrize(
    ("name", "data", "reason"),
    [
        ("e.xlsx", b"", "empty"),
        ("e.xlsx", b"PK\3\4 and nothing of the kind", "damaged"),
        ("e.xlsx", xlsx(), "spreadsheet is empty"),
        ("e.xls", b"\xd0\xcf\x11\xe0\xa1", "old spreadsheet"),
        ("e.bin", b"a\0b", "neither text"),
        ("e.csv", b"a" * (sheets.MOST_BYTES + 1), "bytes"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(name, data, reason):
    with pytest.raises(Unreadable, match=reason):
        sheets_of(name, data)


@pytest.mark.parametrize("cut", [0.2, 0.5, 0.9])
def test_a_spreadsheet_cut_short_says_so(cut):
    data = xlsx(["a", "b"], [1, 2])
    with pytest.raises(Unreadable, match="damaged"):
        sheets_of("e.xlsx", data[: int(len(data) * cut)])


def test_a_spreadsheet_that_unpacks_to_too_much_is_not_unpacked(monkeypatch):
    monkeypatch.setattr(sheets, "MOST_UNPACKED", 100)
    with pytest.raises(Unreadable, match="too large"):
        sheets_of("e.xlsx", xlsx(["a"]))


def test_a_line_is_true_where_something_stands_in_it():
    assert Line(1, ("", "a")) and not Line(1, ("", ""))
