"""Answer sheets read off pictures, and the field that they are read by."""

import random

import numpy as np
import pytest

from contest.scanning.guessing import thought
from contest.scanning.reader import OPEN, Trouble, layout
from contest.scanning.reader.answers import answers_of
from contest.scanning.reader.identity import Identity, can_be_written, identify, written
from contest.scanning.reader.measuring import Ink
from contest.scanning.reader.reading import read_page
from contest.scanning.reader.sheets import HALF, LARGE, WHOLE, answer_boxes, form_of, form_on
from scoring.core.questions import BLANK, MOST_OPTIONS, MOST_QUESTIONS
from scoring.prints.fields import FIELDS_AT, lies_on
from tests.contest.scanning.answerers import (
    ERASED,
    PARTS,
    WRONGS,
    bare_sheets,
    filled,
    options_of,
    printed,
    questions_of,
)
from tests.contest.scanning.pens import SECRET, Hand, rasterised, replace_picture
from tests.contest.scanning.scanners import _from_corners, seen
from tests.scoring.prints.papers import Pdf
from tests.scoring.prints.test_fields import POINTS

CLEAR = {"pen": "ballpoint", "mark": "cross", "steady": 0.5}


def sheet_of(key, number=True, kind="answers"):
    """A bare sheet of a part; without a number a spare one."""
    ours = (one for one in bare_sheets() if (one.identity.judged, one.identity.kind) == (key, kind))
    return replace_picture(next(one for one in ours if bool(one.identity.number) == number))


def marked(seed, wrong="", sheet=None, **hand):
    dice = random.Random(seed)
    return filled(sheet or sheet_of(14), Hand(dice, **(CLEAR | hand)), wrong), dice


def read(picture, questions=questions_of, options=options_of):
    (found,) = read_page(picture, SECRET, options, questions)
    return found


@pytest.mark.parametrize("key", PARTS)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_boxes_lie_where_they_are_looked_for(key, paper):
    options, questions = PARTS[key]
    form = form_of(questions, len(options))
    (page,) = [page for page in Pdf(printed(numbers=(101,), paper=paper)).pages if f"Knowledge {key}" in text_of(page)]
    left, top = FIELDS_AT[lies_on(form)]
    found = {
        (round(curve["x0"] / POINTS - left, 1), round(curve["top"] / POINTS - top, 1))
        for curve in [*page.rects, *page.curves]
    }
    boxes = [box for row in answer_boxes(form, questions, len(options)) for box in row]
    assert [box for box in boxes if not drawn_at(box.left + 0.15, box.top + 0.15, found)] == []
    assert [at for at in form.field.marks if not drawn_at(*at, found)] == []


def text_of(page):
    return " ".join(word["text"] for word in page.extract_words())


def drawn_at(x, y, found):
    return any(abs(x - left) <= 0.2 and abs(y - top) <= 0.2 for left, top in found)


@pytest.mark.parametrize("form", [HALF, WHOLE, LARGE])
def test_nothing_comes_too_near_to_a_code_or_a_square(form):
    for options in range(2, MOST_OPTIONS + 1):
        questions = form.rows * form.columns(options)
        for box in (box for row in answer_boxes(form, questions, options) for box in row):
            assert box.left + box.width < form.field.codes[0][0] - 2.5
            assert box.left - form.letter > layout.MARK + 2.4
            assert box.top >= 0
            assert box.top + box.height <= form.field.height


def test_what_fits_on_half_a_page_or_a_whole_one_or_none():
    assert form_of(60, 4) is HALF
    assert form_of(61, 4) is WHOLE
    assert [options for options in range(2, MOST_OPTIONS + 1) if not form_of(MOST_QUESTIONS, options)] == [7, 8]
    assert form_of(74, MOST_OPTIONS) is WHOLE
    assert form_of(36, 4, large=True) is LARGE
    assert form_of(37, 4, large=True) is None


@pytest.mark.parametrize("kind", ["answers", "large-answers"])
@pytest.mark.parametrize(("questions", "options"), [(2, 2), (100, 8), (25, 4)])
@pytest.mark.parametrize("number", [None, 1, 4_194_303])
def test_a_code_says_how_many_questions_its_sheet_has(kind, questions, options, number):
    identity = Identity(3, 2026, 12, number, kind, questions, options)
    assert can_be_written(identity)
    assert identify(written(identity, SECRET), SECRET) == identity


def test_a_number_that_leaves_no_room_for_that_makes_no_code():
    assert not can_be_written(Identity(3, 2026, 12, 4_194_304, "answers", 25, 4))


@pytest.mark.parametrize("pen", ["ballpoint", "pencil", "marker", "red", "gel"])
@pytest.mark.parametrize("mark", ["cross", "fill"])
def test_it_reads_what_is_marked_with(pen, mark):
    sheet, dice = marked(f"{pen} {mark}", pen=pen, mark=mark)
    found = read(seen(sheet, dice, 200, "scanner"))
    assert (found.identity, found.placing, found.troubles) == (sheet.identity, sheet.placing, ())
    assert found.certain


@pytest.mark.parametrize("key", PARTS)
def test_sheets_of_every_size_are_read_also_where_answers_are_left_out(key):
    sheet, dice = marked(f"size {key} 1", sheet=sheet_of(key))
    found = read(seen(sheet, dice, 150, "scanner"))
    assert (found.placing, found.troubles) == (sheet.placing, ())


def test_one_in_large_print_is_read_too():
    sheet, dice = marked("large", sheet=sheet_of(14, kind="large-answers"))
    found = read(seen(sheet, dice, 150, "scanner"))
    assert (found.placing, found.troubles) == (sheet.placing, ())


@pytest.mark.parametrize("key", [12, 13])
def test_a_spare_has_its_number_marked(key):
    sheet, dice = marked("spare", sheet=sheet_of(key, number=False))
    found = read(seen(sheet, dice, 200, "scanner"))
    assert (found.placing, found.number_marked, found.troubles) == (sheet.placing, sheet.number, ())
    assert found.identity.number is None


def test_two_on_a_page_that_nobody_cut_are_both_read():
    page, *_ = rasterised(printed(numbers=(101, 102)), dpi=150)
    found = read_page(page, SECRET, options_of, questions_of)
    assert [one.identity.number for one in found] == [101, 102]
    assert [one.troubles for one in found] == [(Trouble.BLANK,)] * 2


@pytest.mark.parametrize("wrong", WRONGS)
def test_what_a_person_has_to_decide_is_never_certain(wrong):
    for seed in range(2):
        sheet, dice = marked(f"{wrong} {seed}", wrong, pen="gel")
        found = read(seen(sheet, dice, 150, "phone" if seed else "scanner"))
        assert found.troubles
        assert not found.certain
        assert found.confidence < 0.5


def test_two_answers_are_told_and_offered_as_not_clear_and_the_others_as_they_are():
    sheet, dice = marked("told", "two marks")
    found = read(seen(sheet, dice, 200, "scanner"))
    assert found.troubles == (Trouble.TWO_ANSWERS,)
    assert thought(found, sheet.animals).count("*") == 1


def test_a_faint_one_is_left_open_and_the_others_are_offered():
    sheet, dice = marked("left open", "hardly there")
    found = read(seen(sheet, dice, 200, "scanner"))
    assert found.troubles == (Trouble.FAINT,)
    assert thought(found, sheet.animals).count(OPEN) == 1
    assert len(found.guess) == sheet.identity.questions


def test_what_was_erased_well_is_not_taken_for_a_mark():
    sheet, dice = marked("erased", ERASED, pen="pencil")
    found = read(seen(sheet, dice, 200, "scanner"))
    assert (found.placing, found.troubles) == (sheet.placing, ())


def test_a_mark_at_the_very_edge_of_its_box_is_not_taken_for_none():
    sheet, dice = sheet_of(14), random.Random("at the edge")
    row, *_ = answer_boxes(form_on(sheet.identity), sheet.identity.questions, sheet.identity.options)
    blank = sheet_of(14)
    hand = Hand(dice, **CLEAR)
    for boxes in answer_boxes(form_on(sheet.identity), 10, 2)[1:]:
        hand.marks(blank, boxes[0])
    x = row[0].left + 0.55
    hand.draw(blank, [[(x, row[0].top + 0.6), (x, row[0].top + 3.4)]])
    found = read(seen(blank, dice, 200, "scanner"))
    assert (found.certain, found.guess) == (False, OPEN + "A" * 9)


def washed_out(seed, grey=None, first=None):
    """A sheet on paper as a printer's file has it, entirely white, with marks of such a grey for all questions but the
    first, which may have one of another."""
    sheet, hand = sheet_of(14), Hand(random.Random(seed), **CLEAR)
    rows = answer_boxes(form_on(sheet.identity), 10, 2)
    for boxes in rows[1:]:
        hand.draw(sheet, hand._strokes(boxes[0], "cross"), grey=grey)
    if first:
        hand.draw(sheet, hand._strokes(rows[0][0], "cross"), grey=first)
    return read(sheet.picture)


def test_on_a_copy_that_washes_out_what_is_pale_none_is_left_out_for_certain_where_all_marks_are_dark():
    assert washed_out("dark").placing == BLANK + "A" * 9
    assert washed_out("a trace", first=240).guess == OPEN + "A" * 9


def test_on_such_a_copy_a_sheet_whose_marks_are_pale_has_none_left_out_for_certain():
    assert washed_out("pale", grey=215).guess == OPEN + "A" * 9
    assert washed_out("pale", grey=215, first=215).placing == "A" * 10


def test_on_such_a_copy_what_is_left_of_several_pale_marks_does_not_pass_for_bare():
    pale, hardly = Ink(0.5, 0.15, 0.15, 0.1, 0.1, 0, white=True), Ink(0, 0.05, 0.05, 0.02, 0, 0, white=True)
    bare = BARE._replace(white=True)
    inks = [(pale, hardly), *[(hardly, bare)] * 4, *[(pale, bare)] * 5]
    alls = [(ink.ink, 0.0) for ink, _bare in inks]
    assert answers_of(inks, alls, "AB", washed_out=True).guess == OPEN * 5 + "A" * 5


BARE, MARK = Ink(0, 0, 0, 0, 0, 0), Ink(1.0, 0.6, 0.6, 0.5, 0.1, 0)


@pytest.mark.parametrize(
    ("first", "at_edge", "sign"), [(MARK, 0.25, "A"), (MARK, 0.35, OPEN), (BARE, 0.14, BLANK), (BARE, 0.25, OPEN)]
)
def test_beside_a_mark_more_may_reach_to_the_edge_of_another_box(first, at_edge, sign):
    inks = [(first, BARE), *[(MARK, BARE)] * 9]
    alls = [(1.0 if first is MARK else 0.0, at_edge), *[(1.0, 0.0)] * 9]
    assert answers_of(inks, alls, "AB").guess == sign + "A" * 9


EVEN = Ink(0.01, 0.18, 0.18, 0.02, 0.16, 0.17)


@pytest.mark.parametrize(
    ("beside", "washed_out", "sign"), [(0.02, False, "A"), (0.06, False, OPEN), (0.02, True, OPEN)]
)
def test_a_pale_mark_that_fills_its_box_evenly_is_one_where_nothing_is_in_the_others(beside, washed_out, sign):
    inks = [(EVEN, BARE._replace(dark=beside)), *[(MARK._replace(dark=0.2), BARE)] * 9]
    alls = [(1.0, 0.0)] * 10
    assert answers_of(inks, alls, "AB", washed_out).guess == sign + "A" * 9


def test_beside_marks_that_are_far_darker_it_is_in_doubt():
    assert answers_of([(EVEN, BARE), *[(MARK, BARE)] * 9], [(1.0, 0.0)] * 10, "AB").guess == OPEN + "A" * 9


@pytest.mark.parametrize("table", [255, 60])
def test_a_sheet_that_a_phone_sees_from_aside_is_found_by_squares_far_from_where_its_codes_have_them(table):
    sheet, _dice = marked("aside", sheet=sheet_of(12))
    corners = np.array([(85, 100), (1712, 50), (1755, 1245), (60, 1228)], dtype=float)
    found = read(_from_corners(sheet.picture, (1794, 1309), corners, table))
    assert (found.placing, found.troubles) == (sheet.placing, ())


@pytest.mark.parametrize(("questions", "options"), [(11, "AB"), (9, "AB"), (10, "ABC")])
def test_a_sheet_whose_part_was_changed_since_is_a_persons(questions, options):
    sheet, dice = marked("changed")
    found = read(seen(sheet, dice, 150, "scanner"), lambda _of: questions, lambda _of: options)
    assert (found.certain, found.troubles, found.guess) == (False, (Trouble.OTHER_FORM,), "")


def test_a_sheet_of_a_part_that_the_contest_does_not_have_is_a_persons():
    sheet, dice = marked("another part")
    assert read(seen(sheet, dice, 150, "scanner"), options=lambda _of: "").troubles == (Trouble.UNKNOWN_CLASS,)


def test_one_of_another_contest_is_told_with_its_picture():
    sheet, dice = marked("another contest")
    (found,) = read_page(seen(sheet, dice, 150, "scanner"), b"another secret", options_of, questions_of)
    assert (found.identity, found.troubles) == (None, (Trouble.OTHER_CONTEST,))
    wide, high = found.corners[1][0] - found.corners[0][0], found.corners[3][1] - found.corners[0][1]
    assert max(abs(wide), abs(high)) > 150 / 25.4 * 80  # not cut out as a card would be


def test_one_without_a_readable_code_is_told_all_the_same():
    sheet = sheet_of(14)
    field, (left, top) = form_on(sheet.identity).field, sheet.field_at
    fine = sheet.picture.width / 210
    for x, y in field.codes:
        # The three corners by which it is found stay, and more than can be mended is gone.
        at = [round((one + off + 7.5) * fine) for one, off in ((x, left), (y, top))]
        sheet.picture.paste(0, (*at, at[0] + round(5.5 * fine), at[1] + round(5.5 * fine)))
    found = read_page(sheet.picture, SECRET, options_of, questions_of)
    assert [one.troubles[0] for one in found] == [Trouble.CODE_DAMAGED]


def test_sheets_that_do_not_fit_on_one_stay_plain():
    pages = [text_of(page) for page in Pdf(printed("large-answers", numbers=(101,))).pages]
    fit = [f"Knowledge {key}" for key, (options, count) in PARTS.items() if form_of(count, len(options), large=True)]
    assert fit == ["Knowledge 14"]
    assert [fit[0] in page for page in pages] == ["Mark one box" in page for page in pages]


def test_confidence_sorts_and_a_certain_one_says_all():
    sheet, dice = marked("sure")
    found = read(seen(sheet, dice, 200, "scanner"))
    assert found.confidence >= 0.5
    assert found.guess == found.placing == sheet.placing
