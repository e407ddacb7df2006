"""Columns guessed, names split, divisions recognised."""

import pytest

from contest.entries.matching import Guess, columns_of, division_of, guess, split_name


@pytest.mark.parametrize(
    ("headings", "below", "columns"),
    [
        (["No.", "First Name", "Surname", "Club"], [], ["number", "first_name", "last_name", "team"]),
        (["#", "Given name", "Family name", "Age group"], [], ["number", "first_name", "last_name", "division"]),
        (["Exhibitor #", "Name", "School Name"], [["1", "a", "b"]], ["number", "name", "team"]),
        (["Exhibitor", "County", "Level"], [["Ann Lee", "Ash", "Sr"]], ["name", "team", "division"]),
        (["Exhibitor", "County", "Level"], [["12.0", "Ash", "Sr"]], ["number", "team", "division"]),
        (["Name", "Surname", "Team"], [], ["first_name", "last_name", "team"]),
        (["Name", "First name", "Last name"], [], ["", "first_name", "last_name"]),
        (["Team name", "Contestant name", "Grp", "T-shirt"], [], ["team", "name", "group", ""]),
        (
            ["number", "division", "team", "first_name", "last_name", "role", "group", "show_name", "present"],
            [],
            ["number", "division", "team", "first_name", "last_name", "role", "group", "show_name", "present"],
        ),
        (["Número", "Prénom"], [], ["", ""]),
    ],
)
def test_columns_are_guessed_from_their_headings(headings, below, columns):
    assert columns_of(headings, below) == tuple(columns)


def test_headings_are_found_below_a_title():
    lines = [["Entries 2026", "", ""], ["No", "Name", "Club"], ["1", "Ann Lee", "Hill Club"]]
    assert guess(lines) == Guess(1, ("number", "name", "team"))


def test_a_table_without_headings_has_none():
    lines = [["1", "Ann Lee", "Hill Club", "member"], ["2", "Bo Ray", "Hill Club", "individual"]]
    assert guess(lines) == Guess(None, ("", "", "", ""))


def test_a_list_of_names_alone_has_its_heading():
    assert guess([["Name"], ["Ann Lee"]]) == Guess(0, ("name",))


@pytest.mark.parametrize(
    ("name", "first", "last"),
    [
        ("Tolworthy, Maisie", "Maisie", "Tolworthy"),
        ("Maisie Tolworthy", "Maisie", "Tolworthy"),
        ("Ana María de la Vega", "Ana María", "de la Vega"),
        ("Van Morrow", "Van", "Morrow"),
        ("Mary Ann Lee", "Mary Ann", "Lee"),
        ("Zoë", "Zoë", ""),
        ("", "", ""),
    ],
)
def test_names_are_split(name, first, last):
    assert split_name(name) == (first, last)


DIVISIONS = [("SR", "Senior"), ("JR", "Junior"), ("INT", "Intermediate 4-H")]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("SR", "SR"),
        ("sr.", "SR"),
        ("Seniors", "SR"),
        ("Senior Division", "SR"),
        ("4-H Junior", "JR"),
        ("Intermediate", "INT"),
        ("Novice", ""),
        ("", ""),
        ("Senior Junior", ""),
        ("Division", ""),
    ],
)
def test_divisions_are_recognised(text, code):
    assert division_of(text, DIVISIONS) == code
