"""Cards as hands fill them in: pens and pencils, crosses, ticks and fills, and what else happens to a card.

The cards are the print shop's own, drawn by a renderer that is not the one that reads them (poppler). All is drawn of a
seed, so that a card that was read wrongly can be looked at again.
"""

from __future__ import annotations

import random
import subprocess
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image, ImageDraw

from contest.scanning.reader import layout
from contest.scanning.reader.identity import Identity
from contest.scanning.reader.layout import Box
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.fields import FIELDS_AT
from scoring.prints.rendering import html_of, render_pdf
from tests.scoring.prints.papers import CODES, demo, material_of

SECRET = CODES.secret
FINE = 300 / 25.4  # dots a millimetre of the cards that are drawn on
LABELS = ("123", "1234", "ABXYZ", "ABUXYZ")
PENS = {
    # What grey of 255 it leaves where it is darkest, how wide in millimetres, how grainy.
    "ballpoint": ((35, 90), (0.35, 0.55), 0.10),
    "gel": ((10, 45), (0.5, 0.8), 0.0),
    "marker": ((5, 40), (1.1, 2.0), 0.0),
    "red": ((85, 125), (0.4, 0.7), 0.05),
    "pencil": ((70, 135), (0.4, 0.8), 0.25),
    "pale pencil": ((150, 190), (0.35, 0.6), 0.35),
}
ERASABLE = ("pencil", "pale pencil")
MARKS = ("cross", "tick", "slash", "fill", "partial fill", "blob")


@dataclass
class Drawn:
    """A card with all that was done to it. `placing` is what it says, `number` what is marked on a spare; both empty
    where a person has to decide. `done` names what is special about it."""

    picture: Image.Image
    identity: Identity
    animals: str
    placing: str = ""
    number: str = ""
    done: list[str] = field(default_factory=list)

    @property
    def field_at(self) -> tuple[float, float]:
        return FIELDS_AT["below-digits" if self.identity.number is None else "on-card"]

    @property
    def field(self) -> layout.Field:
        return layout.CARD


@cache
def contest_with(animals: tuple[str, ...] = LABELS):
    """The demo with a class of each of these animals, whose cards are read by a machine."""
    record = demo().record
    classes = tuple(
        replace(judged, animals=labels, official=None, cuts=None)
        for judged, labels in zip(record.classes, animals, strict=False)
    )
    made = material_of(replace(record, classes=classes, cards=(), reasons=(), marks=()))
    return replace(made, card_codes=CODES)


def animals_of(identity: Identity) -> str:
    """By the class's number, as `contest_with` has them."""
    return {judged.number: judged.animals for judged in contest_with().record.classes}.get(identity.judged, "")


def printed(document: str = "placing-cards", paper: str = "a4", **chosen) -> bytes:
    """The print shop's PDF."""
    html, *_ = html_of(DOCUMENTS[document], contest_with(), Choice(paper=paper, **chosen))
    return render_pdf(html)


def rasterised(pdf: bytes, dpi: int = 300) -> list[Image.Image]:
    """The pages of a PDF, drawn by poppler."""
    with TemporaryDirectory() as folder:
        (Path(folder) / "printed.pdf").write_bytes(pdf)
        subprocess.run(["pdftoppm", "-gray", "-r", str(dpi), "printed.pdf", "page"], cwd=folder, check=True)
        return [Image.open(page).copy() for page in sorted(Path(folder).glob("page*.pgm"))]


def cut(pages: list[Image.Image]) -> list[Image.Image]:
    """Pages of four cards each, cut."""
    cards = []
    for page in pages:
        across, down = page.width // 2, page.height // 2
        for x, y in ((0, 0), (across, 0), (0, down), (across, down)):
            cards.append(page.crop((x, y, x + across, y + down)))
    return cards


@cache
def bare_cards() -> tuple[Drawn, ...]:
    """Cards of every number of animals, and spares, as they leave the cutter, with nothing on them yet."""
    from contest.scanning.reader.finding import cards_on

    numbers = tuple(person.number for person in contest_with().record.contestants[:8])
    pages = rasterised(printed(numbers=numbers)) + rasterised(printed("spare-cards", spares=1, classes=(1, 2, 3, 4)))
    made = []
    for card in cut(pages):
        found = cards_on(card, SECRET)
        if found:  # the last sheet has empty places
            identity = found[0].whose
            made.append(Drawn(card, identity, animals_of(identity)))
    return tuple(made)


class Hand:
    """One contestant's hand: a pen, a way of marking, and how steady it is."""

    def __init__(self, dice: random.Random, pen: str = "", mark: str = "", steady: float | None = None) -> None:
        self.dice = dice
        self.pen = pen or dice.choices(list(PENS), [30, 14, 5, 3, 44, 4])[0]
        self.mark = mark or dice.choices(MARKS, [40, 25, 6, 18, 7, 4])[0]
        self.steady = steady if steady is not None else dice.choice([0.3, 0.6, 1.0, 1.6])
        greys, widths, self.grain = PENS[self.pen]
        self.grey, self.width = dice.uniform(*greys), dice.uniform(*widths)

    def marks(self, card: Drawn, box: Box, mark: str = "") -> None:
        """Marks a box, its way or another."""
        self.draw(card, self._strokes(box, mark or self.mark))

    def strikes_out(self, card: Drawn, box: Box) -> None:
        wide = Box(box.left - 1, box.top - 0.3, box.width + 2, box.height + 0.6)
        self.draw(card, self._strokes(wide, "fill") + self._strokes(wide, "cross"))

    def writes(self, card: Drawn, box: Box) -> None:
        """Something like a digit in the box above, which may reach out of it."""
        x, y = box.middle
        high, wide = box.height * self.dice.uniform(0.3, 0.5), box.width * self.dice.uniform(0.12, 0.3)
        points = [
            (x + self.dice.uniform(-wide, wide), y + high * (at / 2.5 - 1) + self.dice.gauss(0, 0.4)) for at in range(6)
        ]
        self.draw(card, [points])

    def draw(self, card: Drawn, strokes: list[list[tuple[float, float]]], grey: float | None = None) -> None:
        """Strokes by millimetres of the field, each a line of points, with this pen."""
        left, top = card.field_at
        dots = [[((x + left) * FINE, (y + top) * FINE) for x, y in stroke] for stroke in strokes if len(stroke) > 1]
        all_x, all_y = ([dot[axis] for stroke in dots for dot in stroke] for axis in (0, 1))
        around = round(3 * FINE)
        area = (
            max(0, int(min(all_x)) - around),
            max(0, int(min(all_y)) - around),
            min(card.picture.width, int(max(all_x)) + around),
            min(card.picture.height, int(max(all_y)) + around),
        )
        size = (area[2] - area[0], area[3] - area[1])
        ink = Image.new("L", (size[0] * 2, size[1] * 2), 0)
        pencil = ImageDraw.Draw(ink)
        for stroke in dots:
            line = [((x - area[0]) * 2, (y - area[1]) * 2) for x, y in stroke]
            width = max(1, round(self.width * FINE * 2 * self.dice.uniform(0.85, 1.15)))
            pencil.line(line, fill=255, width=width, joint="curve")
            for x, y in (line[0], line[-1]):
                pencil.ellipse([x - width / 2, y - width / 2, x + width / 2, y + width / 2], fill=255)
        covered = np.asarray(ink.resize(size, Image.Resampling.BOX), dtype=np.float32) / 255
        if self.grain:
            noise = np.random.default_rng(self.dice.getrandbits(32)).random(covered.shape, dtype=np.float32)
            covered = covered * (1 - self.grain * 2 * noise).clip(0, 1)
        there = np.asarray(card.picture.crop(area), dtype=np.float32)
        # A pen covers what lies below; where strokes cross it hardly gets darker.
        with_ink = np.minimum(there, there * (1 - covered) + (self.grey if grey is None else grey) * covered)
        card.picture.paste(Image.fromarray(with_ink.clip(0, 255).astype(np.uint8)), area[:2])

    def _strokes(self, box: Box, mark: str) -> list[list[tuple[float, float]]]:
        dice, (x, y) = self.dice, box.middle
        unsteady = 0.25 * self.steady
        x, y = x + dice.gauss(0, unsteady), y + dice.gauss(0, unsteady)
        wide, high = box.width / 2 * dice.uniform(0.45, 0.85), box.height / 2 * dice.uniform(0.55, 0.95)
        wide = min(wide, high * dice.uniform(1.0, 1.8))
        if mark == "cross":
            lines = [[(x - wide, y - high), (x + wide, y + high)], [(x + wide, y - high), (x - wide, y + high)]]
        elif mark == "tick":
            # The long stroke often leaves the box.
            reach = dice.choices([1.0, 1.25, 1.6], [70, 22, 8])[0]
            lines = [[(x - wide, y), (x - wide * 0.3, y + high), (x + wide * reach, y - high * reach)]]
        elif mark == "slash":
            lines = [[(x - wide, y + high), (x + wide, y - high)]]
        elif mark == "blob":
            around = min(high, dice.uniform(0.8, 1.4))
            turns = np.linspace(0, 6 * np.pi, 40)
            lines = [[(x + around * t / 19 * np.cos(t), y + around * t / 19 * np.sin(t)) for t in turns]]
        else:
            share = 1.0 if mark == "fill" else dice.uniform(0.35, 0.6)
            wide, high = box.width / 2 * 0.9, box.height / 2 * 0.85
            count = max(4, round(2 * wide * share / max(self.width * 0.8, 0.25)))
            ends = np.linspace(x - wide, x - wide + 2 * wide * share, count)
            lines = [[(end, y + high * (-1) ** at * dice.uniform(0.8, 1)) for at, end in enumerate(ends)]]
        return [self._shaky(line) for line in lines]

    def _shaky(self, line: list[tuple[float, float]]) -> list[tuple[float, float]]:
        """A line as a hand draws it: bent, and trembling when it is cold."""
        made = []
        for (x, y), (to_x, to_y) in pairwise(line):
            for part in np.linspace(0, 1, 5)[:-1]:
                shake = 0.12 * self.steady
                made.append(
                    (
                        x + (to_x - x) * part + self.dice.gauss(0, shake),
                        y + (to_y - y) * part + self.dice.gauss(0, shake),
                    )
                )
        return [*made, line[-1]]


def blank(dice: random.Random) -> Drawn:
    """A card of those that were printed, bare."""
    return replace_picture(dice.choice(bare_cards()))


def replace_picture(card: Drawn) -> Drawn:
    return replace(card, picture=card.picture.copy(), done=[])


def filled(card: Drawn, hand: Hand, wrong: str = "", without: str = "") -> Drawn:
    """A placing marked on a card. `wrong` is what is amiss with it: see WRONGS and MENDED. Of a second, light mark that
    it is to be `without` all is drawn from the dice but the ink."""
    dice, boxes = hand.dice, layout.boxes(len(card.animals))
    order = dice.sample(range(len(card.animals)), len(card.animals))
    at, other = dice.sample(range(len(order)), 2)
    chosen = [(place, animal) for place, animal in enumerate(order)]
    before = (at, order[other])
    if wrong == "blank":
        chosen = []
    elif wrong == "blank position":
        del chosen[at]
    elif wrong == "twice":
        chosen[at] = (at, order[other])
    elif wrong in ("two marks", "two marks, one light"):
        chosen.append(before)
    elif wrong == "struck out":
        hand.marks(card, boxes[at][order[other]])
        hand.strikes_out(card, boxes[at][order[other]])
    if wrong in ("erased", "erased badly"):
        for place, animal in ((at, order[other]), (other, order[at])):
            remains = {"erased": (236, 248), "erased badly": (190, 225)}[wrong]
            hand.draw(card, hand._strokes(boxes[place][animal], hand.mark), grey=dice.uniform(*remains))
    for place, animal in chosen:
        if wrong == "two marks, one light" and (place, animal) == before:
            light = Hand(dice, pen="pale pencil", mark="tick")
            light.draw(card, light._strokes(boxes[place][animal], light.mark), grey=255 if without == wrong else None)
        else:
            hand.marks(card, boxes[place][animal])
    if dice.random() < 0.7:
        for box in layout.places(len(card.animals)):
            hand.writes(card, box)
    if wrong not in WRONGS:
        card.placing = "".join(card.animals[animal] for animal in order)
    if card.identity.number is None:
        number_marked(card, hand)
    card.done += [hand.pen, hand.mark, f"{len(card.animals)} animals", *([wrong] if wrong else [])]
    return card


def number_marked(card: Drawn, hand: Hand, left: float = 0.0) -> None:
    """A number of up to four digits, marked on a spare."""
    text = str(hand.dice.randint(1, 9999))
    rows = layout.digit_boxes(left)[-len(text) :]
    small = Hand(hand.dice, hand.pen, hand.dice.choice(["cross", "fill", "slash"]), steady=0.3)
    for row, digit in zip(rows, text, strict=True):
        small.marks(card, row[int(digit)])
    card.number = text
    card.done.append("spare")


WRONGS = ("blank", "blank position", "twice", "two marks", "two marks, one light", "struck out")
"""What a person has to decide."""
MENDED = ("erased", "erased badly")
"""What says one placing, if it can be seen."""
