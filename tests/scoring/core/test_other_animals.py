"""Classes of other than four animals, and keep/cull: against the same laws, worked out by hand, and in words."""

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core.placing import grid, is_placing, limits, lost_pairs, score, why_not_a_placing, why_not_animals
from scoring.core.record import Card, Choice, Contestant, Division, JudgingClass, Part, Record, Rules
from scoring.core.tally import class_table, tally


def a_class(animals="ABCXYZ", official="CAZYXB", cuts=(2, 3, 1, 4, 2), **more):
    return JudgingClass(1, "Carcasses", ("SR",), animals=animals, official=official, cuts=cuts, **more)


def test_six_labels_score_pair_by_pair():
    """A card ACZYXB has one neighbouring pair the other way round and loses its cut; read backwards a class loses all:
    the sum over the pairs of the cuts between them, 5 x 2 + 8 x 3 + 9 x 1 + 8 x 4 + 5 x 2 (arithmetic)."""
    assert score("CAZYXB", (2, 3, 1, 4, 2), "ACZYXB", 100, "ABCXYZ") == 98
    assert score("CAZYXB", (2, 3, 1, 4, 2), "BXYZAC", 100, "ABCXYZ") == 100 - (10 + 24 + 9 + 32 + 10)
    lost = lost_pairs("CAZYXB", (2, 3, 1, 4, 2), "CZAYXB", "ABCXYZ")
    assert [(pair.above, pair.below, pair.points) for pair in lost] == [("A", "Z", 3)]


@given(st.sampled_from(("123", "ABXY", "12345", "ABCXYZ")), st.data())
def test_the_lowest_score_is_that_of_the_official_placing_read_backwards(animals, data):
    official = "".join(data.draw(st.permutations(animals)))
    cuts = data.draw(st.lists(st.integers(0, 9), min_size=len(animals) - 1, max_size=len(animals) - 1))
    scores = {placing: score(official, cuts, placing, 50, animals) for placing in map("".join, permutations(animals))}
    assert min(scores.values()) == scores[official[::-1]]
    assert max(scores.values()) == scores[official] == 50
    if len(animals) <= 4:
        assert dict(grid(official, cuts, 50, animals)) == scores


def test_a_table_of_many_animals_is_worked_out_as_it_is_asked_for():
    table = class_table(a_class(), Rules("A contest", unreadable_card="lowest", negative_scores="zero"))
    assert len(table) < 10
    assert table["CAZYXB"] == 50
    assert table["unreadable"] == table["BXYZAC"] == 0
    assert table[""] == 0


def test_labels_and_placings_are_refused_in_words():
    assert why_not_animals("AB") == "'AB' is 2 animals; a class has 3 to 8"
    assert why_not_animals("ABA") == "'ABA' has a label twice"
    assert why_not_animals("abc") == "'abc' has something else than digits and capital letters"
    assert why_not_a_placing("AYX", "ABXY") == "'AYX' is no placing here; write each of A, B, X, Y once, best first"
    assert is_placing("AYXB", "ABXY")
    assert not is_placing("1234", "ABXY")


def test_no_limits_are_published_of_other_animals():
    assert limits((9, 9), 50, 3) == ()
    assert limits((9, 9, 9), 50) != ()


def contest(**parts):
    people = (Contestant(1, "SR", role="individual"), Contestant(2, "SR", role="individual"))
    return Record(Rules("A contest"), (Division("SR", "Senior", 0),), contestants=people, **parts)


def test_full_points_are_for_everybody_who_is_here_card_or_none():
    record = contest(classes=(a_class(official=None, cuts=None, full_points=True),), cards=(Card(1, 1, "BXYZAC"),))
    (scores,) = tally(record).scores
    assert [*map(int, scores.points)] == [50, 50]


@pytest.mark.parametrize(
    ("kept", "points"), [("1567", 0), ("156", 14 + 13 + 12), ("651", 39), ("15", 0), ("", 0), ("unreadable", 0)]
)
def test_exactly_so_many_must_be_kept_or_nothing_is_earned(kept, points):
    """ "Mark exactly" so many, "otherwise the class scores zero": the rule of Nebraska District 7."""
    part = Part("KEEP", "Ewes", ("SR",), 39, "individual", "", "12345678", 3, (14, 2, 11, 1, 13, 12, 5, 4))
    (scores,) = tally(contest(parts=(part,), choices=(Choice("KEEP", 1, kept),))).scores
    assert int(scores.points[0]) == points
    assert tally(contest(parts=(replace(part, values=None),))).scores == ()


def test_choices_whose_readings_differ_are_told():
    part = Part("KEEP", "Ewes", ("SR",), 3, "individual", "", "1234", 2, (1, 2, 0, 0))
    choices = (Choice("KEEP", 1, "12", "21"), Choice("KEEP", 2, "12", "13"))
    assert tally(contest(parts=(part,), choices=choices)).unsettled_choices == choices[1:]
