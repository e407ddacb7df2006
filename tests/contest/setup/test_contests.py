"""Making and copying contests, and changing what holds for all of one."""

from datetime import date, time

import pytest

from contest.book import read_book
from contest.changes.exceptions import ChangedMeanwhile
from contest.demo import DEMO_BOOK
from contest.models import Card, Contest, Reading, ReasonsScore, State
from contest.records import load_record, save_record
from contest.setup.contests import change_facts, change_rules, copy_contest, create_contest
from contest.setup.values import FACTS, fingerprint, plain_values
from contest.slips.resettling import resettle_contest, states_if
from reasons.scores.officials import add_official
from tests.contest.setup.cast import one_submission
from tests.factories import ClassFactory, a_contest
from tests.slips import read_card, read_reasons, settle_card
from tests.trails import last_of

pytestmark = pytest.mark.django_db


def outline_of(record):
    classes = tuple((c.number, c.name, c.divisions, c.category, c.places, c.reasons, c.perfect) for c in record.classes)
    return (record.divisions, record.categories, classes, record.parts, record.individual_ties, record.team_ties)


def test_an_empty_contest_has_the_usual_rules_and_a_trail():
    contest = create_contest("Alder Fair", date(2027, 3, 1), "Alder", "Sue")
    assert (contest.readings_per_card, contest.negative_scores, contest.revision) == (2, "keep", 1)
    assert last_of(contest).by == "Sue"


class TestCopying:
    def test_a_copy_has_the_outline_and_nothing_of_the_people_and_the_day(self):
        original = save_record(read_book(DEMO_BOOK), by="test")
        Contest.objects.filter(pk=original.pk).update(
            same_reader_twice=True, minutes_per_class=9, starts_at=time(8, 30)
        )
        original.refresh_from_db()
        copy = copy_contest(original, "Next year", date(2027, 4, 24), "Sue")
        _, before = load_record(original.pk)
        _, after = load_record(copy.pk)
        assert outline_of(after) == outline_of(before)
        assert (after.contestants, after.cards, after.reasons, after.marks) == ((), (), (), ())
        assert not any(judged.official or judged.cuts or judged.void for judged in after.classes)
        assert (after.rules.name, after.rules.held_on) == ("Next year", date(2027, 4, 24))
        assert after.rules.negative_scores == before.rules.negative_scores
        assert (copy.same_reader_twice, copy.minutes_per_class, copy.starts_at) == (True, 9, time(8, 30))
        assert not copy.reasons_officials.exists()

    def test_it_leaves_the_original_as_it_was(self):
        original = save_record(read_book(DEMO_BOOK), by="test")
        before = load_record(original.pk)
        copy_contest(original, "Next year", None, "Sue")
        assert load_record(original.pk) == before

    def test_its_trail_says_where_it_comes_from(self):
        copy = copy_contest(a_contest(), "Next year", None, "Sue")
        assert last_of(copy).what == "outline copied from Harrow Creek Fall Judging Contest"


class TestFacts:
    def test_a_change_is_written_with_before_and_after(self):
        contest = change_facts(a_contest(), "Sue", name="Alder Fair", minutes_per_class=8)
        entry = last_of(contest)
        assert (entry.by, entry.what) == ("Sue", "facts changed")
        assert entry.before == {"name": "Harrow Creek Fall Judging Contest", "minutes_per_class": 12}
        assert entry.after == {"name": "Alder Fair", "minutes_per_class": 8}

    def test_no_change_leaves_no_trace(self):
        contest = a_contest()
        change_facts(contest, "Sue", name=contest.name)
        contest.refresh_from_db()
        assert contest.revision == 1

    def test_a_page_that_showed_something_else_is_told_how_it_is_now(self):
        contest = a_contest()
        mark = fingerprint(plain_values(contest, FACTS))
        change_facts(contest, "Sue", place="The other fairground")
        with pytest.raises(ChangedMeanwhile) as caught:
            change_facts(contest, "Bob", mark, place="Mine")
        assert caught.value.theirs["place"] == "The other fairground"
        contest.refresh_from_db()
        assert contest.place == "The other fairground"


@pytest.fixture
def read():
    """A contest of which cards, reasons and marks were read in every way."""
    contest = a_contest(classes=(ClassFactory(reasons=("SR",)),), cards=())
    judged = contest.classes.get()
    given = {101: ["Ann 3124", "Bob 3124"], 102: ["Ann 3124", "ann 3124"], 103: ["Ann 3124", "Bob 1234"]}
    for number, readings in given.items():
        for reading in readings:
            by, placing = reading.split()
            read_card(judged, number, placing, by, one_submission())
    official = add_official(contest, "A", "Sue")
    read_reasons(judged, official, contest.contestants.get(number=101), 4400, "Ann")
    return contest


def states(contest):
    return [card.state for card in Card.objects.filter(judging_class__contest=contest).order_by("contestant__number")]


class TestRules:
    def test_one_reading_a_card_settles_what_was_read_once(self, read):
        assert states(read) == [State.SETTLED, State.ONCE, State.DOUBT]
        change_rules(read, "Sue", readings_per_card=1)
        assert states(read) == [State.SETTLED, State.SETTLED, State.DOUBT]
        assert ReasonsScore.objects.get().state == State.SETTLED

    def test_and_two_again_bring_it_back(self, read):
        change_rules(read, "Sue", readings_per_card=1)
        change_rules(read, "Sue", readings_per_card=2)
        assert states(read) == [State.SETTLED, State.ONCE, State.DOUBT]
        assert ReasonsScore.objects.get().state == State.ONCE

    def test_the_same_helper_twice_settles_what_one_helper_read_twice(self, read):
        change_rules(read, "Sue", same_reader_twice=True)
        assert states(read) == [State.SETTLED, State.SETTLED, State.DOUBT]

    def test_how_cards_would_stand_is_told_without_changing_any(self, read):
        once, twice, same = states_if(read, [(1, False), (2, False), (2, True)])
        assert once == same == {"settled": 2, "doubt": 1}
        assert twice == {"settled": 1, "once": 1, "doubt": 1}
        assert states(read) == [State.SETTLED, State.ONCE, State.DOUBT]

    def test_no_reading_is_lost(self, read):
        before = list(Reading.objects.values_list("pk", "placing", "by", "withdrawn_at"))
        change_rules(read, "Sue", readings_per_card=1)
        assert list(Reading.objects.values_list("pk", "placing", "by", "withdrawn_at")) == before

    def test_resettling_at_once_gives_what_settling_each_card_gives(self):
        contest = save_record(read_book(DEMO_BOOK), by="test")
        cards = Card.objects.filter(judging_class__contest=contest).order_by("pk")
        for needed in (1, 2):
            Contest.objects.filter(pk=contest.pk).update(readings_per_card=needed)
            contest.refresh_from_db()
            resettle_contest(contest)
            at_once = list(cards.values_list("placing", "second", "state"))
            for card in cards.select_related("judging_class__contest", "contestant"):
                settle_card(card.judging_class, card.contestant)
            assert list(cards.values_list("placing", "second", "state")) == at_once

    def test_resettling_takes_a_handful_of_statements_however_many_cards(self, django_assert_max_num_queries):
        contest = save_record(read_book(DEMO_BOOK), by="test")
        Contest.objects.filter(pk=contest.pk).update(readings_per_card=1)
        contest.refresh_from_db()
        with django_assert_max_num_queries(80):  # there are hundreds of cards
            assert resettle_contest(contest) > 0
