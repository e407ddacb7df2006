"""Many problems that are one mistake are told as one, the most important first, and none is lost."""

import pickle

import pytest

from contest.book import BookProblems, Problem, problems
from contest.book.problems import EXAMPLES, KINDS, Problems, grouped, summed_up
from tests.contest.book.books import SOUND, line_of, problems_with

ROWS = 815


def far_too_many():
    cards = "class,number,placing\n" + "".join(f"9,{number},3124\n" for number in range(1, ROWS + 1))
    return {"cards": cards, "marks": "part,points,number\nNONE,3,1\n", "contest": SOUND["contest.toml"] + "\nodd = 1\n"}


def found_in(folder, **changed):
    return tuple(Problem(*each) for each in problems_with(folder, **changed))


def test_what_is_alike_is_said_once_with_how_many_more_there_are(tmp_path):
    found = found_in(tmp_path, cards=far_too_many()["cards"])
    lines = list(summed_up(found))
    alike = [line for line in lines if "class '9' is not defined" in line]
    assert alike == [f"cards.csv:{line}: class '9' is not defined in contest.toml" for line in (2, 3, 4)]
    assert f"    and {ROWS - EXAMPLES} more such rows in cards.csv" in lines
    assert len(found) >= ROWS


def test_what_other_problems_rest_on_comes_first(tmp_path):
    changed = far_too_many()
    lines = list(summed_up(found_in(tmp_path, **changed)))
    files = [line.split(":")[0] for line in lines if not line.startswith(" ")]
    assert files == sorted(files, key=["contest.toml", "cards.csv", "marks.csv"].index)
    assert lines[0].startswith(f"contest.toml:{line_of(changed['contest'], 'odd')}: ")


def test_a_whole_file_comes_before_rows_and_in_a_file_the_commonest_kind_does():
    rows = [Problem("cards.csv", 2, "rare"), *(Problem("cards.csv", line, f"no {line}") for line in range(3, 9))]
    whole = Problem("marks.csv", 0, "it is saved as UTF-16")
    kinds = grouped([*rows, whole])
    assert [alike.shown[0] for alike in kinds] == [whole, rows[1], rows[0]]
    assert [alike.rest for alike in kinds] == ["", "and 3 more such rows in cards.csv", ""]


@pytest.mark.parametrize(
    ("one", "other", "are_alike"),
    [
        ("number is '12'; it must be", 'number is "it\'s"; it must be', True),
        ("score: 41.5 is more than 40", "score: 60 is more than 40", True),
        ("number is 'a'", "number is 'it\\'s'", True),
        ("column 'a' is unknown", "column 'a' is missing", False),
        ("class 3 takes no cards", "class 4 takes no marks", False),
    ],
)
def test_problems_are_alike_that_differ_in_values_alone(one, other, are_alike):
    kinds = grouped([Problem("cards.csv", 2, one), Problem("cards.csv", 3, other)])
    assert (len(kinds) == 1) is are_alike


def test_kinds_beyond_the_bound_are_counted():
    words = [f"{chr(97 + number // 26)}{chr(97 + number % 26)}" for number in range(KINDS + 5)]
    lines = list(summed_up(tuple(Problem("cards.csv", 2 + at, word) for at, word in enumerate(words))))
    assert len(lines) == KINDS + 1
    assert lines[-1] == "and 5 more of 5 other kinds"


def test_a_book_of_nothing_but_mistakes_is_read_no_further_than_anybody_could_mend(monkeypatch, tmp_path):
    monkeypatch.setattr(problems, "MOST_PROBLEMS", 100)
    found = found_in(tmp_path, cards=far_too_many()["cards"])
    assert len(found) == 101
    assert next(summed_up(found)) == "cards.csv: it was read no further: there are 100 problems already"


def test_a_reason_is_never_longer_than_a_paragraph():
    collected = Problems()
    collected.add("cards.csv", 2, "x" * 100_000)
    with pytest.raises(BookProblems) as caught:
        collected.raise_if_any()
    assert len(str(caught.value)) < 500


def test_problems_reach_another_process_whole():
    sent = BookProblems((Problem("cards.csv", 2, "why"), Problem("", 0, "that")))
    assert pickle.loads(pickle.dumps(sent)).problems == sent.problems
