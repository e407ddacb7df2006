"""When readings settle a card. The rules are Tanbark's own; a table first, then laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core.record import NO_CARD, UNREADABLE
from scoring.core.settling import Given, settle


def ann(value, decides=False):
    return Given(value, "ann", decides)


def ben(value, decides=False):
    return Given(value, "ben", decides)


def boss(value):
    return Given(value, "boss", decides=True)


def official(value, reader="tablet"):
    return Given(value, reader, is_source=True)


TWO_NEEDED = [
    ([ann("1234")], "1234", None, "once"),
    ([ann("1234"), ben("1234")], "1234", "1234", "settled"),
    ([ann("1234"), ann("1234")], "1234", None, "once"),  # one reader is one reader, however often
    ([ann("1234"), ben("1243")], "1234", "1243", "doubt"),
    ([ann("1234"), ann("1243")], "1234", "1243", "doubt"),  # two cards of one contestant, or a slip
    ([ann("1234"), ben("1243"), ben("1234")], "1234", "1243", "doubt"),  # nobody outvotes anybody
    ([ann(UNREADABLE), ben(UNREADABLE)], UNREADABLE, UNREADABLE, "settled"),
    ([ann(UNREADABLE), ben("1234")], UNREADABLE, "1234", "doubt"),
    ([ann(NO_CARD)], NO_CARD, None, "once"),
    ([ann(NO_CARD), ben(NO_CARD)], NO_CARD, None, "settled"),
    ([ann(NO_CARD), ben("1234")], "1234", None, "once"),  # the card turned up
    ([ann(NO_CARD), ben("1234"), ann("1234")], "1234", "1234", "settled"),
    ([ann("1234"), ben(NO_CARD)], NO_CARD, "1234", "doubt"),  # it was there, and now it is not
    ([ann("1234"), ben("1243"), boss("1243")], "1243", "1243", "settled"),
    ([boss(NO_CARD)], NO_CARD, None, "settled"),
    ([ann("1234"), ben("1243"), boss("1243"), ann("1234")], "1243", "1243", "settled"),  # known before it was decided
    ([ann("1234"), boss("1234"), ben("4321")], "1234", "4321", "doubt"),  # news after the decision
    ([ann("1234"), boss("1243"), ben("1234")], "1243", "1243", "settled"),  # read just before it was decided
    ([ann("1234"), boss("1234"), ben(NO_CARD)], "1234", "1234", "settled"),
    ([ann("1234"), boss("1234"), ben("4321"), boss("4321")], "4321", "4321", "settled"),  # the last decision holds
]


@pytest.mark.parametrize(("readings", "value", "second", "state"), TWO_NEEDED)
def test_two_readings_needed(readings, value, second, state):
    settlement = settle(readings, needed=2, nothing=NO_CARD)
    assert (settlement.value, settlement.second, settlement.state) == (value, second, state)


def test_one_reading_is_enough_where_the_contest_says_so():
    assert settle([ann("1234")], needed=1, nothing=NO_CARD).state == "settled"


def test_one_reader_may_give_both_readings_where_the_superintendent_allows_it():
    assert settle([ann("1234"), ann("1234")], needed=2, same_reader_twice=True, nothing=NO_CARD).state == "settled"


def test_no_reading_comes_to_nothing():
    assert settle([], needed=2, nothing=NO_CARD) is None


def test_points_have_no_value_that_means_nothing():
    assert settle([ann(0), ben(4400)], needed=2).state == "doubt"


@pytest.mark.parametrize(
    ("readings", "value", "second", "state"),
    [
        ([official(4400)], 4400, None, "settled"),  # nothing was copied
        ([official(4400), ann(4400)], 4400, 4400, "settled"),
        ([official(4400), ann(4000)], 4400, 4000, "doubt"),
        ([ann(4000), official(4400)], 4400, 4000, "doubt"),  # the source counts, whoever came first
        ([ann(4000), ben(4000), official(4400)], 4400, 4000, "doubt"),
        ([ann(4400), official(4400)], 4400, 4400, "settled"),
        ([official(4400), official(4300, "another tablet")], 4400, 4300, "doubt"),
        ([official(4400), ann(4000), boss(4000)], 4000, 4000, "settled"),
        ([official(4400), ann(4000), boss(4000), official(4400)], 4000, 4400, "doubt"),  # thought again after that
        ([ann(4000), boss(4000), official(4000)], 4000, 4000, "settled"),
        ([official(4400), boss(4000)], 4000, 4000, "settled"),  # known when it was decided
        ([official(4400), ann(None)], 4400, None, "doubt"),  # a slip says "no score": the source counts until decided
        ([ann(None), official(4400)], 4400, None, "settled"),  # it was given after all
        ([official(None), ann(4400)], 4400, None, "once"),
        ([ann(4400), official(None)], None, 4400, "doubt"),
        ([official(4400), ann(None), boss(None)], None, None, "settled"),
        ([official(4400), ann(None), boss(None), official(4400)], None, 4400, "doubt"),
    ],
)
def test_an_officials_own_entry_is_the_source(readings, value, second, state):
    settlement = settle(readings, needed=2)
    assert (settlement.value, settlement.second, settlement.state) == (value, second, state)


NOT = st.just(False)
SLIPS = st.builds(Given, st.sampled_from((4000, 4400, 4500)), st.sampled_from(("ann", "ben")), NOT, NOT)


@given(st.lists(SLIPS, max_size=4))
def test_with_an_officials_own_entry_a_score_is_settled_unless_a_slip_says_something_else(slips):
    settlement = settle([*slips, official(4400)], needed=2)
    assert settlement.value == 4400
    assert settlement.state == ("settled" if all(slip.value == 4400 for slip in slips) else "doubt")


readings = st.lists(
    st.builds(
        Given,
        st.sampled_from(("1234", "1243", "4321", UNREADABLE, NO_CARD)),
        st.sampled_from(("ann", "ben", "cy")),
        st.sampled_from((False, False, False, True)),
        NOT,
    ),
    min_size=1,
    max_size=6,
)


@given(readings)
def test_what_counts_is_always_something_that_somebody_read(given_readings):
    settlement = settle(given_readings, needed=2, nothing=NO_CARD)
    read = {reading.value for reading in given_readings}
    assert settlement.value in read
    assert settlement.second is None or settlement.second in read


@given(readings)
def test_a_book_can_say_what_it_comes_to(given_readings):
    settlement = settle(given_readings, needed=2, nothing=NO_CARD)
    assert settlement.second != NO_CARD  # a book writes an empty second reading for none
    assert (settlement.state == "doubt") == (settlement.second is not None and settlement.second != settlement.value)


@given(readings)
def test_without_a_decision_only_agreement_of_two_settles(given_readings):
    plain = [reading for reading in given_readings if not reading.decides]
    settlement = settle(plain, needed=2, nothing=NO_CARD)
    if settlement is not None and settlement.state == "settled":
        agreeing = {reading.reader for reading in plain if reading.value == settlement.value}
        assert len(agreeing) >= 2
        assert {reading.value for reading in plain} <= {settlement.value, NO_CARD}


@given(readings)
def test_a_decision_always_settles_when_it_is_made(given_readings):
    settlement = settle([*given_readings, boss("4321")], needed=2, nothing=NO_CARD)
    assert (settlement.value, settlement.state) == ("4321", "settled")


@pytest.mark.parametrize(
    ("readings", "value", "second", "state"),
    [
        ([official(4400), ann(None)], 4400, None, "doubt"),  # the slip says "no score", and the official gave one
        ([ann(None), official(4400)], 4400, None, "settled"),  # the score turned up
        ([ann(4400), official(None)], None, 4400, "doubt"),
        ([official(None)], None, None, "settled"),
        ([official(None), ann(4400)], 4400, None, "once"),
        ([ann(4400), boss(4400), official(None)], 4400, None, "doubt"),  # an official's word is news, whatever it is
        ([ann(4400), boss(4400), ben(None)], 4400, 4400, "settled"),
    ],
)
def test_an_officials_score_against_no_score(readings, value, second, state):
    settlement = settle(readings, needed=2, nothing=None)
    assert (settlement.value, settlement.second, settlement.state) == (value, second, state)
