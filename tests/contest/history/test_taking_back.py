"""One press undoes a mass action while nothing built on it stands in the way, and says what does."""

import pytest
from django.apps import apps

from contest.changes.exceptions import NotPossible
from contest.entries import arrivals, assigning, people
from contest.entries.people import scratch
from contest.history.obstacles import BESIDE, CALLED
from contest.history.taking_back import can_be_taken_back, newest_first, take_back_change
from contest.keys import hand_in_key
from contest.models import StackClaim
from contest.records import load_record
from contest.row_changes.tables import recorded
from contest.setup import outline
from contest.setup.kinds import DIVISIONS
from contest.trail.sentences import say
from scoring.results.links import make_links, withdraw_all
from tests.contest.entries.cast import contestant, read, two_divisions
from tests.contest.entries.test_entry_list import load
from tests.factories import ClassFactory
from tests.scoring.results.cast import ready, release
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return two_divisions(classes=(ClassFactory(divisions=("SR", "JR"), official=None, cuts=None),))


def record(contest):
    return load_record(contest.pk)[1]


def last(contest):
    return contest.trail.order_by("-revision").first()


def numbers(contest):
    scheme = assigning.NumberScheme(seed="x", lowest=101, highest=106)
    shown = assigning.digest(assigning.numbers_of(assigning.everybody(contest), scheme))
    assigning.give_numbers(contest, scheme, "Ann", shown)


def groups(contest):
    shown = assigning.digest(assigning.groups_of(assigning.everybody(contest), 2, False))
    assigning.deal_groups(contest, 2, False, "Ann", shown)


def add_and_remove_division(contest):
    outline.remove(contest.divisions.get(code="PW"), "Ann")


MASS_ACTIONS = {
    "scratched": lambda contest: arrivals.scratch_missing(contest, 5, "Ann"),
    "an entry list": load,
    "numbers": numbers,
    "groups": groups,
    "a class": lambda contest: outline.remove(contest.classes.get(), "Ann"),
    "a division": add_and_remove_division,
}


@pytest.mark.parametrize("act", MASS_ACTIONS.values(), ids=MASS_ACTIONS)
def test_one_press_undoes_a_mass_action_and_the_trail_keeps_both(contest, act):
    teams = {"team_counting": 3, "short_team": "zero", "counting_members": "fixed"}
    extra = outline.add(DIVISIONS, contest, "Ann", code="PW", name="Peewee", **teams)
    extra.teams.create(name="Nobody yet")
    outline.change(contest.classes.get(), "Ann", divisions=["SR", "JR", "PW"])
    before = record(contest)
    act(contest)
    entry, done = last(contest), last_of(contest).what
    assert record(contest) != before
    assert can_be_taken_back(entry) == []
    revision = take_back_change(entry, "Sue")
    assert record(contest) == before
    said = last_of(contest)
    assert (said.revision, said.by, said.what) == (revision, "Sue", f"taken back: {done}"[:200])
    assert contest.trail.filter(pk=entry.pk).exists()


def test_and_taking_back_can_be_taken_back(contest):
    groups(contest)
    dealt = record(contest)
    take_back_change(last(contest), "Sue")
    take_back_change(last(contest), "Sue")
    assert record(contest) == dealt


def test_what_was_taken_back_stands_in_the_way_of_nothing(contest):
    before = record(contest)
    load(contest)
    listed = last(contest)
    someone = contest.contestants.order_by("pk").last()
    arrivals.check_in(someone, "Ann")
    arrived = last(contest)
    assert can_be_taken_back(listed)
    take_back_change(arrived, "Bea")
    undone = last(contest)
    assert not can_be_taken_back(listed)
    take_back_change(undone, "Bea")  # they are here after all
    assert can_be_taken_back(listed)
    take_back_change(last(contest), "Bea")
    assert can_be_taken_back(arrived)  # it is taken back already
    take_back_change(listed, "Bea")
    assert record(contest) == before
    assert can_be_taken_back(listed)


def test_what_changed_since_stands_in_the_way_and_is_named(contest):
    arrivals.scratch_missing(contest, 5, "Ann")
    entry = last(contest)
    arrivals.check_in(contestant(contest, 103), "Ben")
    (reason,) = can_be_taken_back(entry)
    assert reason.startswith("contestant 103 was changed since, at ")
    assert reason.endswith(" by Ben")
    before = record(contest)
    with pytest.raises(NotPossible, match="contestant 103"):
        take_back_change(entry, "Sue")
    assert record(contest) == before


def test_a_card_of_somebody_who_came_with_the_list_stands_in_the_way(contest):
    load(contest)
    entry = last(contest)
    read(contest, 1, 201, by="Cy")
    reasons = can_be_taken_back(entry)
    assert any(reason.startswith("a card of 201 was read since, at ") for reason in reasons)


def test_a_card_that_was_read_under_a_new_number_stands_in_the_way(contest):
    numbers(contest)
    entry = last(contest)
    number = contest.contestants.first().number
    read(contest, 1, number)
    assert any(f"a card of {number} was read since" in reason for reason in can_be_taken_back(entry))


def test_a_card_of_one_who_was_scratched_does_not(contest):
    arrivals.scratch_missing(contest, 5, "Ann")
    entry = last(contest)
    read(contest, 1, 103)
    assert can_be_taken_back(entry) == []


def test_a_number_that_is_somebody_elses_by_now_stands_in_the_way(contest):
    people.remove_contestant(contestant(contest, 105), "Ann")
    entry = last(contest)
    people.correct_entry(
        contestant(contest, 104), people.values_of(contestant(contest, 104)).__class__(105, "JR", "Cobblewick"), "Ann"
    )
    (reason,) = can_be_taken_back(entry)
    assert reason == "contestant 105 is somebody or something else by now"


def test_what_it_belonged_to_may_be_gone(contest):
    person = people.add_contestant(contest, people.values_of(contestant(contest, 105)).__class__(300, "SR", "Elm"), "A")
    people.remove_contestant(person, "Ann")
    entry = last(contest)
    assert can_be_taken_back(entry) == []
    people.add_contestant(contest, people.values_of(contestant(contest, 105)).__class__(301, "SR", "Elm"), "A")
    assert can_be_taken_back(entry) != []  # there is another team of that name


def test_readings_and_keys_have_ways_of_their_own(contest):
    read(contest, 1, 101)
    assert "set a reading aside" in can_be_taken_back(last(contest))[0]
    hand_in_key(contest.classes.get(), "1234", (1, 2, 3), "Ann")
    assert "handing in another" in can_be_taken_back(last(contest))[0]


def test_a_class_comes_back_with_its_stacks(contest, as_helper):
    helper = as_helper(contest, "tabulator", "Tab").helper
    judged = contest.classes.get()
    claim = StackClaim.objects.create(helper=helper, judging_class=judged, given_back_at=helper.joined_at)
    outline.remove(judged, "Ann")
    assert not StackClaim.objects.exists()
    take_back_change(last(contest), "Sue")
    assert StackClaim.objects.get().pk == claim.pk


def test_links_that_were_withdrawn_at_a_press_work_again():
    contest = ready()
    release(contest)
    made = make_links(contest, "Ann")
    withdraw_all(contest, "Ann")
    assert contest.take_home_links.filter(withdrawn_at=None).count() == 0
    take_back_change(last(contest), "Sue")
    assert contest.take_home_links.filter(withdrawn_at=None).count() == made


def test_the_list_holds_the_newest_first_and_no_reading(contest):
    scratch(contestant(contest, 101), "Ann")
    read(contest, 1, 102)
    groups(contest)
    found = [(say(entry.what, entry.values), reasons) for entry, reasons in newest_first(contest, 10)]
    assert [what for what, _ in found] == ["2 groups dealt", "contestant 101: scratched"]
    assert found[0][1] == []


def test_a_row_of_every_kept_table_has_a_name():
    kept = {model for model, *_ in recorded()}
    assert {model._meta.model_name for model in kept} == CALLED.keys()
    trail = {"rowchange", "trailentry", "trailname"}  # they go with their contest, and stand in the way of nothing
    beside = {
        model._meta.model_name
        for model in apps.get_models()
        if any(column.related_model in kept for column in model._meta.concrete_fields) and model not in kept
    }
    assert beside - trail == BESIDE.keys()
