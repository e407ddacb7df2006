"""What is typed in one line is read generously, and what cannot be meant is said in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contest.slips.typed import TypedDecision, Unclear, by_elimination, parse_decision, parse_points
from contest.watch.typed import TypedKey, parse_key
from scoring.core.placing import PLACINGS

KEY = TypedKey("3124", (3, 5, 2))


@pytest.mark.parametrize(
    "text",
    [
        "3124 352", "3124352", "3-1-2-4 3 5 2", "3124 3 5 2", "3 1 2 4 3 5 2", "3124/3/5/2", "3,1,2,4 3,5,2",
        "  3124   352 ", "3124-3-5-2", "31 24 352", "3124 03 5 02", "3124: 3.5.2",
    ],
)  # fmt: skip
def test_a_key_may_be_written_in_many_ways(text):
    assert parse_key(text) == KEY


@pytest.mark.parametrize(
    ("text", "cuts"), [("3124 3 10 2", (3, 10, 2)), ("3124 10 10 10", (10, 10, 10)), ("3-1-2-4 12-0-3", (12, 0, 3))]
)
def test_a_cut_of_two_digits_stands_between_spaces(text, cuts):
    assert parse_key(text) == TypedKey("3124", cuts)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "type the official placing"),
        ("3124", "now the three cuts"),
        ("3124 35", "not 2"),
        ("3124 3 5", "not 2"),
        ("3124 3 5 2 1", "not 4"),
        ("3124 3102", "spaces between"),
        ("31243 5 2", "space between the placing"),
        ("3122 352", "more than once"),
        ("3125 352", "animals are 1, 2, 3 and 4"),
        ("312", "characters"),
        ("3124 3x2", "no part of a key"),
        ("3124 3 5 -2", "“-2” is no cut"),
        ("3124 -352", "“-352” is no cut"),
    ],
)
def test_a_key_that_is_none_is_refused_in_words(text, says):
    with pytest.raises(Unclear, match=says):
        parse_key(text)


@given(st.sampled_from(PLACINGS), st.tuples(*[st.integers(0, 99)] * 3), st.sampled_from([" ", "-", "/", ", "]))
def test_every_key_with_its_cuts_apart_is_read_as_it_is(official, cuts, between):
    assert parse_key(f"{official} {between.join(map(str, cuts))}") == TypedKey(official, cuts)


@given(st.text())
def test_nothing_that_is_typed_breaks_the_reading_of_a_key(text):
    try:
        assert parse_key(text).official in PLACINGS
    except Unclear as unclear:
        assert str(unclear)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("3124", TypedDecision("3124")),
        ("3 1 2 4", TypedDecision("3124")),
        ("312", TypedDecision("3124")),
        ("312_", TypedDecision("3124", "312_")),
        ("_124", TypedDecision("3124", "_124")),
        ("3?24", TypedDecision("3124", "3?24")),
        ("u", TypedDecision("unreadable")),
        ("N", TypedDecision("")),
        ("no card", TypedDecision("")),
        ("a", TypedDecision("4321")),
        ("B", TypedDecision("")),
    ],
)
def test_what_counts_is_a_placing_a_letter_or_a_card_with_one_gap(text, expected):
    assert parse_decision(text, ["4321", ""]) == expected


@pytest.mark.parametrize("text", ["", "c", "31__", "3_1_", "311_", "3125", "31", "12345", "hello"])
def test_what_says_nothing_is_refused_in_words(text):
    with pytest.raises(Unclear, match=r"\w"):
        parse_decision(text, ["4321", ""])


@given(st.sampled_from(PLACINGS), st.integers(0, 3))
def test_the_animal_that_is_left_fills_any_gap(placing, place):
    assert by_elimination(placing[:place] + "_" + placing[place + 1 :]) == placing


@pytest.mark.parametrize(("text", "hundredths"), [("43", 4300), ("43.5", 4350), ("43,25", 4325), ("0", 0), ("b", 4100)])
def test_points_have_up_to_two_decimals(text, hundredths):
    assert parse_points(text, [4000, 4100]) == hundredths


@pytest.mark.parametrize("text", ["", "43.555", "-1", "c", "4x", "²"])
def test_points_that_are_none_are_refused(text):
    with pytest.raises(Unclear, match=r"\w"):
        parse_points(text, [4000, 4100])


@pytest.mark.parametrize(
    ("text", "animals", "key"),
    [
        ("AYXB 3 5 2", "ABXY", TypedKey("AYXB", (3, 5, 2))),
        ("ayxb352", "ABXY", TypedKey("AYXB", (3, 5, 2))),
        ("a-y-x-b 3 10 2", "ABXY", TypedKey("AYXB", (3, 10, 2))),
        ("ayxb3 10 2", "ABXY", TypedKey("AYXB", (3, 10, 2))),
        ("312 35", "123", TypedKey("312", (3, 5))),
        ("31235", "123", TypedKey("312", (3, 5))),
        ("CAZYXB 2 3 1 4 2", "ABCXYZ", TypedKey("CAZYXB", (2, 3, 1, 4, 2))),
        ("87654321 1234567", "12345678", TypedKey("87654321", (1, 2, 3, 4, 5, 6, 7))),
        ("b1a2 3-5-2", "1A2B", TypedKey("B1A2", (3, 5, 2))),
    ],
)
def test_a_key_of_other_animals_has_one_cut_fewer_than_they_are(text, animals, key):
    assert parse_key(text, animals) == key


@pytest.mark.parametrize(
    ("text", "animals", "says"),
    [
        ("", "ABXY", "such as ABXY 352"),
        ("AYXC 3 5 2", "ABXY", "“C” is no part of a key"),
        ("AYXB", "ABCXYZ", "write each of A, B, C, X, Y, Z once"),
        ("CAZYXB", "ABCXYZ", "now the 5 cuts"),
        ("CAZYXB 2 3 1", "ABCXYZ", "5 cuts, not 3"),
        ("AYXB 3 5 B", "ABXY", "“B” is no cut"),
        ("AYXB 3 -5 2", "ABXY", "“-5” is no cut"),
        ("1234567812 3 4", "12345678", "space between"),
    ],
)
def test_a_key_of_other_animals_that_is_none_is_refused_in_words(text, animals, says):
    with pytest.raises(Unclear, match=says):
        parse_key(text, animals)


@pytest.mark.parametrize(
    ("text", "animals", "expected"),
    [
        ("ayxb", "ABXY", TypedDecision("AYXB")),
        ("ayx", "ABXY", TypedDecision("AYXB")),
        ("ay_b", "ABXY", TypedDecision("AYXB", "ay_b")),
        ("cazyx", "ABCXYZ", TypedDecision("CAZYXB")),
        ("31", "123", TypedDecision("312")),
        ("3x2", "123", TypedDecision("312", "3x2")),
        ("a", "ABXY", TypedDecision("BYXA")),  # one letter is a reading
        ("n", "NOX", TypedDecision("")),
    ],
)
def test_what_counts_of_other_animals_is_typed_in_either_case(text, animals, expected):
    assert parse_decision(text, ["BYXA", ""], animals) == expected


@pytest.mark.parametrize(
    ("text", "animals"), [("no", "NOX"), ("ax_b", "ABCXYZ"), ("axyy", "ABXY"), ("1234", "ABXY"), ("ayxc", "ABXY")]
)
def test_what_could_be_two_things_or_none_is_refused(text, animals):
    with pytest.raises(Unclear, match=r"\w"):
        parse_decision(text, ["BYXA", ""], animals)
