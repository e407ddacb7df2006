"""Specks of a copier: dots that are far darker than all beside them, but for one."""

import numpy as np
import pytest
from PIL import Image
from PIL.ImageFilter import RankFilter

from contest.scanning.reader.measuring import _SPECK, _lone, _without_specks
from contest.scanning.reader.straight import PAPER

DOTS_OF_A_MM = np.diag([4.0, 4.0, 1.0])
PART = (0.0, 0.0, 20.0, 20.0)


def page_with(*dark):
    dots = np.full((80, 80), PAPER, dtype=np.uint8)
    for row, column in dark:
        dots[row, column] = 40
    return dots


@pytest.mark.parametrize("speck", [[(40, 40)], [(40, 40), (41, 41)]])
def test_one_dot_is_a_speck_and_so_are_two(speck):
    assert {tuple(map(int, at)) for at in np.argwhere(_lone(page_with(*speck)))} == set(speck)


@pytest.mark.parametrize("line", [[(40, 40), (40, 41), (40, 42)], [(0, 0)]])
def test_what_is_darker_beside_two_others_is_none_nor_a_corner_that_goes_on_beyond_the_picture(line):
    assert not _lone(page_with(*line))[line[len(line) // 2]]


@pytest.mark.parametrize("seed", range(5))
def test_it_is_what_the_third_darkest_of_nine_dots_says(seed):
    dice = np.random.default_rng(seed)
    paper, ink = dice.integers(150, 256, (40, 50)), dice.integers(0, 256, (40, 50))
    dots = np.where(dice.random((40, 50)) < 0.15, ink, paper).astype(np.uint8)
    third = np.asarray(Image.fromarray(dots).filter(RankFilter(3, 2)), dtype=np.int16)
    lone = third > dots.astype(np.int16) + _SPECK
    assert lone.any()
    assert (_lone(dots) == lone).all()


def test_a_speck_is_taken_off_and_nothing_is_made_anew_where_there_is_none():
    assert _without_specks(Image.fromarray(page_with()), DOTS_OF_A_MM, PART) is None
    page, _matrix = _without_specks(Image.fromarray(page_with((40, 40))), DOTS_OF_A_MM, PART)
    assert np.asarray(page).min() == PAPER
