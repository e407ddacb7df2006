"""What a page of test cards tells the superintendent."""

from contest.scanning.reader import FoundCard, Identity, Trouble
from contest.scanning.reader.rehearsal import CARDS, asked_for, rehearse

CORNERS = ((0.0, 0.0),) * 4


def found(number, placing="", *troubles, kind="rehearsal"):
    identity = Identity(3, 2026, 0, number, kind) if number else None
    return FoundCard(CORNERS, b"", identity, "", placing, not troubles, 0.9, troubles, ())


def as_asked(*numbers):
    return [found(number, asked_for(number)) for number in numbers]


def test_all_that_is_read_as_it_was_asked_for_is_well():
    told = rehearse(as_asked(*range(1, CARDS + 1)))
    assert (told.cards, told.read, told.wrong, told.missing, told.troubles) == (8, 8, 0, 0, {})
    assert told.advice == told.numbers == ()


def test_what_is_too_faint_asks_for_darker_pens():
    faint = [found(7, "", Trouble.FAINT), found(8, "", Trouble.BLANK_POSITION, Trouble.FAINT)]
    told = rehearse([*as_asked(1, 2, 3, 4, 5, 6), *faint])
    assert (told.read, told.troubles[Trouble.FAINT], told.numbers) == (6, 2, (7, 8))
    assert told.advice == ("darker_pens",)


def test_what_is_read_as_something_else_and_what_is_missing_are_told_apart():
    told = rehearse([*as_asked(1, 2, 3, 4, 5), found(6, asked_for(7)), found(None, "", Trouble.CODE_DAMAGED)])
    assert (told.read, told.wrong, told.missing) == (5, 1, 1)
    assert set(told.advice) == {"look_at_these", "read_again", "sharper_print_or_scan"}


def test_a_page_that_was_scanned_twice_counts_once_and_other_cards_do_not():
    told = rehearse([found(1, "", Trouble.FAINT), *as_asked(1), found(2, "1234", kind="card")], cards=1)
    assert (told.read, told.missing, told.troubles) == (1, 0, {})


def test_a_machine_that_makes_paper_white_is_told_of_even_where_all_was_read():
    told = rehearse([card._replace(washed_out=True) for card in as_asked(1, 2, 3)] + as_asked(4, 5, 6, 7, 8))
    assert (told.read, told.washed_out, told.advice) == (8, 3, ("softer_copy",))


def test_each_animal_comes_to_each_place_on_a_page():
    asked = [asked_for(number) for number in range(1, CARDS + 1)]
    assert len(set(asked)) == CARDS
    assert [set(of) for of in zip(*asked, strict=True)] == [set("1234")] * 4
