"""Every mistake in the rows of entries, cards, reasons and marks, each found with its file, line and reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.contest.book.books import CARDS, CONTEST, ENTRIES, MARKS, REASONS, problems_with, read_with

# A row that is added as the last one, and what is said of it.
ENTRY_ROWS = [
    (",SR,Oak,A,B,member,,", "number is ''; it must be a positive whole number"),
    ("0,SR,Oak,A,B,member,,", "number is '0'; it must be a positive whole number"),
    ("-4,SR,Oak,A,B,member,,", "number is '-4'; it must be a positive whole number"),
    ("4.0,SR,Oak,A,B,member,,", "number is '4.0'; it must be a positive whole number"),
    ("4a,SR,Oak,A,B,member,,", "number is '4a'; it must be a positive whole number"),
    ("1e3,SR,Oak,A,B,member,,", "number is '1e3'; it must be a positive whole number"),
    ("٤,SR,Oak,A,B,member,,", "number is '٤'; it must be a positive whole number"),
    ("²,SR,Oak,A,B,member,,", "number is '²'; it must be a positive whole number"),
    ("1234567890,SR,Oak,A,B,member,,", "at most nine digits"),
    ("1,SR,Oak,A,B,member,,", "contestant 1 stands twice; the first is in line 2"),
    ("003,SR,Oak,A,B,member,,", "contestant 3 stands twice; the first is in line 4"),
    ("4,XX,Oak,A,B,member,,", "division 'XX' is not defined in contest.toml"),
    ("4,sr,Oak,A,B,member,,", "division 'sr' is not defined in contest.toml"),
    ("4,,Oak,A,B,member,,", "division '' is not defined in contest.toml"),
    ("4,SR,,A,B,member,,", "a member needs a team"),
    ("4,SR,Oak,A,B,individual,,", "an individual has no team, and this row names 'Oak'"),
    ("4,SR,Oak,A,B,alternate,,", "role is 'alternate'; it must be member or individual"),
    ("4,SR,Oak,A,B,,,", "role is ''; it must be member or individual"),
    ("4,SR,Oak,A,B,Member,,", "role is 'Member'; it must be member or individual"),
    ("4,SR,Oak,A,B,member,,maybe", "present is 'maybe'; it must be yes, no or empty"),
    ("4,SR,Oak,A,B,member,,Yes", "present is 'Yes'; it must be yes, no or empty"),
    ("4,SR,Oak,A\x00,B,member,,", "first_name has a line break or another control character"),
    ("4,SR,Oak,A\x07,B,member,,", "first_name has a line break or another control character"),
    ('4,SR,Oak,"A\tB",B,member,,', "first_name has a line break or another control character"),
    ("4,SR,Oak,A,B\x1b[31m,member,,", "last_name has a line break or another control character"),
    (f"4,SR,{'x' * 201},A,B,member,,", "team has 201 characters; 200 is the most"),
    ("4,SR,Oak,A,B,member", "it has 6 cells and the header has 8"),
    ("4,SR,Oak,A,B,member,,,more", "it has 9 cells and the header has 8"),
    ("4", "it has 1 cells and the header has 8"),
]
CARD_ROWS = [
    ("2,1,3124,", "class 2 is a reasons-only class and takes no cards"),
    ("9,1,3124,", "class '9' is not defined in contest.toml"),
    (",1,3124,", "class '' is not defined in contest.toml"),
    ("1st,1,3124,", "class '1st' is not defined in contest.toml"),
    ("1,9,3124,", "contestant '9' is not in entries.csv"),
    ("1,,3124,", "contestant '' is not in entries.csv"),
    ("1,1,3124,", "the card of class 1 and contestant 1 stands twice; the first is in line 2"),
    ("1,01,3124,", "the card of class 1 and contestant 1 stands twice; the first is in line 2"),
    ("1,1,3125,", "placing: '3125' names '5'"),
    ("1,1,3312,", "placing: '3312' places animal 3 more than once"),
    ("1,1,312,", "placing: '312' has 3 characters"),
    ("1,1,31244,", "placing: '31244' has 5 characters"),
    ("1,1,0123,", "placing: '0123' names '0'"),
    ("1,1,3124.0,", "placing: '3124.0' has 6 characters"),
    ("1,1,3-1-2-4,", "placing: '3-1-2-4' has 7 characters"),
    ("1,1,Unreadable,", "placing: 'Unreadable' has 10 characters"),
    ("1,1,blank,", "placing: 'blank' has 5 characters"),
    ("1,1,3124,3125", "second: '3125' names '5'"),
    ("1,1,3124,312", "second: '312' has 3 characters"),
]
REASONS_ROWS = [
    ("1,1,A,44", "official A's score of contestant 1 on class 1 stands twice; the first is in line 2"),
    ("1,3,A,44", "division JR of contestant 3 gives no reasons on class 1"),
    ("9,1,A,44", "class '9' is not defined in contest.toml"),
    ("1,9,A,44", "contestant '9' is not in entries.csv"),
    ("1,1,,44", "the official is missing"),
    ("1,1,C,50.01", "score: 50.01 is more than 50, the most it can be"),
    ("1,1,C,51", "score: 51 is more than 50, the most it can be"),
    ("1,1,C,500", "score: 500 is more than 50, the most it can be"),
    ("1,1,C,-1", "score: '-1' is not a number of points"),
    ("1,1,C,44.125", "score: 44.125 has more than two decimals"),
    ("1,1,C,4.4e1", "score: '4.4e1' is not a number of points"),
    ("1,1,C,", "score: '' is not a number of points"),
    ("1,1,C,+44", "score: '+44' is not a number of points"),
    ("1,1,C,nan", "score: 'nan' is not a number of points"),
    ("1,1,C,.5", "score: '.5' is not a number of points"),
    ("1,1,C,4 4", "score: '4 4' is not a number of points"),
    ('1,1,C,"44,5"', "score: '44,5' is not a number of points"),
    ("1,1,C,٤٤", "score: '٤٤' is not a number of points"),
    ("1,1,C,=44", "score: '=44' is not a number of points"),
    ("1,1,C,1234567890123", "is not a number of points"),
]
MARK_ROWS = [
    ("XX,3,,,4", "part 'XX' is not defined in contest.toml"),
    (",3,,,4", "part '' is not defined in contest.toml"),
    ("QUEST,3,,,4", "the mark of contestant 3 for QUEST stands twice; the first is in line 2"),
    ("TEAM,,Oak,SR,4", "the mark of Oak for TEAM stands twice; the first is in line 3"),
    ("QUEST,9,,,4", "contestant '9' is not in entries.csv"),
    ("QUEST,,,,4", "contestant '' is not in entries.csv"),
    ("QUEST,1,,,4", "division SR of contestant 1 does not do part QUEST"),
    ("QUEST,,Elm,JR,4", "QUEST is an individual part"),
    ("QUEST,3,Elm,,4", "QUEST is an individual part"),
    ("TEAM,1,,,4", "TEAM is a team part"),
    ("TEAM,1,Oak,SR,4", "TEAM is a team part"),
    ("TEAM,,Ash,SR,4", "there is no team 'Ash' in division 'SR'"),
    ("TEAM,,Oak,JR,4", "there is no team 'Oak' in division 'JR'"),
    ("TEAM,,oak,SR,4", "there is no team 'oak' in division 'SR'"),
    ("TEAM,,,SR,4", "there is no team '' in division 'SR'"),
    ("TEAM,,Elm,JR,4", "division JR does not do part TEAM"),
    ("QUEST,3,,,50.5", "points: 50.5 is more than 50, the most it can be"),
    ("TEAM,,Oak,SR,100.01", "points: 100.01 is more than 100, the most it can be"),
    ("QUEST,3,,,-1", "points: '-1' is not a number of points"),
    ("QUEST,3,,,4.125", "points: 4.125 has more than two decimals"),
    ("QUEST,3,,,", "points: '' is not a number of points"),
]
ROWS = [
    (name, text, row, reason)
    for name, text, rows in (
        ("entries", ENTRIES, ENTRY_ROWS),
        ("cards", CARDS, CARD_ROWS),
        ("reasons", REASONS, REASONS_ROWS),
        ("marks", MARKS, MARK_ROWS),
    )
    for row, reason in rows
]


NAMES = [f"{name}-{ascii(row)[:40]}" for name, _, row, _ in ROWS]


@pytest.mark.parametrize(("name", "text", "row", "reason"), ROWS, ids=NAMES)
def test_a_mistake_in_a_row_is_found_with_its_line(tmp_path: Path, name, text, row, reason) -> None:
    found = problems_with(tmp_path, **{name: f"{text}{row}\n"})
    last = text.count("\n") + 1
    assert {one[:2] for one in found} == {(f"{name}.csv", last)}
    assert any(reason in one[2] for one in found), found


def test_ten_mistakes_in_five_files_are_found_in_one_go(tmp_path: Path) -> None:
    contest_lines = CONTEST.splitlines()
    contest = "\n".join(
        {'name = "Halter"': "name = 5", 'scope = "team"': 'scope = "both"'}.get(line, line) for line in contest_lines
    )
    found = problems_with(
        tmp_path,
        contest=contest,
        entries=ENTRIES + "4,SR,,Di,Ash,member,,\n\n5,SR,,Ed,Ash,individual,,perhaps\n",
        cards=CARDS.replace("unreadable", "3125") + "7,1,3124,\n",
        reasons=REASONS.replace("44.5", "54.5").replace("2,2,A,40", "2,2,,40"),
        marks=MARKS.replace("QUEST,3", "QUIZ,3").replace("Oak,SR,90", "Ash,SR,90"),
    )
    # With its scope unknown, TEAM is read as an individual part; its row of marks is wrong either way.
    assert sorted(one[:2] for one in found) == sorted(
        [
            ("contest.toml", contest_lines.index('name = "Halter"') + 1),
            ("contest.toml", contest_lines.index('scope = "team"') + 1),
            ("entries.csv", 5),
            ("entries.csv", 7),
            ("cards.csv", 3),
            ("cards.csv", 5),
            ("reasons.csv", 2),
            ("reasons.csv", 4),
            ("marks.csv", 2),
            ("marks.csv", 3),
        ]
    )


# One slip in one place, which must not be reported all over the book: whoever mends it would have nothing left to do.
ONE_SLIP = [
    ("entries", ENTRIES.replace("Vale", "N\xfa\xf1ez").encode("cp1252"), ("entries.csv", 3), "byte 0xFA is not UTF-8"),
    ("entries", ENTRIES.encode("utf-16"), ("entries.csv", 0), "saved as UTF-16"),
    ("entries", ENTRIES.replace("role", "rolle"), ("entries.csv", 1), "'rolle' is unknown"),
    ("entries", ENTRIES.replace(",Ann,", ',"Ann,'), ("entries.csv", 2), "check its quotation marks"),
]


@pytest.mark.parametrize(("name", "content", "place", "reason"), ONE_SLIP)
def test_a_file_that_cannot_be_read_is_not_blamed_on_the_others(tmp_path: Path, name, content, place, reason) -> None:
    found = problems_with(tmp_path, **{name: content})
    assert {one[0] for one in found} == {f"{name}.csv"}, found
    assert found[0][:2] == place
    assert any(reason in one[2] for one in found)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("entries", ENTRIES + "4,JR,Oak,A,B,member,,no\n"),  # the same team name in another division
        ("entries", ENTRIES + "999999999,SR,Oak,A,B,member,,\n"),
        ("cards", CARDS.replace("1,1,3124,3124", "1,1,3124,unreadable")),
        ("cards", CARDS.replace("1,1,3124,3124", "1,1,,3124")),
        ("reasons", REASONS + "1,1,C,50\n1,2,A,0\n"),
        ("reasons", REASONS + "1,1,C,50.00\n1,2,A,0.5\n"),
        ("reasons", REASONS + "1,1,a,50\n"),  # `a` is not `A`
        ("marks", MARKS.replace("41.25", "50")),
        ("marks", MARKS.replace("90", "0")),
    ],
)
def test_what_is_at_the_edge_of_the_rules_is_accepted(tmp_path: Path, name, text) -> None:
    assert read_with(tmp_path, **{name: text}).rules.name == "Fall Contest"


@pytest.mark.parametrize("name", ["entries", "cards", "reasons", "marks"])
@pytest.mark.parametrize("text", ["", "\n", " \n \n", ",,,\n", '""\n', ";;\n\n"])
def test_an_empty_csv_file_is_one_without_rows(tmp_path: Path, name, text) -> None:
    others = {"cards": "", "reasons": "", "marks": ""}
    record = read_with(tmp_path, **{**others, name: text})
    assert (record.cards, record.reasons, record.marks) == ((), (), ())
    assert len(record.contestants) == (0 if name == "entries" else 3)
