"""Keep/cull cards as hands fill them in: the print shop's own, as `pens` has placing cards."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import combinations

from contest.scanning.reader import layout
from contest.scanning.reader.finding import cards_on
from contest.scanning.reader.identity import Identity
from contest.scanning.reader.layout import Box
from scoring.core.record import Part
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.material import Material
from scoring.prints.rendering import html_of, render_pdf
from tests.contest.scanning.pens import SECRET, Drawn, Hand, cut, rasterised, replace_picture
from tests.scoring.prints.papers import CODES, demo, material_of

PARTS = {12: ("12345678", 4), 13: ("ABXYZ", 2), 14: ("1234567890", 5)}
"""By the part's key: its animals, and how many are kept."""
WRONGS = ("blank", "one unmarked", "both", "both, one light", "struck out", "too many", "too few")
"""What a person has to decide."""
ERASED = "erased"
"""What says who is kept, as far as it can be seen."""


def contest_that_keeps() -> Material:
    record = demo().record
    here = tuple(division.code for division in record.divisions)
    parts = tuple(
        Part(f"K{key}", f"Part {key}", here, 0, "individual", animals=animals, keep=keep)
        for key, (animals, keep) in PARTS.items()
    )
    made = material_of(replace(record, parts=parts, cards=(), reasons=(), marks=(), choices=()))
    return replace(made, card_codes=CODES._replace(parts=tuple((f"K{key}", key) for key in PARTS)))


def animals_of(identity: Identity) -> str:
    return PARTS.get(identity.judged, ("", 0))[0]


def keep_of(identity: Identity) -> int:
    return PARTS.get(identity.judged, ("", 0))[1]


def printed(**chosen) -> bytes:
    html, *_ = html_of(DOCUMENTS["keep-cards"], contest_that_keeps(), Choice(**chosen))
    return render_pdf(html)


@cache
def bare_cards() -> tuple[Drawn, ...]:
    """Two cards of each part, as they leave the cutter."""
    numbers = tuple(person.number for person in contest_that_keeps().present[:2])
    made = []
    for card in cut(rasterised(printed(numbers=numbers))):
        found = cards_on(card, SECRET)
        if found:  # the last sheet has empty places
            made.append(Drawn(card, found[0].whose, animals_of(found[0].whose)))
    return tuple(made)


def blank(dice: random.Random) -> Drawn:
    return replace_picture(dice.choice(bare_cards()))


def filled(card: Drawn, hand: Hand, wrong: str = "", without: str = "") -> Drawn:
    """So many animals kept and the others culled. `wrong` is what is amiss with it: see WRONGS and ERASED. Of a second,
    light mark that it is to be `without` all is drawn from the dice but the ink."""
    dice, boxes, keep = hand.dice, layout.kept_boxes(len(card.animals)), keep_of(card.identity)
    keep += {"too many": 1, "too few": -1}.get(wrong, 0)
    kept = dice.choice(list(combinations(range(len(boxes)), keep)))
    at = dice.randrange(len(boxes))
    for animal, both in enumerate(boxes):
        one, other = both if animal in kept else both[::-1]
        if wrong == "blank" or (wrong == "one unmarked" and animal == at):
            continue
        if animal == at and wrong == ERASED:
            hand.draw(card, hand._strokes(_middle(other), hand.mark), grey=dice.uniform(236, 248))
        hand.marks(card, _middle(one))
        if animal == at and wrong == "both":
            hand.marks(card, _middle(other))
        elif animal == at and wrong == "both, one light":
            light = Hand(dice, pen="pale pencil", mark="cross")
            light.draw(card, light._strokes(_middle(other), light.mark), grey=255 if without == wrong else None)
        elif animal == at and wrong == "struck out":
            hand.marks(card, _middle(other))
            hand.strikes_out(card, _middle(other))
    if wrong not in WRONGS:
        card.placing = "".join(card.animals[animal] for animal in kept)
    card.done += [hand.pen, hand.mark, f"of {len(card.animals)}", *([wrong] if wrong else [])]
    return card


def _middle(box: Box) -> Box:
    """Where a hand marks a box that is far higher than it is wide."""
    high = min(box.height, 1.6 * box.width)
    return Box(box.left, box.top + (box.height - high) / 2, box.width, high)
