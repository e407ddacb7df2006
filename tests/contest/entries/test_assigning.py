"""Numbers and groups for everybody, and arrivals."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.entries import arrivals
from contest.entries.arrivals import CountChanged
from contest.entries.assigning import (
    NotAsSeen,
    NumberScheme,
    deal_groups,
    digest,
    everybody,
    give_numbers,
    groups_of,
    new_seed,
    numbers_of,
    put_in_group,
)
from contest.entries.people import add_contestant, scratch
from contest.entries.plan import Values
from contest.models import Touches
from tests.contest.entries.cast import contestant, read, trail, two_divisions

pytestmark = pytest.mark.django_db


def numbers(contest):
    return dict(contest.contestants.values_list("last_name", "number"))


def test_numbers_are_given_team_by_team_as_they_were_shown():
    contest = two_divisions()
    scheme = NumberScheme(start=102, step=10)
    shown = digest(numbers_of(everybody(contest), scheme))
    assert give_numbers(contest, scheme, "super", shown) == 5
    assert numbers(contest) == {
        "Family101x": 102,  # everybody changes number with somebody who has it
        "Family102x": 103,
        "Family103x": 104,
        "Family104x": 112,
        "Family105x": 122,
    }
    assert trail(contest)[0] == "numbers given by team"
    assert contest.trail.last().after["101"] == 102
    before = contest.revision
    assert give_numbers(contest, scheme, "super", shown) == 0
    contest.refresh_from_db()
    assert contest.revision == before


def test_drawn_numbers_are_those_that_were_shown():
    contest = two_divisions()
    scheme = NumberScheme(lowest=500, highest=504, seed=new_seed())
    given = numbers_of(everybody(contest), scheme)
    give_numbers(contest, scheme, "super", digest(given))
    assert dict(contest.contestants.values_list("pk", "number")) == given
    assert set(given.values()) == {500, 501, 502, 503, 504}


def test_numbers_that_would_be_others_than_shown_are_not_given():
    contest = two_divisions()
    scheme = NumberScheme()
    shown = digest(numbers_of(everybody(contest), scheme))
    add_contestant(contest, Values(900, "SR", "Barley Hill", "Aa", "Aa"), "other")
    with pytest.raises(NotAsSeen):
        give_numbers(contest, scheme, "super", shown)
    assert numbers(contest)["Family101x"] == 101


def test_numbers_stay_once_anything_was_read_even_for_nobody():
    contest = two_divisions()
    read(contest, 1, 999)
    shown = digest(numbers_of(everybody(contest), NumberScheme()))
    with pytest.raises(NotPossible, match="numbers stay as they are"):
        give_numbers(contest, NumberScheme(), "super", shown)


def groups(contest):
    return dict(contest.contestants.values_list("number", "group"))


def deal(contest, count, keep=False):
    return deal_groups(contest, count, keep, "super", digest(groups_of(everybody(contest), count, keep)))


def test_those_present_are_dealt_into_even_groups_with_team_mates_apart():
    contest = two_divisions()
    scratch(contestant(contest, 105), "super")
    put_in_group(contestant(contest, 105), "Z", "super")
    assert deal(contest, 3) == 5
    dealt = groups(contest)
    assert {dealt[101], dealt[102], dealt[103]} == {"A", "B", "C"}
    assert dealt[105] == ""
    assert trail(contest)[0] == "3 groups dealt"


def test_those_who_keep_their_groups_stay():
    contest = two_divisions()
    put_in_group(contestant(contest, 104), "B", "super")
    put_in_group(contestant(contest, 105), "Q", "super")
    deal(contest, 2, keep=True)
    dealt = groups(contest)
    assert dealt[104] == "B"
    assert sorted(dealt.values()).count("A") in (2, 3)


def test_groups_that_would_be_others_than_shown_are_not_dealt():
    contest = two_divisions()
    shown = digest(groups_of(everybody(contest), 2, False))
    scratch(contestant(contest, 101), "other")
    with pytest.raises(NotAsSeen):
        deal_groups(contest, 2, False, "super", shown)


@pytest.mark.parametrize("count", [0, 27])
def test_there_are_at_least_one_group_and_at_most_as_many_as_letters(count):
    with pytest.raises(ValueError, match="1 to 26"):
        groups_of([], count, False)


def test_one_contestant_is_moved_to_another_group_once():
    contest = two_divisions()
    put_in_group(contestant(contest, 101), "B", "super")
    put_in_group(contestant(contest, 101), "B", "super")
    assert trail(contest).count("contestant 101: moved to group B") == 1
    put_in_group(contestant(contest, 101), "", "super")
    assert groups(contest)[101] == ""


def test_an_arrival_is_noted_and_taken_back():
    contest = two_divisions()
    arrivals.check_in(contestant(contest, 101), "Ann")
    assert contestant(contest, 101).checked_in_at
    assert contest.trail.last().touches == Touches.NOTHING
    with pytest.raises(NotPossible, match="101 is in already, since"):
        arrivals.check_in(contestant(contest, 101), "Ann")
    arrivals.undo_check_in(contestant(contest, 101), "Ann")
    assert contestant(contest, 101).checked_in_at is None
    with pytest.raises(NotPossible, match="not checked in"):
        arrivals.undo_check_in(contestant(contest, 101), "Ann")


def test_whoever_was_scratched_and_comes_is_present_again():
    contest = two_divisions()
    scratch(contestant(contest, 101), "super")
    arrivals.check_in(contestant(contest, 101), "Ann")
    assert contestant(contest, 101).present
    assert contest.trail.last().touches == Touches.EVERYTHING


def test_all_who_have_not_come_are_scratched_if_they_are_as_many_as_told():
    contest = two_divisions()
    arrivals.check_in(contestant(contest, 101), "Ann")
    with pytest.raises(CountChanged, match="4 are missing now"):
        arrivals.scratch_missing(contest, 5, "super")
    assert arrivals.scratch_missing(contest, 4, "super") == 4
    assert list(contest.contestants.filter(present=True).values_list("number", flat=True)) == [101]
    assert contest.trail.last().before == [102, 103, 104, 105]
    assert arrivals.scratch_missing(contest, 0, "super") == 0


def test_whoever_handed_in_a_card_did_come_and_is_not_scratched_with_those_who_did_not():
    contest = two_divisions()
    read(contest, 1, 102, "3124")
    assert [person.number for person in arrivals.came_unnoticed(contest)] == [102]
    with pytest.raises(CountChanged, match="4 are missing now"):
        arrivals.scratch_missing(contest, 5, "super")
    assert arrivals.scratch_missing(contest, 4, "super") == 4
    assert contestant(contest, 102).present
