"""Contests looked back on, against reference libraries and whole tallies."""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import numpy
import pytest
from scipy import stats

from contest.book import read_book
from contest.demo import DEMO_BOOK
from scoring.core.reliability import reliability, separation
from scoring.core.study import EVERYBODY, study
from scoring.core.tally import tally


def crowd(seed=7, classes=9, people=80, skill=1.5):
    """Scores of people whose skill shows in every class, in rows by class."""
    random = numpy.random.default_rng(seed)
    able = random.normal(0, skill, people)
    hardness = random.normal(0, 2, (classes, 1))
    return (42 + hardness + able + random.normal(0, 3, (classes, people))).round().tolist()


@pytest.fixture(scope="module")
def demo():
    record = read_book(DEMO_BOOK)
    return record, tally(record)


class TestReliability:
    def test_alpha_is_of_the_covariances(self):
        """k times the mean covariance over the sum of all of them (Cronbach 1951, standard form)."""
        scores = crowd()
        covariance = numpy.cov(scores)
        size = len(scores)
        between = covariance[~numpy.eye(size, dtype=bool)].mean()
        assert reliability(scores).alpha == pytest.approx(size**2 * between / covariance.sum())

    def test_the_interval_is_nearly_feldts(self):
        """Feldt's interval (Psychometrika 1965) takes quantiles of F, from SciPy; Bonett's is close to it here."""
        scores = crowd(people=200)
        found = reliability(scores)
        freedom = (found.people - 1, (found.people - 1) * (found.classes - 1))
        low, high = (1 - (1 - found.alpha) * stats.f.ppf(at, *freedom) for at in (0.975, 0.025))
        assert (found.low, found.high) == pytest.approx((low, high), abs=0.015)
        assert found.low < found.alpha < found.high

    def test_dependability_is_of_the_components_of_variance(self):
        """Brennan, Generalizability Theory (2001): people by classes, from mean squares of a two-way table."""
        table = numpy.array(crowd(seed=11)).T
        people, classes = table.shape
        grand, by_person, by_class = table.mean(), table.mean(1), table.mean(0)
        rest = ((table - by_person[:, None] - by_class + grand) ** 2).sum() / ((people - 1) * (classes - 1))
        of_people = (classes * ((by_person - grand) ** 2).sum() / (people - 1) - rest) / classes
        of_classes = (people * ((by_class - grand) ** 2).sum() / (classes - 1) - rest) / people
        found = reliability(table.T.tolist())
        assert found.dependability == pytest.approx(of_people / (of_people + (of_classes + rest) / classes))
        assert found.error == pytest.approx(numpy.sqrt(classes * rest))
        assert found.dependability < found.alpha

    def test_so_many_classes_reach_the_goal(self):
        found = reliability(crowd())
        needed = found.classes_for_goal

        def of(classes):  # Spearman and Brown
            times = classes / found.classes
            return times * found.alpha / (1 + (times - 1) * found.alpha)

        assert of(needed) >= 0.8 > of(needed - 1)

    @pytest.mark.parametrize("scores", [[], [[1, 2, 3, 4, 5]], [[1, 2, 3], [2, 3, 4]], [[5] * 9, [6] * 9]])
    def test_nothing_is_said_of_too_little(self, scores):
        assert reliability(scores) is None

    def test_where_nothing_agrees_no_number_of_classes_is_enough(self):
        found = reliability([[1, 2, 3, 4, 5], [5, 4, 3, 2, 1], [1, 2, 2, 2, 1]])
        assert found.alpha < 0
        assert found.classes_for_goal is None
        assert reliability([[1, 2, 3, 4, 5]] * 3).alpha == pytest.approx(1)


def test_separation_is_the_correlation_with_the_rest():
    scores = crowd(seed=3)
    rest = numpy.sum(scores, axis=0) - scores[4]
    assert separation(scores, 4) == pytest.approx(stats.pearsonr(scores[4], rest).statistic)
    assert separation([[3] * 6, [1, 2, 3, 4, 5, 6]], 0) is None
    assert separation([[1, 2, 3, 4, 5, 6]], 0) is None


def test_a_class_says_who_gave_what(demo):
    record, result = demo
    of = study(record, result).of(1)
    here = {person.number for person in record.contestants if person.present}
    cards = [c.placing for c in record.cards if c.class_number == 1 and c.number in here and c.placing.isdigit()]
    assert sorted(of.placings.elements()) == sorted(cards)
    assert [(p.above, p.below, p.cut, p.place) for p in of.pairs] == [
        ("3", "1", 3, 0),
        ("3", "4", 8, None),
        ("3", "2", 10, None),
        ("1", "4", 5, 1),
        ("1", "2", 7, None),
        ("4", "2", 2, 2),
    ]
    assert [pair.turned for pair in of.pairs] == [
        sum(card.index(pair.above) > card.index(pair.below) for card in cards) for pair in of.pairs
    ]
    assert [pair.could_switch for pair in of.pairs] == [False, False, False, False, False, True]
    by_division = [s for s in study(record, result).classes if s.judged.number == 1 and s.division != EVERYBODY]
    assert sum(s.cards for s in by_division) == of.cards


def test_another_cut_is_what_a_tally_of_it_says(demo):
    record, result = demo
    for cut in study(record, result).cuts[::5]:
        classes = tuple(
            replace(j, cuts=tuple(cut.other if at == cut.place else old for at, old in enumerate(j.cuts)))
            if j.number == cut.class_number
            else j
            for j in record.classes
        )
        after = tally(replace(record, classes=classes))
        moved, people, first = 0, 0, []
        for old, new in zip(result.standings, after.standings, strict=True):
            judged = next(j for j in record.classes if j.number == cut.class_number)
            if old.code != "overall" or old.division not in judged.counting_divisions:
                continue
            before, now = by_total(old), by_total(new)
            moved += sum(now[number] != rank for number, rank in before.items())
            people += len(now)
            if {n for n, rank in before.items() if rank == 1} != {n for n, rank in now.items() if rank == 1}:
                first.append(old.division)
        assert (cut.moved, cut.people, cut.new_first) == (moved, people, tuple(first))


def by_total(standing):
    totals = {row.number: row.total for row in standing.individuals}
    return {number: 1 + sum(other > total for other in totals.values()) for number, total in totals.items()}


def test_officials_are_compared_on_the_sets_that_several_heard(demo):
    record, result = demo
    found = study(record, result).officials[0]
    heard = {}
    for score in record.reasons:
        if score.class_number == found.class_number:
            heard.setdefault(score.number, []).append(Fraction(score.hundredths, 100))
    pairs = [pair for points in heard.values() for pair in combinations(points, 2)]
    assert found.sets == sum(len(points) > 1 for points in heard.values())
    assert found.mean_difference == pytest.approx(float(sum(abs(a - b) for a, b in pairs) / len(pairs)))
    assert found.correlation == pytest.approx(stats.pearsonr(*numpy.array(pairs, dtype=float).T).statistic)
