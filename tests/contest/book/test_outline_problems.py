"""Every mistake in contest.toml, each found with its line and the reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.contest.book.books import CONTEST, lay_out, line_of, problems_of, problems_with, read_with

# What is replaced in the sound contest.toml, by what, the text on the line that is named, and what is said.
# The line is that of the wrong key; where a key is missing, that of its table's header.
CHANGES = [
    # the contest
    ('name = "Fall Contest"', "", "[contest]", "name is missing from [contest]"),
    ('"Fall Contest"', '""', 'name = ""', "name is empty"),
    ('"Fall Contest"', '"  "', 'name = "  "', "name is empty"),
    ('"Fall Contest"', "5", "name = 5", "name is 5; it must be text in quotes"),
    ('"Fall Contest"', '"a\\u0000b"', "name = ", "control character"),
    ('"Fall Contest"', '"a\\nb"', "name = ", "line break"),
    ('"Fall Contest"', '"' + "x" * 201 + '"', "name = ", "name has 201 characters; 200 is the most"),
    ("held_on = 2026-10-17", 'held_on = "2026-10-17"', "held_on", "it must be a date without quotes"),
    ("held_on = 2026-10-17", "held_on = 2026-10-17T09:00:00", "held_on", "it must be a date"),
    ("held_on = 2026-10-17", "place = 5", "place", "place is 5; it must be text in quotes"),
    ("held_on = 2026-10-17", "readings_per_card = 3", "readings", "is 3; it must lie between 1 and 2"),
    ("held_on = 2026-10-17", "readings_per_card = 0", "readings", "is 0; it must lie between 1 and 2"),
    ("held_on = 2026-10-17", "readings_per_card = true", "readings", "is True; it must be a whole number"),
    ("held_on = 2026-10-17", "readings_per_card = 2.0", "readings", "is 2.0; it must be a whole number"),
    ("held_on = 2026-10-17", 'show_people_as = "names"', "show_people", 'it must be "number" or "initials" or "name"'),
    ("held_on = 2026-10-17", 'negative_scores = "drop"', "negative", 'it must be "keep" or "zero"'),
    ("held_on = 2026-10-17", "negative_scores = 0", "negative", 'it must be "keep" or "zero"'),
    ("held_on = 2026-10-17", 'unreadable_card = "keep"', "unreadable", 'it must be "zero" or "lowest"'),
    ("held_on = 2026-10-17", 'reasons_in_category = "yes"', "reasons_in", "it must be true or false"),
    ("held_on = 2026-10-17", "reasons_in_category = 1", "reasons_in", "it must be true or false"),
    ("held_on = 2026-10-17", "held = 2026-10-17", "held = ", "'held' is not a setting of [contest]"),
    # the whole file
    ("format = 1", "format = 2", "format = 2", "format is 2"),
    ("format = 1", 'format = "1"', 'format = "1"', "format is '1'; it must be a whole number"),
    ("format = 1", "format = 1\nyear = 2026", "year", "'year' is not a part of contest.toml"),
    ("[ties]", "[tie]", "[tie]", "'tie' is not a part of contest.toml"),
    ("[ties]", "[[ties]]", "[[ties]]", "[ties] stands once, in single brackets"),
    ("[[category]]", "[category]", "[category]", "write [[category]], in double brackets"),
    # divisions
    ('code = "SR"', "", "[[division]]@1", "code is missing from [division]"),
    ('code = "SR"', 'code = "S R"', 'code = "S R"', "'S R' is not a code"),
    ('code = "SR"', 'code = ""', 'code = ""', "code is empty"),
    ('code = "JR"', 'code = "' + "J" * 21 + '"', 'code = "JJ', "is not a code: up to 20 letters"),
    ('code = "JR"', 'code = "SR"', 'code = "SR"@2', "division SR is defined twice"),
    ('name = "Senior"', "", "[[division]]@1", "name is missing from [division]"),
    ("team_counting = 3", "", "[[division]]@1", "team_counting is missing from [division]"),
    ("team_counting = 3", "team_counting = -1", "team_counting = -1", "is -1; it must lie between 0"),
    ("team_counting = 3", 'team_counting = "3"', 'team_counting = "3"', "it must be a whole number"),
    ("team_counting = 0", 'team_counting = 0\nshort_team = "drop"', "short_team", 'it must be "zero" or "unranked"'),
    ("team_counting = 0", 'team_counting = 0\ncounting_members = "all"', "counting_members", '"fixed" or "each"'),
    ("team_counting = 0", "team_counting = 0\nteam_count = 3", "team_count = 3", "not a setting of [division]"),
    # categories
    ('code = "HAL"', 'code = "overall"', 'code = "overall"', "'overall' is already the name of a list"),
    ('code = "HAL"', 'code = "placing"', 'code = "placing"', "'placing' is already the name of a list"),
    ('code = "HAL"', 'code = "reasons"', 'code = "reasons"', "'reasons' is already the name of a list"),
    ('code = "HAL"', 'code = "Reasons"', 'code = "Reasons"', "'Reasons' is already the name of a list"),
    ('name = "Halter"', 'name = "H"\n[[category]]\ncode = "HAL"\nname = "I"', 'code = "HAL"@2', "HAL is defined twice"),
    ('name = "Halter"', "", "[[category]]", "name is missing from [category]"),
    ('name = "Halter"', 'name = "Halter"\ncolour = "red"', "colour", "'colour' is not a setting of [category]"),
    # classes
    ("number = 1", "", "[[class]]@1", "number is missing from [class]"),
    ("number = 1", "number = 0", "number = 0", "number is 0; it must lie between 1"),
    ("number = 1", 'number = "1"', 'number = "1"', "number is '1'; it must be a whole number"),
    ("number = 2", "number = 1", "number = 1@2", "class 1 is defined twice"),
    ('name = "Aged geldings"', "", "[[class]]@1", "name is missing from [class]"),
    ('category = "HAL"', 'category = "HALT"', 'category = "HALT"', "category 'HALT' is not defined"),
    ('category = "HAL"', "category = 1", "category = 1", "category is 1; it must be text in quotes"),
    ('divisions = ["SR", "JR"]', "", "[[class]]@1", "divisions is missing from [class]"),
    ('divisions = ["SR", "JR"]', 'divisions = "SR"', 'divisions = "SR"', "it must be a list of texts"),
    ('divisions = ["SR", "JR"]', "divisions = [1]", "divisions = [1]", "it must be a list of texts"),
    ('divisions = ["SR", "JR"]', 'divisions = ["SR", "IN", "JR"]', '"IN"', "division 'IN' in divisions is not defined"),
    ('["SR", "JR"]', '["SR", "JR", "SR"]', '"JR", "SR"', "division 'SR' stands twice in divisions"),
    ('reasons = ["SR"]\nofficial', 'reasons = ["XX"]\nofficial', '"XX"', "division 'XX' in reasons is not defined"),
    ('places = false\nreasons = ["SR"]', 'reasons = ["JR"]', 'reasons = ["JR"]', "JR gives reasons on this class but"),
    ('places = false\nreasons = ["SR"]', 'void_divisions = ["JR"]', "void_div", "void for division JR, which does not"),
    ("places = false", 'places = "no"', "places", "it must be true or false"),
    ("places = false", "places = false\nvoid = 0", "void", "void is 0; it must be true or false"),
    ("places = false", "places = false\nperfect = 0", "perfect", "perfect is 0; it must lie between 1"),
    (
        "places = false",
        "places = false\nperfect = 10001",
        "perfect",
        "perfect is 10001; it must lie",
    ),
    ("places = false", "places = false\nperfect = 50.5", "perfect", "it must be a whole number"),
    ("places = false", "places = false\nplaced = true", "placed", "'placed' is not a setting of [class]"),
    # official placings and cuts
    (
        'official = "3124"',
        "official = 3124",
        "official",
        'write the placing in quotes, such as "3124"',
    ),
    ('official = "3124"', 'official = "3125"', "official", "official placing: '3125' names '5'"),
    ('official = "3124"', 'official = "3312"', "official", "'3312' places animal 3 more than once"),
    ('official = "3124"', 'official = "312"', "official", "'312' has 3 characters"),
    ('official = "3124"', 'official = ""', "official", "'' has 0 characters"),
    ("cuts = [3, 5, 2]", "", "official", "the cuts are missing"),
    ('official = "3124"', "", "cuts", "the official placing is missing"),
    ("cuts = [3, 5, 2]", "cuts = [3, 5]", "cuts", "there are three cuts (top, middle, bottom), not 2"),
    ("cuts = [3, 5, 2]", "cuts = [3, 5, 2, 1]", "cuts", "there are three cuts (top, middle, bottom), not 4"),
    ("cuts = [3, 5, 2]", "cuts = []", "cuts", "there are three cuts (top, middle, bottom), not 0"),
    ("cuts = [3, 5, 2]", "cuts = [3, -5, 2]", "cuts", "the middle cut is -5"),
    ("cuts = [3, 5, 2]", "cuts = [3, 5, 2.5]", "cuts", "the bottom cut is 2.5; a cut is a whole number"),
    ("cuts = [3, 5, 2]", "cuts = [true, 5, 2]", "cuts", "the top cut is True; a cut is a whole number"),
    ("cuts = [3, 5, 2]", 'cuts = ["3", 5, 2]', "cuts", "the top cut is '3'; a cut is a whole number"),
    ("cuts = [3, 5, 2]", 'cuts = "3-5-2"', "cuts", "cuts is '3-5-2'; write three whole numbers"),
    ("cuts = [3, 5, 2]", "cuts = [3, 5, 10001]", "cuts", "a cut of 10001 cannot be meant"),
    # parts
    ('code = "QUEST"', "", "[[part]]@1", "code is missing from [part]"),
    ('code = "TEAM"', 'code = "QUEST"', 'code = "QUEST"@2', "part QUEST is defined twice"),
    ('name = "Questions"', "", "[[part]]@1", "name is missing from [part]"),
    ('divisions = ["JR"]', 'divisions = ["XX"]', '"XX"', "division 'XX' in divisions is not defined"),
    ("most = 50", "", "[[part]]@1", "most is missing from [part]"),
    ("most = 50", "most = 0", "most = 0", "most is 0; it must lie between 1"),
    ("most = 50", "most = 50.5", "most = 50.5", "it must be a whole number"),
    ("most = 50", 'most = 50\ncategory = "X"', 'category = "X"', "category 'X' is not defined"),
    ("most = 50", "most = 50\nleast = 1", "least", "'least' is not a setting of [part]"),
    ('scope = "team"', "", "[[part]]@2", 'scope is missing from [part]; it is "individual" or "team"'),
    ('scope = "team"', 'scope = "both"', 'scope = "both"', 'it must be "individual" or "team"'),
    # tie orders
    ('"class:1"', '"class:9"', "individual =", "'class:9' is not a tie step here: class '9' is not defined"),
    ('"class:1"', '"class:01"', "individual =", "'class:01' is not a tie step here"),
    ('"class:1"', '"category:X"', "individual =", "category 'X' is not defined"),
    ('"part:QUEST"', '"part:X"', "individual =", "part 'X' is not defined"),
    ('"class:1"', '"left-out"', "individual =", "left-out separates teams only"),
    ('"class:1"', '"coin"', "individual =", "'coin' is not a tie step here; the steps are"),
    ('"class:1"', '"Reasons"', "individual =", "'Reasons' is not a tie step here"),
    ('"class:1"', "1", "individual =", "it must be a list of texts"),
    ('"left-out"', '"overall"', "team =", "'overall' is not a tie step here"),
    ('individual = ["reasons", "class:1", "part:QUEST"]', 'individual = "reasons"', "individual =", "a list of texts"),
    ("[ties]", '[ties]\ncoin = ["reasons"]', "coin", "'coin' is not a setting of [ties]"),
]


def changed_contest(old: str, new: str) -> str:
    assert CONTEST.count(old) >= 1, old
    return CONTEST.replace(old, new, 1)


def line_with(text: str, mark: str) -> int:
    """The line that holds a text; `@2` behind it means its second occurrence."""
    part, _, nth = mark.partition("@")
    lines = [number for number, line in enumerate(text.splitlines(), start=1) if part in line]
    return lines[int(nth or 1) - 1]


NAMES = [new[:40] or f"no {old[:30]}" for old, new, _, _ in CHANGES]


@pytest.mark.parametrize(("old", "new", "mark", "reason"), CHANGES, ids=NAMES)
def test_a_mistake_in_contest_toml_is_found_with_its_line(tmp_path: Path, old, new, mark, reason) -> None:
    contest = changed_contest(old, new)
    found = problems_with(tmp_path, contest=contest)
    assert ("contest.toml", line_with(contest, mark)) in [
        (file, line) for file, line, text in found if reason in text
    ], found


# Broken TOML, the line that is named, and what is said.
BROKEN = [
    ("format = 1\n[contest\n", 2, "not valid TOML"),
    ("format = 1\n\n[contest]\nname = Fall\n", 4, "not valid TOML"),
    ('format = 1\n[contest]\nname = "Fall\n', 3, "not valid TOML"),
    ("format = 1\n[contest]\nname = 'a'\nname = 'b'\n", 4, "not valid TOML"),
    ("format = 1\n[contest]\nname = 'a'\n[contest]\n", 4, "not valid TOML"),
    ("format = 1\nofficial = 03124\n", 2, "not valid TOML"),
    ("format = 1\nheld_on = 2026-02-30\n", 2, "not valid TOML"),
    ("format = 1\n\n\ncuts = [3, 5, 2\n", 5, "not valid TOML"),
    ("number,division\n1,SR\n", 1, "not valid TOML"),
    ("format = 1\n[contest]\nname = 'a\x00b'\n", 3, "not valid TOML"),
    ("format = 1\r\n[contest]\r\nname = Fall\r\n", 3, "not valid TOML"),
    ("format = 1 # caf\xe9\n".encode("cp1252"), 1, "byte 0xE9 is not UTF-8"),
    ("format = 1\n[contest]\nname = 'Caf\xe9'\n".encode("cp1252"), 3, "byte 0xE9 is not UTF-8"),
    ("format = 1\n".encode("utf-16"), 0, "saved as UTF-16"),
]


@pytest.mark.parametrize(("text", "line", "reason"), BROKEN)
def test_broken_toml_is_refused_with_its_line(tmp_path: Path, text: str | bytes, line: int, reason: str) -> None:
    (only,) = problems_of(lay_out(tmp_path, {"contest.toml": text}))
    assert only[:2] == ("contest.toml", line)
    assert reason in only[2]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("format = " + "9" * 5000, id="a whole number of 5000 digits"),
        pytest.param("format = 0x" + "f" * 5000, id="a hexadecimal number of 5000 digits"),
        pytest.param(CONTEST.replace("[3, 5, 2]", "[3, 5, 0x" + "f" * 5000 + "]"), id="such a cut"),
        pytest.param(CONTEST.replace('"3124"', "0x" + "f" * 5000), id="such an official placing"),
        pytest.param("format = 1\nx = " + "[" * 5000 + "]" * 5000, id="5000 lists in each other"),
        pytest.param("format = 1\nx = " + "{a=" * 3000 + "1" + "}" * 3000, id="3000 tables in each other"),
        pytest.param("format = 1\n" + ".".join("a" * 3000) + " = 1", id="a key of 3000 dots"),
    ],
)
def test_toml_made_to_choke_a_parser_is_a_problem_like_any_other(tmp_path: Path, text: str) -> None:
    assert problems_of(lay_out(tmp_path, {"contest.toml": text}))[0][0] == "contest.toml"


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "format is missing"),
        ("", "[contest] is missing"),
        ('[contest]\nname = "A"\n', "format is missing"),
        ("format = 1\n", "[contest] is missing"),
    ],
)
def test_what_every_contest_toml_must_hold_is_asked_for(tmp_path: Path, text: str, reason: str) -> None:
    assert any(reason in found[2] for found in problems_of(lay_out(tmp_path, {"contest.toml": text})))


@pytest.mark.parametrize("name", ["division", "category", "class", "part", "contest", "ties"])
def test_a_value_where_a_table_belongs_is_found_in_its_line(tmp_path: Path, name: str) -> None:
    text = f"format = 1\n{name} = 3\n" + ("" if name == "contest" else '[contest]\nname = "A"\n')
    found = problems_of(lay_out(tmp_path, {"contest.toml": text}))
    assert ("contest.toml", 2) in [one[:2] for one in found], found


def test_a_key_in_quotes_and_a_table_header_with_spaces_still_have_lines(tmp_path: Path) -> None:
    contest = CONTEST.replace("[contest]", " [ contest ] # what and where").replace("held_on", '"held"')
    assert problems_with(tmp_path, contest=contest)[0][:2] == ("contest.toml", line_of(contest, '"held"'))


def test_the_sound_contest_is_sound(tmp_path: Path) -> None:
    assert read_with(tmp_path).rules.name == "Fall Contest"
