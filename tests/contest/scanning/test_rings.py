"""The ring of a cup on a card, and what looks like one."""

import random

import numpy as np
import pytest
from PIL import Image

from contest.scanning.reader.reading import read_page
from contest.scanning.reader.rings import ring_in
from tests.contest.scanning.pens import SECRET, Hand, animals_of, blank, filled
from tests.contest.scanning.scanners import seen

FINE, PAPER, BLACK = 6, 250.0, 0.0
HIGH, WIDE = 58, 93  # mm


def away_from(x, y):
    """How far each dot is from a point in mm."""
    rows, columns = np.indices((HIGH * FINE, WIDE * FINE)) / FINE
    return np.hypot(columns - x, rows - y)


def paper(dark=0.0):
    grain = np.random.default_rng(1).normal(0, 2, (HIGH * FINE, WIDE * FINE))
    return (PAPER * (1 - dark) + grain).clip(0, 255).astype(np.float32)


@pytest.mark.parametrize(("x", "y", "size"), [(20, 50, 31), (80, 10, 40), (46, -5, 28)])
def test_a_ring_is_found_where_it_is_and_as_dark_as_it_is(x, y, size):
    dark = 0.25 * np.exp(-(((away_from(x, y) - size) / 1.2) ** 2))
    assert abs(ring_in(paper(dark), PAPER, BLACK, FINE) - dark).max() < 0.03


def test_a_mark_on_a_ring_is_not_taken_off_with_it():
    dark = 0.25 * np.exp(-(((away_from(20, 50) - 31) / 1.2) ** 2))
    marked = paper(dark)
    marked[120:160, 30 * FINE : 30 * FINE + 3] -= 90
    ring = ring_in(marked, PAPER, BLACK, FINE)
    left = (marked / (1 - ring))[120:160, 30 * FINE : 30 * FINE + 3]
    assert left.mean() < PAPER - 70


@pytest.mark.parametrize(
    "dark",
    [
        0.0,
        0.2 * (abs(away_from(46, 29)) < 5),  # a drop
        0.2 * (abs(away_from(20, 5000) - 4970) < 1),  # a fold
        0.25 * np.exp(-(((away_from(46, 29) - 9) / 1.2) ** 2)),  # smaller than any cup
        0.8 * (abs(away_from(20, 50) - 31) < 0.5),  # drawn with a pen
    ],
    ids=["nothing", "drop", "fold", "small", "pen"],
)
def test_nothing_else_is_a_ring(dark):
    assert ring_in(paper(dark), PAPER, BLACK, FINE) is None


def card_with_a_ring(seed, wrong=""):
    """A card with a narrow, dark ring right through its boxes."""
    dice = random.Random(f"ring {seed}")
    card = filled(blank(dice), Hand(dice, pen="ballpoint", mark="cross", steady=0.5), wrong)
    left, top = card.field_at
    rows, columns = np.indices((card.picture.height, card.picture.width)) / (300 / 25.4)
    away = np.hypot(columns - left - 20, rows - top - 45) - 30 - 2 * seed
    light = np.asarray(card.picture, dtype=np.float32) * (1 - 0.32 * np.exp(-((away / 0.9) ** 2)))
    card.picture = Image.fromarray(light.clip(0, 255).astype(np.uint8))
    return card, dice


@pytest.mark.parametrize("seed", range(5))
def test_a_card_with_a_ring_is_read(seed):
    card, dice = card_with_a_ring(seed)
    (found,) = read_page(seen(card, dice, 200, "scanner"), SECRET, animals_of)
    assert (found.placing, found.number_marked, found.troubles) == (card.placing, card.number, ())


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("wrong", ["two marks, one light", "blank position"])
def test_what_a_person_has_to_decide_stays_so_below_a_ring(seed, wrong):
    card, dice = card_with_a_ring(seed, wrong)
    (found,) = read_page(seen(card, dice, 200, "scanner"), SECRET, animals_of)
    assert not found.certain
