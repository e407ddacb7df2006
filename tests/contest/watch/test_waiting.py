"""The doubts kept in memory: after every kind of change the badge of every page says how many the list has."""

import re

import pytest

from contest.entries.arrivals import check_in
from contest.entries.people import Values, add_contestant, move_contestant, scratch, unscratch
from contest.models import Reading
from contest.setup import outline
from contest.setup.classes import unvoid_class, void_class
from contest.setup.contests import change_rules
from contest.slips.reading import bring_back, set_aside, take_back
from contest.watch.deciding import leave_absent
from contest.watch.finding import doubts_of
from contest.watch.waiting import doubt_count, waiting
from reasons.scores.officials import add_official
from tests.contest.watch.cast import differing, read, small_contest, the_class, the_contestant
from tests.pages import body
from tests.slips import decide_card, decide_mark, move_card, read_mark, read_reasons


@pytest.fixture
def contest(db):
    return small_contest()


def every_kind_of_change(contest):
    """Makes them one after the other, and says after each how many doubts there are then."""

    def division(code):
        return contest.divisions.get(code=code)

    def newest():
        return Reading.objects.latest("pk")

    read(contest, 1, 101, "3124", "Ann")
    yield "a card read once", 0
    read(contest, 1, 101, "3142", "Ben")
    yield "read otherwise by another reader", 1
    take_back(newest(), "Ben")
    yield "taken back", 0
    bring_back(newest(), "Sue")
    yield "brought back", 1
    decide_card(the_class(contest), the_contestant(contest, 101), "3124", "Sue", "as the card says")
    yield "decided", 0
    read(contest, 1, 101, "4321", "Cy")
    yield "read after the decision", 1
    set_aside(newest(), "Sue", "read by mistake")
    yield "set aside", 0
    read(contest, 1, 500, "3124")
    read(contest, 2, 501, "3124")
    yield "read of numbers that nobody has", 2
    move_card(Reading.objects.get(number=501), 102, "Sue", "misread")
    yield "moved to whose it is", 1
    add_contestant(contest, Values(500, "SR"), "Sue")
    yield "entered, whoever has the number", 0
    read(contest, 1, 201, "3124")
    yield "read of a class that the division does not judge", 1
    move_contestant(the_contestant(contest, 201), division("SR"), "", "Sue")
    yield "moved to a division that judges it", 0
    scratch(the_contestant(contest, 102), "Sue")
    yield "scratched with a card", 1
    read(contest, 1, 102, "3124")
    yield "a card read of whoever is scratched", 2
    check_in(the_contestant(contest, 102), "Kim")
    yield "checked in", 0
    scratch(the_contestant(contest, 102), "Sue")
    yield "scratched again", 2
    leave_absent(the_contestant(contest, 102), "Sue", "left early")
    yield "left as it is", 0
    unscratch(the_contestant(contest, 102), "Sue")
    yield "here again", 0
    mark, contestant = contest.parts.get(), the_contestant(contest, 103)
    read_mark(mark, contestant, 4000, "Ann")
    read_mark(mark, contestant, 4100, "Ben")
    yield "a mark read otherwise", 1
    read(contest, 1, 103, "3124")
    yield "a card read beside it", 1
    decide_mark(mark, contestant, 4100, "Sue", "as the slip says")
    yield "the mark decided", 0
    official = add_official(contest, "A", "x")
    read_reasons(the_class(contest, 2), official, contestant, 4000, "Ann")
    read_reasons(the_class(contest, 2), official, contestant, 4100, "Ben")
    yield "a reasons score read otherwise", 1
    differing(contest, 2, 101)
    yield "two readings that differ at once", 2
    void_class(the_class(contest, 2), "Sue", "an animal lay down")
    yield "the class void", 2
    unvoid_class(the_class(contest, 2), "Sue", "it rose again")
    yield "the class counts again", 2
    change_rules(contest, "Sue", readings_per_card=1)
    yield "other rules", 2
    outline.change(the_class(contest, 2), "Sue", name="Two-year-old ewes")
    yield "the class renamed", 2


def badge(page):
    shown = re.search(r'<b class="badge">(\d+)<', page)
    return int(shown[1]) if shown else 0


def test_the_badge_counts_what_the_list_has_after_every_kind_of_change(superintendent, contest):
    start = f"/contests/{contest.pk}/watch/"
    for change, count in every_kind_of_change(contest):
        contest.refresh_from_db()
        kept = waiting(contest).doubts
        assert kept == doubts_of(contest), change
        assert (len(kept), badge(body(superintendent.get(f"{start}progress/")))) == (count, count), change
        listed = body(superintendent.get(f"{start}doubts/"))
        assert listed.count('<li class="doubt-sheet"') == count, change


def test_they_are_found_once_for_each_revision(contest, django_assert_num_queries):
    differing(contest)
    contest.refresh_from_db()
    assert doubt_count(contest) == 1
    with django_assert_num_queries(0):
        assert doubt_count(contest) == 1


def test_after_a_reading_only_its_card_is_looked_at(contest, monkeypatch):
    differing(contest)
    contest.refresh_from_db()
    assert doubt_count(contest) == 1
    monkeypatch.setattr("contest.watch.waiting.doubts_of", None)  # to look at everything would fail
    read(contest, 1, 102, "3124")
    read(contest, 1, 999, "3124")
    contest.refresh_from_db()
    assert [doubt.card for doubt in waiting(contest).doubts] == [(1, 101), (1, 999)]
