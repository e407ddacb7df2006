"""Whose a card is: what a code says, and which codes are refused."""

import pytest

from contest.scanning.reader import Identity, Refused, Trouble, can_be_written, identify, written
from contest.scanning.reader.codes import bars_of, rows_of
from contest.scanning.reader.identity import place_of

SECRET, OTHER = b"a" * 32, b"b" * 32
CARD = Identity(contest=12, year=2026, judged=7, number=104)


@pytest.mark.parametrize("place", [0, 1])
@pytest.mark.parametrize(
    "identity",
    [
        CARD,
        CARD._replace(number=None),
        CARD._replace(year=0),
        Identity(65535, 2255, 65535, 999_999_999),
        Identity(1, 2026, 0, 40, "rehearsal"),
    ],
)
def test_a_code_says_whose_card_it_is(identity, place):
    code = written(identity, SECRET, place)
    assert len(code) == 14
    assert identify(code, SECRET) == identity
    assert place_of(code) == place


def test_a_card_of_another_contest_or_year_is_refused():
    assert identify(written(CARD, OTHER), SECRET) == Refused(Trouble.OTHER_CONTEST)


@pytest.mark.parametrize("at", range(14))
def test_a_code_with_any_byte_changed_is_refused(at):
    code = bytearray(written(CARD, SECRET))
    code[at] ^= 4
    assert isinstance(identify(bytes(code), SECRET), Refused)


@pytest.mark.parametrize("code", [b"", b"https://a.example", b"\x00" * 14, b"x" * 400])
def test_what_is_no_code_of_ours_is_told_apart(code):
    assert identify(code, SECRET) == Refused(Trouble.NOT_OURS)


@pytest.mark.parametrize("wrong", [CARD._replace(contest=65536), CARD._replace(judged=65536), CARD._replace(contest=0)])
def test_what_does_not_fit_is_told_beforehand(wrong):
    assert can_be_written(CARD)
    assert not can_be_written(wrong)


def test_bars_are_the_dark_squares_of_the_rows():
    code = written(CARD, SECRET)
    dark = {(column + more, row) for column, row, wide in bars_of(code) for more in range(wide)}
    assert dark == {(x, y) for y, row in enumerate(rows_of(code)) for x, one in enumerate(row) if one == "1"}
