"""What marks say, by how much ink of which kind each box has."""

import pytest

from contest.scanning.reader.deciding import number_of, placing_of
from contest.scanning.reader.found import Trouble
from contest.scanning.reader.measuring import Ink

BARE = Ink(ink=0.0, dark=0.01, deep=0.005, line=0.004, patch=0.0, shade=0.0)
CROSS = Ink(ink=1.8, dark=0.5, deep=0.5, line=0.45, patch=0.0, shade=0.01)
PALE = Ink(ink=0.15, dark=0.13, deep=0.13, line=0.11, patch=0.0, shade=0.0)
ERASED = Ink(ink=0.1, dark=0.05, deep=0.05, line=0.035, patch=0.0, shade=0.0)
STAIN = Ink(ink=1.5, dark=0.2, deep=0.2, line=0.03, patch=0.02, shade=0.05)
FILL = Ink(ink=9.0, dark=0.9, deep=0.9, line=0.2, patch=0.8, shade=0.6)


def inks(said, mark=CROSS, **others):
    """The ink of a card of animals 1 to 4; `others` by place and animal, as p1a3."""
    made = [[mark if animal == says else BARE for animal in "1234"] for says in said]
    for at, ink in others.items():
        made[int(at[1]) - 1][int(at[3]) - 1] = ink
    return made


@pytest.mark.parametrize(
    "card",
    [
        inks("3124"),
        inks("3124", PALE),
        inks("3124", FILL),
        inks("3124", p1a1=ERASED, p2a3=ERASED),
        inks("3124", p1a1=STAIN, p2a3=STAIN, p3a3=STAIN),
    ],
    ids=["clear", "all pale", "filled", "erased", "stained"],
)
def test_one_mark_for_each_place_and_animal_is_certain(card):
    decided = placing_of(card, "1234")
    assert (decided.text, decided.troubles) == ("3124", ())
    assert decided.confidence >= 0.5


@pytest.mark.parametrize(
    ("card", "trouble"),
    [
        (inks("3124", p1a1=CROSS), Trouble.TWO_MARKS),
        (inks("3124", p1a1=FILL), Trouble.CROSSED_OUT),
        (inks("3124", p1a1=PALE), Trouble.FAINT),
        (inks("3124", p1a3=BARE), Trouble.BLANK_POSITION),
        (inks("3124", p1a3=PALE), Trouble.BLANK_POSITION),
        (inks("3124", p1a3=ERASED), Trouble.BLANK_POSITION),
        (inks("3123"), Trouble.IMPOSSIBLE),
        (inks("3124", PALE, p1a1=ERASED), Trouble.FAINT),
        (inks("3124", p1a1=STAIN._replace(patch=0.15)), Trouble.FAINT),
        (inks("3124", p1a1=STAIN._replace(shade=0.2)), Trouble.FAINT),
        (inks("    "), Trouble.BLANK),
    ],
)
def test_anything_else_is_a_persons(card, trouble):
    decided = placing_of(card, "1234")
    assert decided.text == ""
    assert trouble in decided.troubles
    assert decided.confidence < 0.5


def test_on_a_copy_that_washes_out_what_is_pale_the_trace_of_a_mark_is_enough():
    trace = BARE._replace(line=0.02, white=True)
    assert placing_of(inks("3124", p1a1=trace), "1234").text == "3124"
    assert placing_of(inks("3124", p1a1=trace), "1234", washed_out=True).troubles == (Trouble.FAINT,)
    grey = trace._replace(white=False)  # what lies in a smudge is not washed out
    assert placing_of(inks("3124", p1a1=grey), "1234", washed_out=True).text == "3124"
    grain = [[ink._replace(line=max(ink.line, 0.015), white=True) for ink in place] for place in inks("3124")]
    assert placing_of(grain, "1234", washed_out=True).text == "3124"


LEFT = Ink(ink=0.0, dark=0.05, deep=0.03, line=0.03, patch=0.0, shade=0.0, white=True)
WHITE = Ink(ink=0.0, dark=0.08, deep=0.05, line=0.0, patch=0.0, shade=0.0, white=True)


def washed(said, **others):
    """A copy that has left next to nothing of a pale pencil, and of other boxes nothing but what reaches in."""
    made = [[WHITE if ink is BARE else ink for ink in place] for place in inks(said, LEFT)]
    for at, ink in others.items():
        made[int(at[1]) - 1][int(at[3]) - 1] = ink
    return made


def test_what_a_copier_has_left_of_a_pale_pencil_is_read_where_nothing_else_is_left():
    assert placing_of(washed("3124"), "1234", washed_out=True).text == "3124"


@pytest.mark.parametrize(
    "card",
    [
        washed("3124", p1a1=LEFT),
        washed("3124", p1a1=LEFT._replace(line=0.005)),
        washed("3124", p1a3=WHITE),
        washed("3124", p1a3=LEFT._replace(line=0.012)),
        washed("3123"),
    ],
)
def test_if_anything_else_is_left_or_one_is_missing_it_is_a_persons(card):
    assert placing_of(card, "1234", washed_out=True).text == ""


def test_a_pale_fill_has_no_ink_beyond_its_shade_and_is_a_mark_where_all_are_alike_and_other_boxes_bare():
    pale = Ink(ink=0.02, dark=0.19, deep=0.19, line=0.03, patch=0.08, shade=0.1)
    assert placing_of(inks("3124", pale), "1234").text == "3124"
    assert placing_of(inks("3124", pale, p1a1=BARE._replace(dark=0.06)), "1234").text == ""
    assert placing_of(inks("3124", pale, p1a3=BARE), "1234").text == ""


def digits(*marks, mark=CROSS, **others):
    made = [[mark if digit == says else BARE for digit in range(10)] for says in marks]
    for at, ink in others.items():
        made[int(at[1]) - 1][int(at[3])] = ink
    return made


def test_a_number_may_leave_its_first_positions_bare():
    assert number_of(digits(None, None, 4, 0)).text == "40"
    assert number_of(digits(None, None, 4, 0, mark=PALE)).text == "40"
    faint = PALE._replace(ink=0.05)
    assert number_of(digits(None, None, 4, 0, mark=faint)).text == "40"
    assert number_of(digits(None, 3, 4, 0, p1d3=faint, mark=faint)).text == "3340"


@pytest.mark.parametrize(
    "of",
    [
        digits(None, None, None, None),
        digits(1, None, 4, 2),
        digits(None, None, None, 0),
        digits(None, None, 4, 2, p3d7=CROSS),
        digits(None, None, 4, 2, p2d7=PALE),
        digits(None, None, 4, 2, p2d7=ERASED._replace(line=0.06), mark=PALE),
        digits(None, None, 4, 2, p1d1=ERASED._replace(line=0.06)),
    ],
)
def test_a_number_in_doubt_is_none(of):
    assert number_of(of)[::2] == ("", (Trouble.NUMBER_UNSURE,))
