"""Standardised reasons, against NumPy and against exact decimals, and what must hold for any scores."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_FLOOR, Decimal, localcontext

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from contest.book.results import result_files
from scoring.core.record import Contestant, Division, JudgingClass, ReasonsScore, Record, Rules
from scoring.core.standardising import counting_reasons, is_standardising, standardised, too_few_sets
from scoring.core.tally import tally
from tests.strategies import records

STANDARDISED = Rules("", reasons_standardised=True)


def record_of(*given, rules=STANDARDISED, void=(), absent=()):
    """A record with scores as (official, hundredths, number, class); number and class may be left out."""
    scores = [ReasonsScore(*([1, place, one[0], one[1]] if len(one) == 2 else [one[3], one[2], one[0], one[1]]))
              for place, one in enumerate(given, start=101)]  # fmt: skip
    numbers = {score.number for score in scores}
    classes = {score.class_number for score in scores}
    return Record(
        rules,
        divisions=(Division("SR", "Senior", 0),),
        classes=tuple(
            JudgingClass(c, "", ("SR",), reasons=("SR",), official="3124", cuts=(3, 5, 2), void=c in void)
            for c in classes
        ),
        contestants=tuple(Contestant(number, "SR", present=number not in absent) for number in numbers),
        reasons=tuple(scores),
    )


def points(record):
    return [score.hundredths for score in standardised(record)]


def test_the_worked_example():
    strict = [("A", 3000), ("A", 3800)] * 4
    mild = [("B", 4400), ("B", 4800)] * 4
    assert points(record_of(*strict, *mild)) == [3345, 4655] * 8


def with_numpy(scores):
    """In floats: near enough to tell a wrong formula, not to tell a half."""
    officials, values = np.array([s.official for s in scores]), np.array([s.hundredths for s in scores], dtype=float)
    out = values.copy()
    for official in set(officials):
        own = officials == official
        if own.sum() >= 8:
            spread = values[own].std(ddof=1)
            distance = (values[own] - values[own].mean()) / spread if spread else np.zeros(own.sum())
            out[own] = np.clip(values.mean() + distance * values.std(ddof=1), 0, 5000)
    return out


@pytest.mark.parametrize("seed", range(12))
def test_it_is_what_numpy_works_out(seed):
    random = np.random.default_rng(seed)
    given = [
        (str(random.choice(list("ABCDE"))), int(np.clip(random.normal(4000, 500), 0, 5000)))
        for _ in range(2 + seed * 37)
    ]
    record = record_of(*given)
    assert points(record) == pytest.approx(with_numpy(record.reasons), abs=0.5 + 1e-6)


def with_decimals(scores):
    """To the hundredth, with sixty digits, and rounded half up."""
    with localcontext() as context:
        context.prec = 60

        def figures(values):
            mean = Decimal(sum(values)) / len(values)
            return mean, sum((value - mean) ** 2 for value in values) / (len(values) - 1)

        mean, variance = figures([s.hundredths for s in scores])
        found = []
        for score in scores:
            own = [s.hundredths for s in scores if s.official == score.official]
            if len(own) < 8:
                found.append(score.hundredths)
                continue
            own_mean, own_variance = figures(own)
            ratio = (variance / own_variance).sqrt() if own_variance else Decimal(0)
            value = mean + (score.hundredths - own_mean) * ratio + Decimal("0.5")
            # What is a half to sixty digits is a half.
            value = value.quantize(Decimal("1e-40"))
            found.append(min(max(int(value.to_integral_value(ROUND_FLOOR)), 0), 5000))
        return found


OFFICIAL_AND_POINTS = st.tuples(st.sampled_from("AAAABBBCCD"), st.integers(0, 100).map(lambda half: half * 50))


@settings(deadline=None)
@given(st.lists(OFFICIAL_AND_POINTS, min_size=2, max_size=60))
def test_every_hundredth_is_exact(given_scores):
    record = record_of(*given_scores)
    assert points(record) == with_decimals(record.reasons)


@settings(deadline=None)
@given(st.lists(OFFICIAL_AND_POINTS, min_size=1, max_size=40))
def test_an_official_keeps_their_order_and_everything_stays_within_0_and_50(given_scores):
    record = record_of(*given_scores)
    found = standardised(record)
    assert [one._replace(hundredths=0) for one in found] == [one._replace(hundredths=0) for one in record.reasons]
    assert all(0 <= one.hundredths <= 5000 for one in found)
    for official in "ABCD":
        pairs = sorted(
            (given.hundredths, one.hundredths)
            for given, one in zip(record.reasons, found, strict=True)
            if one.official == official
        )
        assert [then for _, then in pairs] == sorted(then for _, then in pairs)


@settings(deadline=None)
@given(st.lists(OFFICIAL_AND_POINTS, min_size=2, max_size=30), st.randoms())
def test_the_order_in_which_scores_came_changes_nothing(given_scores, random):
    record = record_of(*given_scores)
    mixed = list(record.reasons)
    random.shuffle(mixed)
    assert set(standardised(replace(record, reasons=tuple(mixed)))) == set(standardised(record))


def test_an_official_of_fewer_than_eight_sets_is_left_as_they_gave():
    seven, eight = [("B", 4400 + place) for place in range(7)], [("A", 3000), ("A", 4000)] * 4
    record = record_of(*eight, *seven)
    assert points(record)[8:] == [hundredths for _, hundredths in seven]
    assert points(record)[:8] != [hundredths for _, hundredths in eight]
    assert too_few_sets(record) == {"B": 7}
    assert is_standardising(record)
    assert points(record_of(*eight, *seven, ("B", 4400)))[8:15] != [hundredths for _, hundredths in seven]


def test_sets_that_count_for_nobody_do_not_make_it_eight():
    record = record_of(*[("A", 3000, number, 1) for number in range(101, 109)], absent=(101,))
    assert too_few_sets(record) == {"A": 7}
    assert not is_standardising(record)
    assert points(record) == [3000] * 8


def test_without_the_rule_nobody_has_too_few():
    record = record_of(("A", 3000), rules=Rules(""))
    assert too_few_sets(record) == {}
    assert not is_standardising(record_of(*[("A", 3000)] * 9, rules=Rules("")))


def test_who_gave_all_alike_gets_the_mean_of_all():
    found = points(record_of(*[("A", 4000), ("A", 5000)] * 4, *[("B", 3000)] * 8))
    assert found[8:] == [3750] * 8


@pytest.mark.parametrize("scores", [(), (("A", 4000),)])
def test_nothing_to_compare_with(scores):
    assert points(record_of(*scores)) == [hundredths for _, hundredths in scores]


def test_what_counts_for_nobody_stays_and_moves_nothing():
    sound = [(by, points, number, 1) for by in "AB" for number, points in enumerate(range(3000, 3800, 100), start=101)]
    also = [("A", 100, 203, 1), ("B", 200, 101, 2)]
    record = record_of(*sound, *also, void=(2,), absent=(203,))
    assert points(record) == [*points(record_of(*sound)), 100, 200]


def test_without_the_rule_the_scores_count_as_they_were_given():
    record = record_of(("A", 3000), ("B", 4000), rules=Rules(""))
    assert counting_reasons(record) is record.reasons


@settings(max_examples=60, deadline=None)
@given(records(named=False))
def test_a_contest_is_scored_as_though_the_standardised_scores_had_been_given(record):
    ordered = replace(record, rules=replace(record.rules, reasons_standardised=True))
    instead = replace(record, reasons=standardised(record))
    assert result_files(ordered, tally(ordered)) == result_files(instead, tally(instead))
