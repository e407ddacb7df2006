"""What a committee's officials handed in, side by side: worked out by hand, against SciPy, and by laws."""

from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from scoring.core.committee import Agreement, compare, concordance
from scoring.core.committee_words import agreement_in_words
from scoring.core.placing import score
from scoring.core.record import PanelKey

LABELS = ("123", "ABXY")
few = settings(max_examples=25)


def key(official, placing, *cuts):
    return PanelKey(1, official, placing, cuts)


ANN, BEN, CAL = key("Ann", "3124", 3, 5, 2), key("Ben", "3142", 4, 2, 3), key("Cal", "1324", 1, 6, 2)


@st.composite
def panels(draw, labels=LABELS):
    animals = draw(st.sampled_from(labels))
    cuts = st.lists(st.integers(0, 9), min_size=len(animals) - 1, max_size=len(animals) - 1)
    count = draw(st.integers(2, 5))
    return [key(str(n), "".join(draw(st.permutations(animals))), *draw(cuts)) for n in range(count)]


def total_loss(placing, keys):
    return sum(50 - score(k.placing, k.cuts, placing, 50, "".join(sorted(placing))) for k in keys)


def test_three_officials_worked_out_by_hand():
    """3124 loses nothing by Ann's key, 3 by Ben's (2 over 4) and 1 by Cal's (3 over 1)."""
    shown = compare([ANN, BEN, CAL], 50)
    assert shown.losses == ((0, 3, 1), (2, 0, 3), (3, 7, 0))
    assert (shown.proposal.placing, shown.proposal.total, shown.proposal.alike) == ("3124", 4, ())
    # The mean of 3, 4 and -1; of 5, 2 + 3 and 1 + 6; and of 2, -3 and 2, which is a third and so raised to 1.
    assert shown.proposal.cuts == (2, 6, 1)
    assert (shown.proposal.next, shown.proposal.more) == (("3142",), 1)
    assert shown.by_proposal == (0, 3, 1)
    assert shown.agreement.mean_loss == Fraction(4, 3)
    assert shown.agreement.is_reasonable


def test_each_pair_says_who_has_it_this_way_round_and_by_how_much():
    pairs = {(pair.above, pair.below): pair for pair in compare([ANN, BEN, CAL], 50).pairs}
    assert pairs["3", "1"].said == (3, 4, -1)
    assert pairs["3", "1"].kept == (True, True, False)
    assert pairs["2", "4"].said == (2, -3, 2)
    assert pairs["1", "4"].is_agreed
    assert not pairs["2", "4"].is_agreed


def test_one_official_alone_is_compared_with_nobody():
    assert compare([ANN], 50) is None


def test_placings_that_lose_as_few_are_told_and_the_one_that_turns_fewest_pairs_round_is_proposed():
    one, other = key("Ann", "1234", 0, 3, 3), key("Ben", "1234", 0, 3, 3)
    proposal = compare([one, other], 50).proposal
    assert (proposal.placing, proposal.alike, proposal.total, proposal.more) == ("1234", ("2134",), 0, 6)
    nothing = compare([key("Ann", "2134", 0, 0, 0), key("Ben", "2134", 0, 0, 0)], 50).proposal
    assert (nothing.placing, len(nothing.alike), nothing.next, nothing.cuts) == ("2134", 23, (), (1, 1, 1))


def test_halves_are_rounded_to_the_even_number():
    assert compare([key("A", "123", 2, 3), key("B", "123", 3, 4)], 50).proposal.cuts == (2, 4)


def test_officials_who_turn_the_order_round_do_not_agree():
    apart = compare([key("A", "1234", 1, 1, 1), key("B", "4321", 1, 1, 1)], 50).agreement
    assert (apart.concordance, apart.orders_agree, apart.points_agree) == (0, False, True)


def test_officials_who_are_sure_and_see_it_the_other_way_round_do_not_agree():
    sure = compare([key("A", "1234", 8, 3, 3), key("B", "2134", 12, 3, 3)], 50)
    assert sure.agreement.orders_agree
    assert (sure.by_proposal, sure.agreement.points_agree) == ((8, 0), True)
    surer = compare([key("A", "1234", 11, 3, 3), key("B", "2134", 12, 3, 3)], 50)
    assert (surer.agreement.mean_loss, surer.agreement.is_reasonable) == (Fraction(11, 2), False)
    assert compare(surer.keys, 60).agreement.is_reasonable  # 5.5 of 6


@few
@given(panels())
def test_no_order_loses_fewer_and_the_next_is_the_next(keys):
    proposal = compare(keys, 50).proposal
    orders = list(map("".join, permutations(sorted(keys[0].placing))))
    totals = {order: total_loss(order, keys) for order in orders}
    assert proposal.total == min(totals.values()) == totals[proposal.placing]
    assert {proposal.placing, *proposal.alike} == {order for order in orders if totals[order] == proposal.total}
    beyond = [total for total in totals.values() if total > proposal.total]
    assert bool(proposal.next) == bool(beyond)
    if beyond:
        assert {totals[order] for order in proposal.next} == {min(beyond)} == {proposal.total + proposal.more}


@few
@given(panels())
def test_losses_are_those_of_the_grid_and_no_mean_cut_of_a_proposal_is_negative(keys):
    shown = compare(keys, 50)
    assert [list(row) for row in shown.losses] == [[total_loss(k.placing, [by]) for by in keys] for k in keys]
    assert sum(shown.by_proposal) == shown.proposal.total
    neighbours = {(pair.above, pair.below): pair.said for pair in shown.pairs}
    for above, below in zip(shown.proposal.placing, shown.proposal.placing[1:], strict=False):
        assert sum(neighbours[above, below]) >= 0


@few
@given(panels())
def test_the_concordance_is_that_of_friedmans_statistic_in_scipy(keys):
    placings = [k.placing for k in keys]
    animals = sorted(placings[0])
    ranks = [[placing.index(animal) + 1 for placing in placings] for animal in animals]
    statistic = stats.friedmanchisquare(*ranks).statistic
    assert float(concordance(placings)) == pytest.approx(statistic / (len(placings) * (len(animals) - 1)))


def test_eight_animals_are_compared_in_every_order():
    keys = [key("A", "ABCDEFGH", *[2] * 7), key("B", "BACDEFHG", *[3] * 7), key("C", "HGFEDCBA", *[1] * 7)]
    proposal = compare(keys, 50).proposal
    assert proposal.placing == "BACDEFHG"
    assert proposal.total == total_loss("BACDEFHG", keys)


@pytest.mark.parametrize(
    ("concordance", "mean_loss", "said"),
    [
        (Fraction(1, 2), Fraction(5), "Reasonable agreement: the orders agree by 0.5 of 1 (0.5 is enough), and"),
        (Fraction(1, 3), Fraction(5), "No reasonable agreement: the officials’ orders agree by 0.33 of 1 alone, and"),
        (Fraction(1), Fraction(11, 2), "No reasonable agreement: by the officials’ own keys the best common placing"),
        (Fraction(0), Fraction(11, 2), "No reasonable agreement: the officials’ orders agree by 0 of 1 alone, where"),
    ],
)
def test_the_agreement_is_told_in_words(concordance, mean_loss, said):
    assert agreement_in_words(Agreement(concordance, mean_loss, Fraction(5))).startswith(said)
