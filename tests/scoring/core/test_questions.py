"""Questions by answer: what a row is worth by the key, told in words, and what each question told."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import pointbiserialr

from scoring.core.questions import (
    Questions,
    answers_told,
    correlation,
    difficulties,
    earned,
    in_fives,
    points_of,
    worth_in_words,
    wrong_answers,
)

FIVE = Questions("ABCD", (200, 200, 200, 400, 50), "ABCDA")


@pytest.mark.parametrize(
    ("key", "row", "points"),
    [
        ("ABCDA", "ABCDA", 1050),
        ("ABCDA", "ABCDB", 1000),
        ("ABCDA", "-----", 0),
        ("ABCDA", "AB-*A", 450),
        ("ABCDA", "DCBAD", 0),
        ("ABCDA", "", 0),
        ("ABCDA", "unreadable", 0),
        ("ABC-A", "ABCDA", 650),
        ("ABC-A", "ABC-A", 650),
        ("*****", "-*ABC", 1050),
        ("A*---", "A--*-", 400),
        (None, "ABCDA", 0),
    ],
)
def test_a_row_is_worth_its_right_answers(key, row, points):
    assert points_of(Questions("ABCD", FIVE.worth, key), row) == points


def test_it_is_told_what_is_wrong_only_where_the_key_may_be_seen():
    assert answers_told(FIVE, "A-DDC", shows_key=True) == [
        "2 of 5 right",
        "wrong: 2 (blank, key B), 3 (you D, key C), 5 (you C, key A)",
    ]
    assert answers_told(FIVE, "A-DDC", shows_key=False) == ["2 of 5 right"]
    assert answers_told(FIVE, "ABCDA", shows_key=True) == ["5 of 5 right"]
    assert answers_told(FIVE, "*BCDA", shows_key=True)[1] == "wrong: 1 (not clear, key A)"
    thrown_out = Questions("ABCD", FIVE.worth, "A--*A")
    assert answers_told(thrown_out, "DDDDA", True) == [
        "2 of 3 right",
        "wrong: 1 (you D, key A)",
        "questions 2, 3 count for nobody",
    ]
    for row, told in (("", "no answer sheet"), ("unreadable", "the answer sheet could not be read")):
        assert answers_told(FIVE, row, shows_key=True) == [told]
    assert answers_told(Questions("AB", (100, 100)), "AB", True) == ["the answer key is not in yet"]


def test_rows_and_points_are_written_as_people_read_them():
    assert [in_fives(row) for row in ("ABC", "ABCDE", "ABCDEF")] == ["ABC", "ABCDE", "ABCDE F"]
    assert [worth_in_words(worth) for worth in ((200, 200), (100, 250))] == ["2", "1 2.5"]


signs = st.sampled_from("ABCD-*")


@st.composite
def sheets(draw):
    count = draw(st.integers(2, 30))
    of_all = st.text(signs, min_size=count, max_size=count)
    worth = tuple(draw(st.lists(st.integers(1, 1000), min_size=count, max_size=count)))
    return Questions("ABCD", worth, draw(of_all)), draw(st.lists(of_all, max_size=25))


@settings(max_examples=60)
@given(sheets())
def test_a_sheet_is_the_sum_of_its_questions_and_each_is_right_wrong_or_out(drawn):
    questions, rows = drawn
    for row in rows:
        by_question = [
            0 if right == "-" else worth if right in ("*", given_) else 0
            for worth, right, given_ in zip(questions.worth, questions.key, row, strict=True)
        ]
        assert list(earned(questions, row)) == by_question
        assert points_of(questions, row) == sum(by_question)
        lost = sum(questions.worth[wrong.question - 1] for wrong in wrong_answers(questions, row))
        assert points_of(questions, row) + lost == sum(questions.worth[place] for place in questions.counting)


@settings(max_examples=60)
@given(sheets())
def test_how_a_question_went_counts_every_sheet_once_and_agrees_with_scipy(drawn):
    questions, rows = drawn
    for told in difficulties(questions, [*rows, "", "unreadable"]):
        place = told.question - 1
        column = [row[place] for row in rows]
        assert (told.of, told.right, told.blank) == (len(rows), column.count(told.right_answer), column.count("-"))
        assert told.share == (told.right / told.of if rows else None)
        assert all(column.count(letter) == told.taken for letter in told.most_taken)
        others = [points_of(questions, row) - earned(questions, row)[place] for row in rows]
        hits = [letter == told.right_answer for letter in column]
        if len(rows) < 10 or len(set(hits)) < 2 or len(set(others)) < 2:
            assert told.tells is None and told.word == "cannot be told"
        else:
            assert told.tells == pytest.approx(pointbiserialr(hits, others).statistic, abs=1e-9)


@pytest.mark.parametrize(
    ("row", "word"),
    [
        ("AAAAABBBBB", "well"),
        ("ABAABBABAB", "somewhat"),
        ("ABABABABAB", "hardly"),
        ("BBBBBAAAAA", "the wrong way round: look at its key"),
    ],
)
def test_a_plain_word_says_how_well_a_question_tells_strong_from_weak(row, word):
    others = ["AAAAAAAAAA"[:right] + "B" * (10 - right) for right in (10, 9, 8, 7, 6, 5, 4, 3, 2, 1)]
    questions = Questions("AB", (100,) * 11, "A" * 11)
    told = difficulties(questions, [sign + rest for sign, rest in zip(row, others, strict=True)])[0]
    assert told.word == word
    assert told.share == Fraction(1, 2)


def test_where_all_did_alike_nothing_is_told():
    assert correlation([True, True], [1, 2]) is None
    assert correlation([True, False], [3, 3]) is None
    assert correlation([True, False], [3, 1]) == pytest.approx(1)
