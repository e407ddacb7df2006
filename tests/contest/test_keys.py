"""Keys: a new version for every change, and everything scored again."""

from pathlib import Path

import pytest

from contest.book import read_book
from contest.keys import hand_in_key
from contest.models import JudgingClass, Key
from contest.records import save_record
from contest.records.tallying import tallied
from tests.trails import last_of

EXAMPLES = Path(__file__).parents[1] / "examples"


@pytest.fixture
def contest(db):
    return save_record(read_book(EXAMPLES / "book-3"), by="test")


@pytest.fixture
def waiting(contest):
    """The class whose officials have not handed in their placing yet."""
    return JudgingClass.objects.get(contest=contest, number=3)


def class_scores(contest, number):
    contest.refresh_from_db()
    items = (scores for scores in tallied(contest).result.scores if scores.item == f"class:{number}")
    return {number: points for scores in items for number, points in zip(scores.numbers, scores.points, strict=True)}


def test_a_first_key_makes_its_class_count(contest, waiting):
    assert class_scores(contest, 3) == {}
    hand_in_key(waiting, "1342", [3, 5, 2], by="Ada")
    assert class_scores(contest, 3)[179] == 100  # book-3: 179 placed 1342, and the class is worth 100


def test_a_changed_key_is_a_new_version_and_scores_everything_again(contest, waiting):
    hand_in_key(waiting, "1342", [3, 5, 2], by="Ada")
    before = class_scores(contest, 3)
    hand_in_key(waiting, "3142", [3, 5, 2], by="Ben", reason="the top pair was written down wrongly")
    after = class_scores(contest, 3)
    assert after[179] == before[179] - 3
    assert [(key.version, key.official) for key in Key.objects.filter(judging_class=waiting)] == [
        (1, "1342"),
        (2, "3142"),
    ]


def test_a_change_needs_a_reason(waiting):
    hand_in_key(waiting, "1342", [3, 5, 2], by="Ada")
    with pytest.raises(ValueError, match="say why"):
        hand_in_key(waiting, "3142", [3, 5, 2], by="Ben")
    assert Key.objects.filter(judging_class=waiting).count() == 1


def test_the_trail_tells_who_changed_what_and_from_what(contest, waiting):
    hand_in_key(waiting, "1342", [3, 5, 2], by="Ada")
    hand_in_key(waiting, "3142", [3, 5, 2], by="Ben", reason="slip")
    entry = last_of(contest)
    assert (entry.by, entry.what, entry.before, entry.after) == ("Ben", "key of class 3", "1342 3-5-2", "3142 3-5-2")
    contest.refresh_from_db()
    assert entry.revision == contest.revision == 3


@pytest.mark.parametrize(
    ("official", "cuts"), [("1224", [1, 1, 1]), ("123", [1, 1, 1]), ("1234", [1, 1]), ("1234", [1, -1, 1])]
)
def test_an_impossible_key_is_refused_in_words(waiting, official, cuts):
    with pytest.raises(ValueError, match=r"animal|placing|cut"):
        hand_in_key(waiting, official, cuts, by="Ada")
    assert not Key.objects.filter(judging_class=waiting).exists()
