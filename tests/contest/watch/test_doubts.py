"""Finding the doubts: each kind, oldest first, none of them lost, at a constant cost."""

import pytest

from contest.models import Reading
from contest.slips.reading import set_aside
from contest.watch.deciding import leave_absent
from contest.watch.finding import doubts_of
from reasons.scores.officials import add_official
from tests.contest.watch.cast import differing, read, small_contest, the_class, the_contestant
from tests.slips import decide_card, move_card, read_card, read_mark, read_reasons


@pytest.fixture
def contest(db):
    return small_contest()


def found(contest):
    return [(doubt.kind, doubt.class_number, doubt.number) for doubt in doubts_of(contest)]


def test_a_contest_where_all_is_well_has_none(contest):
    read(contest, 1, 101, "3124", "Ann")
    read(contest, 1, 101, "3124", "Ben")
    read(contest, 1, 102, "3124", "Ann")
    assert doubts_of(contest) == []


def test_readings_that_differ(contest):
    differing(contest)
    (doubt,) = doubts_of(contest)
    assert doubt.kind == "differs"
    assert [(said.letter, said.text, said.by) for said in doubt.said] == [("a", "3124", "Ann"), ("b", "3142", "Ben")]


def test_two_different_cards_read_by_one_reader(contest):
    read(contest, 1, 101, "3124", "Ann")
    read(contest, 1, 101, "3142", "ann")
    assert found(contest) == [("repeated", 1, 101)]


def test_a_reading_that_says_something_new_after_the_decision(contest):
    differing(contest)
    decide_card(the_class(contest), the_contestant(contest, 101), "3124", "Sue", "as the card says")
    assert doubts_of(contest) == []
    read(contest, 1, 101, "4321", "Cy")
    (doubt,) = doubts_of(contest)
    assert (doubt.kind, doubt.since) == ("late", doubt.said[-1].at)
    assert [said.decides for said in doubt.said] == [False, False, True, False]


def test_a_number_that_nobody_has(contest):
    read(contest, 1, 999, "3124")
    (doubt,) = doubts_of(contest)
    assert (doubt.kind, doubt.stray, doubt.known) == ("unknown", True, False)


def test_a_class_that_the_division_does_not_judge(contest):
    read(contest, 1, 201, "3124")
    assert found(contest) == [("wrong-class", 1, 201)]


def test_a_class_that_has_no_cards(contest):
    judged = the_class(contest, 3)
    read_card(judged, 101, "3124", "Ann", "5f0c4a88-8a43-4d0e-9a43-0d1d6f1d9c55")
    assert found(contest) == [("wrong-class", 3, 101)]


def test_a_card_of_somebody_who_is_marked_absent(contest):
    read(contest, 1, 104, "", "Ann")
    assert doubts_of(contest) == []  # no card is what was to be expected
    read(contest, 1, 104, "3124", "Ben")
    assert found(contest) == [("absent", 1, 104)]
    contest.contestants.filter(number=104).update(present=True)
    assert doubts_of(contest) == []


def test_scores_of_somebody_who_is_marked_absent(contest):
    official, gone = add_official(contest, "A", "x"), the_contestant(contest, 104)
    read_reasons(the_class(contest, 2), official, gone, None, "Ann")
    assert doubts_of(contest) == []  # no score is what was to be expected
    read_reasons(the_class(contest, 2), official, gone, 4300, "Ben")
    read_mark(contest.parts.get(), gone, 4000, "Ben")
    assert [(doubt.about, doubt.kind, doubt.number) for doubt in doubts_of(contest)] == [
        ("reasons", "absent", 104),
        ("mark", "absent", 104),
    ]
    assert leave_absent(gone, "Sue", "left early") == 2
    assert doubts_of(contest) == []
    read_mark(contest.parts.get(), gone, 4100, "Cy")
    assert found(contest) == [("late", None, 104)]


def test_a_card_of_somebody_absent_that_was_decided_is_settled(contest):
    read(contest, 1, 104, "3124")
    decide_card(the_class(contest), the_contestant(contest, 104), "3124", "Sue", "left early")
    assert doubts_of(contest) == []


def test_reasons_scores_and_marks_that_differ(contest):
    official, contestant = add_official(contest, "A", "x"), the_contestant(contest, 101)
    read_reasons(the_class(contest, 2), official, contestant, 4000, "Ann")
    read_mark(contest.parts.get(), contestant, 4050, "Ann")
    assert doubts_of(contest) == []
    read_reasons(the_class(contest, 2), official, contestant, 4100, "Ben")
    read_mark(contest.parts.get(), contestant, 4100, "Ben")
    doubts = doubts_of(contest)
    assert [(doubt.about, [said.text for said in doubt.said]) for doubt in doubts] == [
        ("reasons", ["40", "41"]),
        ("mark", ["40.5", "41"]),
    ]
    assert [doubt.what for doubt in doubts] == [
        "Reasons, class 2, contestant 101, official A",
        "Questions, contestant 101",
    ]


def test_the_oldest_stands_first_by_when_it_became_doubtful(contest):
    read(contest, 1, 101, "3124", "Ann")
    read(contest, 1, 999, "3124")
    read(contest, 1, 101, "3142", "Ben")
    read(contest, 1, 201, "3124")
    assert [kind for kind, *_ in found(contest)] == ["unknown", "differs", "wrong-class"]


def test_nothing_but_the_superintendents_act_makes_a_doubt_go(contest):
    read(contest, 1, 999, "3124")
    read(contest, 1, 201, "1234")
    differing(contest)
    stray, wrong, *_ = Reading.objects.order_by("pk")
    move_card(stray, 102, "Sue", "misread")
    assert [kind for kind, *_ in found(contest)] == ["wrong-class", "differs"]
    set_aside(wrong, "Sue", "read by mistake")
    assert found(contest) == [("differs", 1, 101)]
    assert Reading.objects.count() == 5  # nothing is ever deleted: four were read, one was moved


def test_doubts_of_other_contests_are_theirs(contest):
    differing(small_contest())
    assert doubts_of(contest) == []


def test_the_cost_does_not_grow_with_the_doubts(contest, django_assert_num_queries):
    queries = 15
    with django_assert_num_queries(queries):
        doubts_of(contest)
    for number in (101, 102, 103):
        differing(contest, number=number)
    for number in range(900, 910):
        read(contest, 1, number, "3124")
    with django_assert_num_queries(queries):
        assert len(doubts_of(contest)) == 13
