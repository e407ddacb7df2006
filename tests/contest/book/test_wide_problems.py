"""Other animals, keep/cull and committees: what is wrong with them in a book, in words."""

import pytest

from contest.book import BookProblems, read_book
from tests.contest.book.books import lay_out

OUTLINE = """format = 1
[contest]
name = "A contest"
[[division]]
code = "SR"
name = "Senior"
team_counting = 3
reasons_least = 30
[[class]]
number = 1
name = "Hens"
divisions = ["SR"]
animals = "ABXY"
official = "YBAX"
cuts = [2, 2, 3]
[[part]]
code = "KEEP"
name = "Ewes"
divisions = ["SR"]
scope = "individual"
animals = "12345"
keep = 2
values = [5, 4, 3, 2, 1]
"""
ENTRIES = "number,division,role\n7,SR,individual\n"


def reasons(tmp_path, changed=("", ""), **files):
    book = {"contest.toml": OUTLINE.replace(*changed), "entries.csv": ENTRIES}
    book |= {f"{name}.csv": text for name, text in files.items()}
    try:
        read_book(lay_out(tmp_path / "book", book))
    except BookProblems as problems:
        return [problem.reason for problem in problems.problems]
    return []


def test_a_sound_one_has_none(tmp_path):
    files = {
        "cards": "class,number,placing\n1,7,AYXB\n",
        "choices": "part,number,kept,second,by,second_by,decided\nKEEP,7,51,unreadable,Ann,Ben,the slip says so\n",
        "panel": "class,official,placing,cuts\n1,A,YBAX,2 2 3\n1,B,BYAX,1 2 3\n",
    }
    assert reasons(tmp_path, **files) == []


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        (('"ABXY"', '"ABX"'), "official placing: 'YBAX' is no placing here; write each of A, B, X once, best first"),
        (('"ABXY"', '"AABX"'), "animals: 'AABX' has a label twice"),
        (("[2, 2, 3]", "[2, 2]"), "there are three cuts (top, middle, bottom), not 2"),
        (("reasons_least = 30", "reasons_least = 51"), "reasons_least is 51; it must lie between 0 and 50"),
        (("keep = 2", "keep = 5"), "keep is 5; it must lie between 1 and 4"),
        (("keep = 2", "keep = 2\nmost = 9"), "a keep/cull part has no most: its values say what it gives"),
        (("2, 1]", "2]"), "values is [5, 4, 3, 2]; write a whole number for each of the 5 animals, in their order"),
        (("2, 1]", "2, -1]"), "values has -1; a value is a whole number from 0 to 10000"),
        (('"12345"', '"123"'), "animals is '123'; a keep/cull part has 4 to 12"),
    ],
)
def test_an_outline_is_told_what_is_wrong(tmp_path, changed, reason):
    assert reason in reasons(tmp_path, changed)


@pytest.mark.parametrize(
    ("file", "text", "reason"),
    [
        ("cards", "class,number,placing\n1,7,1234\n", "placing: '1234' is no placing here; write each of A, B, X, Y"),
        ("choices", "part,number,kept\nKEEP,7,16\n", "kept is '16'; write each of 1, 2, 3, 4, 5 that was kept once"),
        ("choices", "part,number,kept\nKEEP,7,11\n", "kept is '11'; write each of 1, 2, 3, 4, 5 that was kept once"),
        ("choices", "part,number,kept\nQUEST,7,12\n", "part 'QUEST' is no keep/cull part of contest.toml"),
        ("choices", "part,number,kept\nKEEP,7,12\nKEEP,7,12\n", "what contestant 7 kept in KEEP stands twice"),
        ("choices", "part,number,kept\nKEEP,8,12\n", "contestant '8' is not in entries.csv"),
        ("marks", "part,number,points\nKEEP,7,5\n", "KEEP is keep/cull; what was kept stands in choices.csv"),
        ("panel", "class,official,placing,cuts\n1,,YBAX,2 2 3\n", "the official is missing; give a name or a letter"),
        ("panel", "class,official,placing,cuts\n1,A,YBA,2 2 3\n", "placing: 'YBA' is no placing here"),
        ("panel", "class,official,placing,cuts\n1,A,YBAX,2 two 3\n", "cuts: the middle cut is None; a cut is a whole"),
        (
            "panel",
            "class,official,placing,cuts\n1,A,YBAX,2 2 3\n1,A,YBAX,2 2 3\n",
            "official A of class 1 stands twice",
        ),
    ],
)
def test_a_row_is_told_what_is_wrong(tmp_path, file, text, reason):
    assert any(told.startswith(reason) for told in reasons(tmp_path, **{file: text}))
