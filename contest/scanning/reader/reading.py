"""All cards of a page, as far as a machine may say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from contest.scanning.reader import layout
from contest.scanning.reader.answers import answers_of
from contest.scanning.reader.deciding import Decided, kept_of, number_of, placing_of
from contest.scanning.reader.finding import Lying, cards_on
from contest.scanning.reader.found import FoundCard, Point, Trouble
from contest.scanning.reader.geometry import scale_at
from contest.scanning.reader.identity import ANSWERS, Identity
from contest.scanning.reader.layout import Box
from contest.scanning.reader.measuring import LEAST_CONTRAST, Ink, Measured
from contest.scanning.reader.rehearsal import animals_on_test_cards
from contest.scanning.reader.sheets import answer_boxes, form_on
from contest.scanning.reader.straight import cut_out

if TYPE_CHECKING:
    from PIL.Image import Image

FLAT = 0.9
"""Millimetres: a card of which a square or a code lies further from where a flat one has it is bent."""
OUTLINED = 0.7
"""A field of whose outlines less is where it should be was not found right, whatever its squares say."""


def nothing_more(_identity: Identity) -> int:
    """Of a contest without a part that is read by scanner."""
    return 0


def read_page(
    page: Image,
    secret: bytes,
    animals_of: Callable[[Identity], str],
    count_of: Callable[[Identity], int] = nothing_more,
) -> list[FoundCard]:
    """The cards on a page, in any orientation and order, with what each says.

    `secret` is the contest's (`identity.py`); `animals_of` tells the labels of the animals of a card's class or
    part, or the letters of an answer sheet's answers, in their order, and is empty for one that the contest does not
    have; `count_of` how many animals a keep/cull card keeps, or how many questions a sheet has. A page without a card
    gives none.
    """
    grey = page if page.mode == "L" else page.convert("L")
    return [_read(grey, card, animals_of, count_of) for card in cards_on(grey, secret)]


def _read(
    page: Image, card: Lying, animals_of: Callable[[Identity], str], count_of: Callable[[Identity], int]
) -> FoundCard:
    identity = card.whose if isinstance(card.whose, Identity) else None
    troubles = list(_of_the_paper(page, card))
    placing = number = Decided("", 0.0, ())
    inks: list[list[Ink]] = []
    washed_out = False
    guess = ""
    if isinstance(card.whose, Trouble):
        troubles.insert(0, card.whose)
    elif not (animals := _animals(card.whose, animals_of)):
        troubles.append(Trouble.UNKNOWN_CLASS)
    elif not (boxes := _boxes(card.whose, animals, count_of(card.whose))):
        troubles.append(Trouble.OTHER_FORM if card.whose.kind in ANSWERS else Trouble.UNKNOWN_CLASS)
    else:
        field = Measured(page, card.matrix, Box(0, 0, card.field.width, card.field.height), card.field.marks)
        washed_out, form = field.washed_out, form_on(card.whose)
        if form:
            inks = [[field.ink_in(box, form.gap) for box in of] for of in boxes]
            alls = [[field.up_to_the_edge(box, form.gap) for box in of] for of in boxes]
            *_, guess = answered = answers_of(inks, alls, animals, field.washed_out)
            placing = Decided(answered.text, answered.confidence, answered.troubles)
        else:
            keep = count_of(card.whose) if card.whose.kind == "keep" else 0
            inks, placing = _marks(field, boxes, animals, keep)
            if placing.troubles and field.without_ring():
                inks, placing = _marks(field, boxes, animals, keep)
        troubles += placing.troubles
        troubles += _of_the_field(field, boxes)
        if card.whose.number is None:
            number = _number(page, card)
            troubles += number.troubles
    certain = not troubles
    sure = min(placing.confidence, number.confidence) if identity and identity.number is None else placing.confidence
    return FoundCard(
        corners=_four(card.corners),
        picture=cut_out(page, card.matrix, card.field.shown, scale_at(card.matrix, card.field.middle)),
        identity=identity,
        number_marked=number.text,
        placing=placing.text,
        certain=certain,
        confidence=sure if certain else min(sure, 0.49),
        troubles=tuple(dict.fromkeys(troubles)),
        fills=tuple(tuple(round(ink.ink, 2) for ink in of) for of in inks),
        washed_out=washed_out,
        guess=guess,
    )


def _marks(
    field: Measured, boxes: tuple[tuple[Box, ...], ...], animals: str, keep: int
) -> tuple[list[list[Ink]], Decided]:
    inks = [[field.ink_in(box, layout.GAP) for box in of] for of in boxes]
    if keep:
        return inks, kept_of(inks, animals, keep, field.washed_out)
    return inks, placing_of(inks, animals, field.washed_out)


def _boxes(identity: Identity, animals: str, asked: int) -> tuple[tuple[Box, ...], ...]:
    """The boxes of a card's field, by row; none where its class or part has no such field, or no longer has."""
    count = len(animals)
    if identity.kind in ANSWERS:
        form = form_on(identity)
        is_same = (identity.questions, identity.options) == (asked, count)
        return answer_boxes(form, asked, count) if form and is_same else ()
    if identity.kind == "keep":
        has_field = layout.FEWEST_KEPT_FROM <= count <= layout.MOST_KEPT_FROM and 0 < asked < count
        return layout.kept_boxes(count) if has_field else ()
    return layout.boxes(count) if layout.FEWEST <= count <= layout.MOST else ()


def _animals(identity: Identity, animals_of: Callable[[Identity], str]) -> str:
    return animals_on_test_cards() if identity.kind == "rehearsal" else animals_of(identity)


def _of_the_paper(page: Image, card: Lying) -> list[Trouble]:
    """What is wrong with where the card lies."""
    troubles = []
    sharp = scale_at(card.matrix, card.field.middle)
    if any(x < -sharp or y < -sharp or x > page.width + sharp or y > page.height + sharp for x, y in card.corners):
        troubles.append(Trouble.CUT_OFF)
    missing = card.of - card.squares
    if card.off > FLAT or missing > 1 or (missing == 1 and len(card.codes) < 2):
        troubles.append(Trouble.BENT)
    return troubles


def _of_the_field(field: Measured, boxes: Sequence[Sequence[Box]]) -> list[Trouble]:
    if field.contrast < LEAST_CONTRAST:
        return [Trouble.DARK]
    return [Trouble.BENT] if field.outlined([box for of in boxes for box in of]) < OUTLINED else []


def _number(page: Image, card: Lying) -> Decided:
    left = card.field.digits_left
    of = Box(left, layout.DIGITS_FROM, layout.WIDTH, layout.DIGITS_HEIGHT)
    field = Measured(page, card.matrix, of, [card.field.spare_mark])
    number = _digits(field, left)
    return _digits(field, left) if number.troubles and field.without_ring() else number


def _digits(field: Measured, left: float) -> Decided:
    inks = [[field.ink_in(box, layout.DIGIT_GAP) for box in of] for of in layout.digit_boxes(left)]
    return number_of(inks, field.washed_out)


def _four(corners: tuple[Point, ...]) -> tuple[Point, Point, Point, Point]:
    upper_left, upper_right, lower_right, lower_left = corners
    return upper_left, upper_right, lower_right, lower_left
