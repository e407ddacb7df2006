"""The picture of a class against what is known of the permutohedron of four."""

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest

from scoring.core.class_picture import BOARD, PAGE, class_picture, pairs_wrong, picture_of
from scoring.core.misreads import neighbours_exchanged
from scoring.core.placing import PLACINGS, grid
from scoring.core.record import JudgingClass, Rules

POINTS = dict(grid("3214", (2, 8, 2)))
POINTS_OF_3124 = dict(grid("3124", (2, 8, 2)))


def picture(official="3214", cards=(), layout=PAGE):
    return class_picture(official, dict(grid(official, (2, 8, 2))), Counter(cards), layout)


@pytest.mark.parametrize("official", ["1234", "3214", "4132"])
def test_it_is_the_truncated_octahedron(official):
    """24 corners, 36 edges, three at each corner: the truncated octahedron (Weisstein, "Truncated Octahedron",
    MathWorld; from memory)."""
    drawn = picture(official)
    at = {(corner.x, corner.y) for corner in drawn.corners}
    ends = Counter(end for edge in drawn.edges for end in ((edge.x1, edge.y1), (edge.x2, edge.y2)))
    assert len(at) == 24
    assert len(set(drawn.edges)) == 36
    assert ends == dict.fromkeys(at, 3)


def test_each_row_down_has_one_pair_more_the_other_way_round():
    """1, 3, 5, 6, 5, 3, 1 orders of four have 0 to 6 inversions: the Mahonian numbers (OEIS A008302; from memory)."""
    rows = Counter(corner.y for corner in picture().corners)
    assert [rows[y] for y in sorted(rows)] == [1, 3, 5, 6, 5, 3, 1]
    assert {pairs_wrong("3214", other) for other in neighbours_exchanged("3214")} == {1}
    assert pairs_wrong("3214", "4123") == 6


@pytest.mark.parametrize("layout", [PAGE, BOARD])
def test_nothing_touches_anything_else_and_all_of_it_is_inside(layout):
    drawn = picture(cards=PLACINGS, layout=layout)
    spots = sorted((corner.y, corner.x, corner) for corner in drawn.corners)
    for (y, x, corner), (below, right, other) in pairwise(spots):
        assert y != below or x + corner.radius + (layout.type * 2.3 if layout.beside else 0) < right - other.radius
        assert corner.box_x >= 0
        assert corner.box_x + layout.label_width <= layout.width
        assert corner.ring <= corner.y <= layout.height - corner.radius
        assert corner.label_y <= layout.height


def test_whoever_kept_the_top_pair_stands_on_the_left():
    for corner in picture("3214").corners:
        kept = corner.placing.index("3") < corner.placing.index("2")
        assert (corner.x < PAGE.width / 2) is kept


def test_the_area_goes_by_how_many_gave_it_and_the_shade_by_what_it_scores():
    by = {corner.placing: corner for corner in picture(cards=["3214"] * 16 + ["2314"] * 4 + ["3241"] * 80).corners}
    grown = {placing: by[placing].radius - 7 for placing in ("3214", "2314", "3241", "1234")}
    assert grown["1234"] == 0
    assert grown["3214"] == pytest.approx(2 * grown["2314"], abs=0.1)
    assert [by[placing].cards for placing in ("3214", "2314", "3241")] == [16, 4, 80]
    by_score = sorted(by.values(), key=lambda corner: POINTS[corner.placing])
    assert [corner.strength for corner in by_score] == sorted(corner.strength for corner in by_score)
    assert (by["3214"].strength, by_score[0].strength) == (1, 0.1)
    assert [corner.placing for corner in by.values() if corner.official] == ["3214"]


def test_a_class_without_a_key_or_that_is_void_has_none():
    judged = JudgingClass(1, "Heifers", divisions=("JR",), official="3214", cuts=(2, 8, 2))
    assert picture_of(judged, Rules("A contest"), {}) is not None
    assert picture_of(JudgingClass(1, "Heifers", divisions=("JR",)), Rules("A contest"), {}) is None
    assert picture_of(replace(judged, void=True), Rules("A contest"), {}) is None
    with pytest.raises(ValueError, match="is no placing"):
        class_picture("3224", {}, {})


def test_where_all_placings_score_the_same_all_are_filled_in_alike():
    drawn = class_picture("1234", dict(grid("1234", (0, 0, 0))), {})
    assert {corner.strength for corner in drawn.corners} == {1}
    assert {corner.strength for corner in class_picture("1234", {}, {}).corners} == {0}


def test_animals_of_any_four_labels_stand_where_1_to_4_do():
    labels = str.maketrans("1234", "ABXY")
    plain = picture("3124", {"3124": 4, "1324": 1})
    lettered = class_picture(
        "3124".translate(labels),
        {placing.translate(labels): points for placing, points in POINTS_OF_3124.items()},
        {"3124".translate(labels): 4, "1324".translate(labels): 1},
    )
    assert lettered.edges == plain.edges
    assert lettered.corners == tuple(
        replace(corner, placing=corner.placing.translate(labels)) for corner in plain.corners
    )
