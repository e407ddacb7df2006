"""Whom a shift favours: asked of each list by itself."""

from reasons.fairness import Heard, Ranked, figures, verdict
from reasons.fairness.evenness import uneven

EVERYBODY = Ranked("Senior", frozenset(range(101, 121)), frozenset({1, 2}))


def heard_by(*officials_by_class, people=range(101, 121)):
    """Each of `people` by the officials of each class: a text, whose letters hear the set together."""
    return [
        Heard(by, who, c, 40) for who in people for c, those in enumerate(officials_by_class, start=1) for by in those
    ]


def test_the_same_for_everybody_favours_nobody():
    assert uneven(heard_by("AB", "C"), [EVERYBODY]) == {}


def test_two_rooms_favour_somebody():
    halves = heard_by("A", "C", people=range(101, 111)) + heard_by("B", "C", people=range(111, 121))
    assert uneven(halves, [EVERYBODY]) == {"A": ("Senior",), "B": ("Senior",)}


def test_divisions_are_not_ranked_together():
    seniors, juniors = heard_by("A", "A"), heard_by("B", "B", people=range(201, 221))
    lists = [EVERYBODY, Ranked("Junior", frozenset(range(201, 221)), frozenset({1, 2}))]
    assert uneven(seniors + juniors, lists) == {}


def test_a_category_can_be_even_where_the_whole_is_not_and_the_other_way_round():
    halves = heard_by("A", "C", people=range(101, 111)) + heard_by("B", "C", people=range(111, 121))
    halter, under_saddle = (Ranked(f"Senior ({c})", EVERYBODY.numbers, frozenset({c})) for c in (1, 2))
    assert uneven(halves, [EVERYBODY, halter, under_saddle])["A"] == ("Senior", "Senior (1)")
    crossed = heard_by("A", "B", people=range(101, 111)) + heard_by("B", "A", people=range(111, 121))
    assert uneven(crossed, [EVERYBODY]) == {}
    assert uneven(crossed, [halter]) == {"A": ("Senior (1)",), "B": ("Senior (1)",)}


def test_who_gave_no_set_makes_nobody_uneven():
    heard = [score for score in heard_by("A", "B") if (score.number, score.class_number) != (103, 2)]
    assert uneven(heard, [EVERYBODY]) == {}


def test_one_score_missing_from_a_set_is_let_pass_and_two_are_not():
    whole = heard_by("AB", "C")
    assert uneven([one for one in whole if one[:3] != ("B", 103, 1)], [EVERYBODY]) == {}
    two = [one for one in whole if one[:3] not in (("B", 103, 1), ("B", 104, 1))]
    assert uneven(two, [EVERYBODY]) == {"A": ("Senior",), "B": ("Senior",)}


def test_one_contestant_heard_by_somebody_else_is_not():
    heard = heard_by("A", "C", people=range(101, 120)) + heard_by("B", "C", people=[120])
    assert uneven(heard, [EVERYBODY]) == {"A": ("Senior",), "B": ("Senior",)}
    assert uneven(heard_by("A", people=[101]) + heard_by("B", people=[102]), [EVERYBODY]).keys() == {"A", "B"}


def test_the_verdict_names_the_lists_or_says_that_it_favours_nobody():
    level = {who: who % 7 for who in range(101, 121)}
    more = {"A": 0, "B": 5}
    wobble = [one._replace(points=40 + level[one.number] + more[one.by] + one.number % 2) for one in heard_by("AB")]
    for one in figures(wobble, [EVERYBODY]):
        assert one.shift.is_seen
        assert "it favours nobody" in verdict(one)
    a, b = figures(
        wobble[2:] + wobble[:1] + [one._replace(number=121) for one in wobble[:1]],
        [EVERYBODY._replace(numbers=EVERYBODY.numbers | {121})],
    )
    assert "In Senior, whoever was heard here has a disadvantage" in verdict(a)
    assert "In Senior, whoever was heard here has an advantage" in verdict(b)
