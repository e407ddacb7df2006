"""How a class was placed, as a picture: the 24 placings as the corners of the permutohedron, drawn flat.

The permutohedron of four is the truncated octahedron: its corners are the orders of four things, its edges join orders
that differ by one exchange of neighbours (Ziegler, Lectures on Polytopes, 1995, example 0.10; from memory). It is drawn
as it is seen from one side: downwards by how many pairs a placing has the other way round than the officials, across
by where it has their first two. So whoever kept the top pair stands on the left, a mirror image of the right.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, permutations
from math import sqrt

from scoring.core.misreads import neighbours_exchanged
from scoring.core.placing import ANIMALS
from scoring.core.record import JudgingClass, Rules
from scoring.core.tally import class_table

COLUMNS, ROWS = 6, 7
SMALLEST, LARGEST = 7.0, 42.0
"""Radius of a placing that nobody gave, and of one that everybody gave; between them the area goes by how many did."""
PALEST = 0.1
"""How strongly the lowest score is filled in, of 1."""
ROOM_FOR_COUNT = 16.0


@dataclass(frozen=True, slots=True)
class Layout:
    """From one corner to the next, in the picture's own units, how large the type is, and where it stands."""

    across: int
    down: int
    type: int
    beside: bool

    @property
    def width(self) -> int:
        return COLUMNS * self.across

    @property
    def height(self) -> int:
        return ROWS * self.down

    @property
    def label_width(self) -> float:
        """Of four figures, with a little room, so that no line runs through them."""
        return 2.3 * self.type


PAGE = Layout(across=100, down=104, type=30, beside=False)
"""For pages and paper, a label under each corner: to be read on a phone too."""
BOARD = Layout(across=215, down=84, type=58, beside=True)
"""For the projector, a label beside each corner."""


@dataclass(frozen=True, slots=True)
class Corner:
    """A placing in the picture, at its middle; where its label begins or has its middle, and the corner of the
    room kept for it. `strength` is how strongly it is filled in, of 1: the more, the more it scores; 0 where
    nothing says."""

    placing: str
    cards: int
    x: int
    y: int
    radius: float
    label_x: float
    label_y: float
    box_x: float
    box_y: float
    strength: float
    official: bool

    @property
    def shows_count(self) -> bool:
        """Whether there is room in it for how many gave it."""
        return self.radius >= ROOM_FOR_COUNT

    @property
    def ring(self) -> float:
        """The radius of the second ring, round the officials' placing."""
        return self.radius + 5


@dataclass(frozen=True, slots=True)
class Edge:
    """One exchange of neighbours, from the placing with one pair fewer the other way round."""

    x1: int
    y1: int
    x2: int
    y2: int


@dataclass(frozen=True, slots=True)
class ClassPicture:
    layout: Layout
    corners: tuple[Corner, ...]
    edges: tuple[Edge, ...]


def picture_of(
    judged: JudgingClass, rules: Rules, cards: Mapping[str, int], layout: Layout = PAGE
) -> ClassPicture | None:
    """The picture of a class of four; None where it has no key, counts for nobody, or has not four animals."""
    if (
        len(judged.animals) != len(ANIMALS)
        or judged.void
        or not judged.places
        or not judged.official
        or not judged.cuts
    ):
        return None
    return class_picture(judged.official, class_table(judged, rules), cards, layout)


def class_picture(
    official: str, points: Mapping[str, int], cards: Mapping[str, int], layout: Layout = PAGE
) -> ClassPicture:
    """The picture of a class. `points` is what each placing scores, empty where nothing says; `cards` how many gave it.

    Raises ValueError where the official placing is none.
    """
    if not len(official) == len(set(official)) == len(ANIMALS):
        raise ValueError(f"{official!r} is no placing")
    placings = tuple(map("".join, permutations(sorted(official))))
    given = sum(cards.get(placing, 0) for placing in placings)
    spots = {placing: _spot(official, placing, layout) for placing in placings}
    corners = []
    for placing in sorted(placings, key=lambda placing: (spots[placing][1], spots[placing][0])):
        x, y = spots[placing]
        count = cards.get(placing, 0)
        radius = SMALLEST + round((LARGEST - SMALLEST) * sqrt(count / given), 1) if count else SMALLEST
        label_x = x + radius + layout.type / 4 if layout.beside else x
        label_y = y + layout.type * 0.36 if layout.beside else y + radius + layout.type
        corners.append(
            Corner(
                placing=placing,
                cards=count,
                x=x,
                y=y,
                radius=radius,
                label_x=label_x,
                label_y=label_y,
                box_x=label_x if layout.beside else label_x - layout.label_width / 2,
                box_y=label_y - 0.85 * layout.type,
                strength=_strength(points, placing),
                official=placing == official,
            )
        )
    return ClassPicture(layout, tuple(corners), tuple(_edges(official, spots)))


def pairs_wrong(official: str, placing: str) -> int:
    """How many of the six pairs a placing has the other way round: Kendall's distance."""
    return sum(placing.index(first) > placing.index(second) for first, second in combinations(official, 2))


def _spot(official: str, placing: str, layout: Layout) -> tuple[int, int]:
    first, second = (placing.index(animal) for animal in official[:2])
    apart = first - second  # -3 to 3 and never 0; no two placings of a row have the same
    column = apart + COLUMNS // 2 - (apart > 0)
    left = LARGEST if layout.beside else layout.across / 2
    return round(column * layout.across + left), pairs_wrong(official, placing) * layout.down + layout.down // 2


def _strength(points: Mapping[str, int], placing: str) -> float:
    if not points:
        return 0
    scores = [points[placing] for placing in map("".join, permutations(placing))]
    lowest, highest = min(scores), max(scores)
    share = (points[placing] - lowest) / (highest - lowest) if highest > lowest else 1
    return round(PALEST + (1 - PALEST) * share, 2)


def _edges(official: str, spots: Mapping[str, tuple[int, int]]) -> Iterator[Edge]:
    for one in spots:
        for other in neighbours_exchanged(one):
            if pairs_wrong(official, one) < pairs_wrong(official, other):
                yield Edge(*spots[one], *spots[other])
