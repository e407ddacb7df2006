"""Where points go, what to practise, and the picked team."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core.placing import score
from scoring.core.season import advice
from scoring.core.season.advice import what_next
from scoring.core.season.lost import Placed, by_category, by_pair, by_size, cut_losses, placing_and_reasons, size_of
from scoring.core.season.picked import pick


def placed(official, cuts, placing, category="", **more):
    points = score(official, cuts, placing, 50, "".join(sorted(official))) if placing else 0
    return Placed(category, official, cuts, 50, placing, points, **more)


@st.composite
def classes(draw):
    animals = "ABCDEFGH"[: draw(st.integers(3, 8))]
    cuts = draw(st.lists(st.integers(0, 8), min_size=len(animals) - 1, max_size=len(animals) - 1))
    orders = st.permutations(animals).map("".join)
    return draw(orders), tuple(cuts), draw(orders)


@given(classes())
def test_what_the_cuts_cost_is_what_the_grid_takes_off(drawn):
    official, cuts, placing = drawn
    assert sum(cut_losses(*drawn)) == 50 - score(official, cuts, placing, 50, "".join(sorted(official)))


def test_the_worked_example():
    """Maryland, Scoring of Contests: official 3-2-1-4, cuts 2-8-2, the card 4231 scores 24."""
    assert cut_losses("3214", (2, 8, 2), "4231") == (4, 16, 6)


def test_pairs_are_counted_by_their_place():
    rows = [placed("1234", (2, 5, 3), "2134"), placed("3214", (2, 8, 2), "4231"), placed("1234", (2, 5, 3), "")]
    top, middle, bottom = by_pair(rows)
    assert [(one.pairs, one.lost, one.points) for one in (top, middle, bottom)] == [(2, 2, 6), (2, 0, 16), (2, 1, 6)]
    assert top.percent == 100
    assert top.between == (16, 100)  # Clopper and Pearson of 2 in 2: 0.158 to 1


def test_other_numbers_of_animals_are_kept_apart():
    rows = [placed("12345", (1, 2, 3, 4), "21345")]
    assert by_pair(rows) == []
    assert [one.lost for one in by_pair(rows, 5)] == [1, 0, 0, 0]


@pytest.mark.parametrize(("cut", "size"), [(1, "close"), (3, "close"), (4, "moderate"), (5, "moderate"), (6, "easy")])
def test_sizes_are_those_of_colorado(cut, size):
    """Colorado State fact sheet 1.619: 1 to 3 close, 4 and 5 moderate, 6 to 8 very easy."""
    assert size_of(cut) == size


def test_sizes_leave_out_cuts_of_nothing():
    assert [(one.key, one.pairs) for one in by_size([placed("1234", (0, 3, 7), "1234")])] == [("close", 1), ("easy", 1)]


def test_categories_and_reasons_are_held_against_the_others():
    rows = [
        placed(
            "1234", (2, 5, 3), "1234", "BEEF", others=Fraction(45), reasons=Fraction(40), other_reasons=Fraction(42)
        ),
        placed("1234", (2, 5, 3), "2134", "BEEF", others=Fraction(45), reasons=Fraction(41)),
        placed("1234", (2, 5, 3), "2134", "HOGS"),
    ]
    beef, hogs = by_category(rows)
    assert (beef.classes, beef.mean, beef.ahead) == (2, 49, 4)
    assert (hogs.classes, hogs.mean, hogs.ahead) == (1, 48, None)
    both = placing_and_reasons(rows)
    assert (both.sets, both.reasons, both.placing) == (2, Fraction(81, 2), 49)
    assert (both.reasons_ahead, both.placing_ahead) == (-2, 4)
    assert placing_and_reasons(rows[2:]) is None


def codes(rows):
    return [one.code for one in what_next(rows)]


def test_where_no_pair_costs_anything_there_is_nothing_to_practise():
    assert codes([placed("1234", (0, 0, 0), "4321")] * 4) == [advice.NOTHING]


def test_of_few_classes_no_advice_is_given():
    (told,) = what_next([placed("1234", (2, 5, 3), "4321")] * 3)
    assert (told.code, told.about) == (advice.FEW, 1)


def test_who_loses_nothing_is_told_nothing_to_mend():
    assert codes([placed("1234", (2, 5, 3), "1234")] * 4) == [advice.NOTHING]


def test_the_dearest_pair_and_pairs_that_are_easy_come_first():
    rows = [placed("1234", (2, 7, 3), "1324")] * 2 + [placed("1234", (2, 7, 3), "2134")] * 3
    told = what_next(rows)
    assert [(one.code, one.about, one.points) for one in told] == [("pair", 1, 14), ("easy_pairs", 2, 14)]


def test_close_pairs_are_named_where_they_cost_the_most():
    assert codes([placed("1234", (2, 4, 3), "2134")] * 4) == ["pair", "close_pairs"]


def test_a_category_that_is_behind_and_the_weaker_side_are_named():
    good = placed(
        "1234", (2, 5, 3), "1234", "BEEF", others=Fraction(40), reasons=Fraction(40), other_reasons=Fraction(40)
    )
    poor = placed("1234", (2, 5, 2), "1243", "HOGS")
    assert codes([good] * 4) == ["reasons"]
    worse = placed("1234", (9, 1, 1), "2134", "HOGS")
    assert "category" not in codes([good] * 4 + [poor] * 2)
    assert [one.about for one in what_next([good] * 4 + [worse] * 2) if one.code == "category"] == ["HOGS"]


DAYS = ("a", "b", "c", "d", "e", "f", "g")


def results(**members):
    return {
        who: {day: Fraction(points) for day, points in zip(DAYS, own, strict=False) if points is not None}
        for who, own in members.items()
    }


def test_the_best_four_of_the_last_six_pick_a_team():
    """Common practice, no source: the first day is too long ago, and the two worst of six are left out."""
    had = results(
        ana=[99, 90, 80, 70, 95, 85, 60], bo=[0, 88, 88, 88, 88, 88, 88], cy=[100, None, 96, None, None, 97, 95]
    )
    picked = pick(had, DAYS, best=4, last=6, size=1)
    assert [(row.who, row.rank, row.mean, row.missing) for row in picked.rows] == [
        ("bo", 1, 88, 0),
        ("ana", 2, Fraction(350, 4), 0),
        ("cy", 3, 72, 1),
    ]
    assert picked.team == ("bo",)
    assert picked.rows[1].counts == ("b", "c", "e", "f")


def test_a_tie_at_the_line_is_told_and_not_broken():
    had = results(ana=[90], bo=[80], cy=[80], di=[70])
    picked = pick(had, DAYS, 1, 7, 2)
    assert (picked.team, picked.tied, picked.open_places) == (("ana",), ("bo", "cy"), 1)
    assert [row.rank for row in picked.rows] == [1, 2, 2, 4]


def test_a_tie_within_the_team_is_none_to_decide():
    picked = pick(results(ana=[80], bo=[80], cy=[70]), DAYS, 1, 7, 2)
    assert (set(picked.team), picked.tied, picked.open_places) == ({"ana", "bo"}, (), 0)


def test_a_small_club_is_a_team_whole():
    picked = pick(results(ana=[None, 80], bo=[]), DAYS, 4, 6, 4)
    assert (picked.team, picked.tied, picked.open_places) == (("ana",), (), 0)
    assert (picked.rows[0].mean, picked.rows[0].missing) == (20, 3)
