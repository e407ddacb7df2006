"""Answer sheets as hands fill them in: the print shop's own, as `pens` has placing cards."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from functools import cache
from itertools import chain

from contest.records.answers import Answered
from contest.scanning.reader.finding import cards_on
from contest.scanning.reader.found import OPEN
from contest.scanning.reader.identity import Identity
from contest.scanning.reader.layout import Field
from contest.scanning.reader.sheets import HALF, answer_boxes, form_on
from scoring.core.questions import BLANK, UNCLEAR, Questions
from scoring.core.record import Part
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.fields import FIELDS_AT, lies_on
from scoring.prints.material import Material
from scoring.prints.rendering import html_of, render_pdf
from tests.contest.scanning.pens import SECRET, Drawn, Hand, number_marked, rasterised, replace_picture
from tests.scoring.prints.papers import CODES, demo, material_of

PARTS = {12: ("ABCD", 40), 13: ("ABCDE", 100), 14: ("AB", 10), 15: ("ABCDEF", 25)}
"""By the part's key: the answers that each of its questions offers, and how many there are."""
WRONGS = ("blank", "two marks", "two marks, one light", "struck out", "hardly there")
"""What a person has to decide."""
ERASED = "erased"
"""What says one row of answers, as far as it can be seen."""


@dataclass
class Sheet(Drawn):
    """`row` is what each of its questions has, also where a person has to decide; then `doubtful` is the question, from
    0, that has to be decided, and its sign in `row` what may be thought of it: see `agrees`."""

    row: str = ""
    doubtful: int | None = None

    @property
    def field(self) -> Field:
        return form_on(self.identity).field

    @property
    def field_at(self) -> tuple[float, float]:
        return FIELDS_AT[lies_on(form_on(self.identity))]


def contest_that_asks() -> Material:
    record = demo().record
    here = tuple(division.code for division in record.divisions)
    parts = tuple(Part(f"Q{key}", f"Knowledge {key}", here, 100, "individual") for key in PARTS)
    made = material_of(replace(record, parts=parts, cards=(), reasons=(), marks=(), choices=()))
    asked = {f"Q{key}": Answered(Questions(options, (100,) * count), {}) for key, (options, count) in PARTS.items()}
    return replace(made, answered=asked, card_codes=CODES._replace(parts=tuple((f"Q{key}", key) for key in PARTS)))


def options_of(identity: Identity) -> str:
    return PARTS.get(identity.judged, ("", 0))[0]


def questions_of(identity: Identity) -> int:
    return PARTS.get(identity.judged, ("", 0))[1]


def printed(document: str = "answer-sheets", paper: str = "a4", **chosen) -> bytes:
    html, *_ = html_of(DOCUMENTS[document], contest_that_asks(), Choice(paper=paper, **chosen))
    return render_pdf(html)


@cache
def bare_sheets() -> tuple[Sheet, ...]:
    """Two sheets of each part, a spare of each, and those in large print, as they leave the cutter."""
    numbers = tuple(person.number for person in contest_that_asks().present[:2])
    usual = [printed(numbers=numbers), printed(order="blank", spares=1), printed("large-answers", numbers=numbers[:1])]
    made = []
    for page in chain.from_iterable(map(rasterised, usual)):
        halves = (0, page.height // 2)
        for sheet in (page, *(page.crop((0, top, page.width, top + page.height // 2)) for top in halves)):
            found = cards_on(sheet, SECRET)
            is_half = bool(found) and form_on(found[0].whose) is HALF
            if len(found) == 1 and is_half == (sheet is not page):
                made.append(Sheet(sheet, found[0].whose, options_of(found[0].whose)))
    return tuple(made)


def blank(dice: random.Random) -> Sheet:
    return replace_picture(dice.choice(bare_sheets()))


def agrees(sheet: Sheet, guess: str) -> bool:
    """Whether all that a sheet's `guess` is sure of is on the sheet: two marks are no single answer."""
    if not guess or "blank" in sheet.done:
        return not guess.strip(OPEN + BLANK)
    two = {"two marks", "two marks, one light"} & set(sheet.done)
    for at, (sign, meant) in enumerate(zip(guess, sheet.row, strict=True)):
        may = {OPEN, UNCLEAR} if at == sheet.doubtful and two else {OPEN, meant}
        if "struck out" in sheet.done and at == sheet.doubtful:
            may.add(UNCLEAR)
        if sign not in may:
            return False
    return True


def filled(sheet: Sheet, hand: Hand, wrong: str = "", without: str = "") -> Sheet:
    """An answer marked for each question, or for a few none. `wrong` is what is amiss with it: see WRONGS and ERASED;
    of a sheet that a person has to decide it is the answer to one question. Of a light mark that it is to be `without`
    all is drawn from the dice but the ink."""
    dice, asked = hand.dice, sheet.identity
    rows = answer_boxes(form_on(asked), asked.questions, asked.options)
    left_out = dice.choice([0, 0, 0.05, 0.3])
    row = [None if dice.random() < left_out else dice.randrange(asked.options) for _question in rows]
    at = dice.randrange(len(rows))
    if wrong:
        row[at] = dice.randrange(asked.options)
    other = None if row[at] is None else (row[at] + dice.randrange(1, asked.options)) % asked.options
    for question, (boxes, answer) in enumerate(zip(rows, row, strict=True)):
        if wrong == "blank" or answer is None:
            continue
        if wrong == ERASED and question == at:
            hand.draw(sheet, hand._strokes(boxes[other], hand.mark), grey=dice.uniform(236, 248))
        if wrong == "hardly there" and question == at:
            grey = dice.uniform(205, 225)
            hand.draw(sheet, hand._strokes(boxes[answer], "tick"), grey=255 if without == wrong else grey)
            continue
        hand.marks(sheet, boxes[answer])
        if question == at and wrong == "two marks":
            hand.marks(sheet, boxes[other])
        elif question == at and wrong == "two marks, one light":
            light = Hand(dice, pen="pale pencil", mark="cross")
            light.draw(sheet, light._strokes(boxes[other], light.mark), grey=255 if without == wrong else None)
        elif question == at and wrong == "struck out":
            hand.marks(sheet, boxes[other])
            hand.strikes_out(sheet, boxes[other])
    sheet.row = "".join(BLANK if answer is None else sheet.animals[answer] for answer in row)
    if wrong in WRONGS:
        sheet.doubtful = at
    else:
        sheet.placing = sheet.row
    if asked.number is None:
        number_marked(sheet, hand, form_on(asked).field.digits_left)
    kind = f"{asked.questions} of {asked.options}"
    sheet.done += [hand.pen, hand.mark, kind, asked.kind, *([wrong] if wrong else [])]
    return sheet
