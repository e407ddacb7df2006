"""Keys that two people type, the second without seeing what the first one typed."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.keys import accept_key, enter_key, open_dispute, settle_dispute
from contest.models import Key, KeyDispute
from tests.contest.watch.cast import small_contest, the_class
from tests.trails import last_of

RIGHT, WRONG = ("3124", (3, 5, 2)), ("3142", (3, 5, 2))


@pytest.fixture
def judged(db):
    """A class whose key nobody has typed."""
    return the_class(small_contest(), 2)


def enter(judged, key, by, reason=""):
    return enter_key(judged, *key, by, reason)


def test_a_first_entry_is_provisional(judged):
    entered = enter(judged, RIGHT, "Ann")
    assert (entered.outcome, entered.key.confirmed_by) == ("first", "")


def test_the_same_from_somebody_else_confirms_it(judged):
    enter(judged, RIGHT, "Ann")
    entered = enter(judged, RIGHT, "Ben")
    assert (entered.outcome, entered.key.confirmed_by, entered.key.version) == ("confirmed", "Ben", 1)


def test_the_same_from_the_same_person_confirms_nothing(judged):
    enter(judged, RIGHT, "Ann")
    entered = enter(judged, RIGHT, "ann")
    assert (entered.outcome, entered.key.confirmed_by) == ("again", "")


def test_another_key_from_somebody_else_makes_no_version_until_somebody_says_which_is_right(judged):
    enter(judged, RIGHT, "Ann")
    assert enter(judged, WRONG, "Ben").outcome == "differs"
    assert [str(key) for key in judged.keys.all()] == ["3124 3-5-2"]
    assert str(open_dispute(judged.keys.get())) == "3142 3-5-2"
    with pytest.raises(NotPossible, match="say which is right"):
        enter(judged, RIGHT, "Cy")


def test_both_entries_are_in_the_trail(judged):
    enter(judged, RIGHT, "Ann")
    enter(judged, WRONG, "Ben")
    entry = last_of(judged.contest)
    assert (entry.by, entry.before, entry.after) == ("Ben", "3124 3-5-2", "3142 3-5-2")


@pytest.mark.parametrize(
    ("first_is_right", "by", "official", "confirmed_by", "version"),
    [
        (True, "Ben", "3124", "Ben", 1),  # Ben mistyped, and says so: now both stand behind it
        (True, "Ann", "3124", "Ann", 1),  # Ann says that she is right, after a look at the sheet
        (False, "Ann", "3142", "Ann", 2),
        (False, "Ben", "3142", "Ben", 2),
        (False, "Sue", "3142", "Sue", 2),
    ],
)
def test_whoever_says_which_is_right_confirms_it(judged, first_is_right, by, official, confirmed_by, version):
    enter(judged, RIGHT, "Ann")
    enter(judged, WRONG, "Ben")
    key = settle_dispute(KeyDispute.objects.get(), first_is_right, by, "the sheet says so")
    key.refresh_from_db()
    assert (key.official, key.confirmed_by, key.version) == (official, confirmed_by, version)
    assert key.judging_class.keys.last() == key
    assert open_dispute(Key.objects.first()) is None


def test_saying_which_is_right_needs_a_reason_and_happens_once(judged):
    enter(judged, RIGHT, "Ann")
    enter(judged, WRONG, "Ben")
    dispute = KeyDispute.objects.get()
    with pytest.raises(NotPossible, match="how you know"):
        settle_dispute(dispute, True, "Ben", " ")
    settle_dispute(dispute, True, "Ben", "slip")
    with pytest.raises(NotPossible, match="already"):
        settle_dispute(dispute, False, "Ann", "slip")


def test_a_confirmed_key_changes_for_a_reason_and_is_provisional_again(judged):
    enter(judged, WRONG, "Ann")
    enter(judged, WRONG, "Ben")
    with pytest.raises(NotPossible, match="say why it changes"):
        enter(judged, RIGHT, "Cy")
    entered = enter(judged, RIGHT, "Cy", "the official corrected it")
    assert (entered.outcome, entered.key.version, entered.key.confirmed_by) == ("changed", 2, "")
    assert enter(judged, RIGHT, "Ann").outcome == "confirmed"


def test_whoever_typed_it_corrects_it_for_a_reason(judged):
    enter(judged, WRONG, "Ann")
    assert enter(judged, RIGHT, "Ann", "slip").outcome == "changed"


def test_one_entry_can_be_accepted_for_a_reason(judged):
    key = enter(judged, RIGHT, "Sue").key
    with pytest.raises(NotPossible, match="why"):
        accept_key(key, "Sue", "")
    assert accept_key(key, "Sue", "nobody else is here").confirmed_by == "Sue"
    assert "nobody else is here" in last_of(judged.contest).what
    with pytest.raises(NotPossible):
        accept_key(key, "Sue", "again")


def test_a_key_in_dispute_cannot_be_accepted(judged):
    key = enter(judged, RIGHT, "Ann").key
    enter(judged, WRONG, "Ben")
    with pytest.raises(NotPossible):
        accept_key(key, "Sue", "it is right")


@pytest.mark.parametrize("cuts", [(1, 2), (1, 2, -1), (1, 2, 20_000)])
def test_an_impossible_key_is_refused_before_anything_else(judged, cuts):
    with pytest.raises(NotPossible):
        enter(judged, ("3124", cuts), "Ann")
