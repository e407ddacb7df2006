"""Committees: who sits on which, and what each official hands in alone."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.committee.handing_in import hand_in
from contest.committee.officials import add_official, remove_official, seat_official
from contest.history.taking_back import newest_first
from contest.keys import ReasonWanted, enter_key, settle_dispute
from contest.models import CommitteeKey, CommitteeSeat, KeyDispute
from contest.privacy.anonymising import anonymise
from contest.records.day import load_record_with_day
from contest.records.saving import save_record
from contest.records.tallying import tallied
from scoring.core.record import PanelKey
from tests.contest.watch.cast import small_contest, the_class
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return small_contest()


def official(contest, name="Mary Doe"):
    return add_official(contest, name, "Sue")


def seat(official, number=2):
    return CommitteeSeat.objects.get(official=official, judging_class__number=number)


def test_a_new_official_sits_on_the_committee_of_every_class_that_has_cards(contest):
    mary = official(contest, "  Mary   Doe ")
    assert (mary.name, [each.judging_class.number for each in mary.seats.all()]) == ("Mary Doe", [1, 2])
    for name, why in (("mary doe", "an official of that name"), (" ", "give the official a name"), ("x" * 201, "long")):
        with pytest.raises(NotPossible, match=why):
            official(contest, name)


def test_an_official_is_unseated_and_removed_until_something_was_handed_in(contest):
    mary = official(contest)
    seat_official(mary, [2], True, "Sue")
    assert [each.judging_class.number for each in mary.seats.all()] == [2]
    hand_in(seat(mary), "3124", (3, 5, 2), "Mary")
    with pytest.raises(NotPossible, match="Mary Doe has handed in for class 2; that stays"):
        seat_official(mary, [1], True, "Sue")
    with pytest.raises(NotPossible, match="that stays"):
        remove_official(mary, "Sue")
    ben = official(contest, "Ben")
    remove_official(ben, "Sue")
    assert contest.committee_officials.get() == mary


def test_what_is_handed_in_is_a_version_and_stands_in_the_record_unscored(contest):
    mary, before = official(contest), tallied(contest).result
    hand_in(seat(mary), "3124", (3, 5, 2), "Mary")
    hand_in(seat(mary), "3124", (3, 5, 2), "Mary")
    hand_in(seat(mary), "3142", (3, 5, 2), "Mary")
    assert [str(key) for key in CommitteeKey.objects.all()] == ["3124 3-5-2", "3142 3-5-2"]
    contest.refresh_from_db()
    assert tallied(contest).record.panel == (PanelKey(2, "Mary Doe", "3142", (3, 5, 2)),)
    assert tallied(contest).result == before
    assert last_of(contest).what == "class 2 placed anew by an official of its committee"


@pytest.mark.parametrize(
    ("placing", "cuts", "why"),
    [("3125", (3, 5, 2), "3125"), ("3124", (3, 5), "cuts"), ("3124", (3, 5, 20_000), "cannot be meant")],
)
def test_what_cannot_be_a_placing_or_its_cuts_is_refused(contest, placing, cuts, why):
    with pytest.raises(NotPossible, match=why):
        hand_in(seat(official(contest)), placing, cuts, "Mary")


def test_once_the_class_has_its_key_only_the_superintendent_changes_anything_and_says_why(contest):
    place = seat(official(contest), 1)  # which has its key
    with pytest.raises(NotPossible, match="the class has its key by now"):
        hand_in(place, "3124", (3, 5, 2), "Mary")
    with pytest.raises(ReasonWanted):
        hand_in(place, "3124", (3, 5, 2), "Sue", by_superintendent=True)
    assert hand_in(place, "3124", (3, 5, 2), "Sue", by_superintendent=True, reason="found it").reason == "found it"


def test_a_key_says_which_officials_agreed_on_it_whoever_types_it_the_second_time(contest):
    judged, officials = the_class(contest, 2), [official(contest, "Mary"), official(contest, "Joe")]
    enter_key(judged, "3124", (3, 5, 2), "Sue", agreed_by=officials)
    key = enter_key(judged, "3124", (3, 5, 2), "Ann").key
    assert (key.confirmed_by, [each.name for each in key.agreed_by.all()]) == ("Ann", ["Mary", "Joe"])


def test_what_officials_agreed_on_is_what_is_right_where_two_entries_differ(contest):
    judged, mary = the_class(contest, 2), official(contest)
    enter_key(judged, "3124", (3, 5, 2), "Sue", agreed_by=[mary])
    enter_key(judged, "3142", (3, 5, 2), "Ann")
    right = settle_dispute(KeyDispute.objects.get(), False, "Sue", "their sheet")
    assert (right.official, list(right.agreed_by.all())) == ("3142", [mary])


def test_a_placing_that_was_handed_in_is_not_taken_back_but_handed_in_anew(contest):
    hand_in(seat(official(contest)), "3124", (3, 5, 2), "Mary")
    assert next(entry.what for entry, _why in newest_first(contest, 10)) == "committee_official_added"


def test_a_committee_goes_through_a_book_and_back(contest):
    for name, placing in (("Mary", "3124"), ("Joe", "3142")):
        hand_in(seat(official(contest, name)), placing, (3, 5, 2), name)
    record = load_record_with_day(contest.pk)
    again = save_record(record, "Sue")
    assert load_record_with_day(again.pk).panel == record.panel
    assert len(record.panel) == 2


def test_an_anonymous_contest_holds_no_name_of_an_official(contest):
    mary = official(contest)
    hand_in(seat(mary), "3124", (3, 5, 2), "Mary")
    enter_key(the_class(contest, 2), "3124", (3, 5, 2), "Sue", agreed_by=[mary])
    anonymise(contest, "Sue")
    contest.refresh_from_db()
    (key,) = tallied(contest).record.panel
    assert key.official.startswith("person ")
    assert not CommitteeKey.objects.get().by.startswith("Mary")
