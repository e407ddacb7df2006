"""The page of progress: what it shows to whom, what it costs, and what a poll is answered."""

import re

import pytest

from contest.keys import hand_in_key
from contest.models import Duty
from contest.watch.counting import numbers_of, progress_of
from reasons.scores.officials import add_official
from tests.contest.watch.cast import differing, read, small_contest, the_class, the_contestant
from tests.slips import read_mark, read_reasons

pytestmark = pytest.mark.any_database


@pytest.fixture
def contest(db):
    return small_contest()


@pytest.fixture
def address(contest):
    return f"/contests/{contest.pk}/watch/progress/"


@pytest.fixture
def tabulator(as_helper, contest):
    return as_helper(contest, Duty.TABULATOR, "Ann")


def version(response):
    return re.search(r"\?v=([\d.]+)", response.content.decode())[1]


def test_cards_are_counted_by_class_group_and_state(contest):
    differing(contest, number=101)
    read(contest, 1, 102, "3124")
    read(contest, 1, 103, "", "Ann")
    read(contest, 1, 103, "", "Ben")
    read(contest, 2, 201, "1234", "Ann")
    read(contest, 2, 201, "1234", "Ben")
    progress, _left = progress_of(contest)
    first, second = progress.rows
    counts = {group: (c.due, c.missing, c.once, c.settled, c.no_card, c.doubt) for group, c in first.cells}
    assert counts == {"A": (2, 0, 1, 0, 0, 1), "B": (1, 0, 0, 0, 1, 0)}
    assert {group: (c.due, c.missing, c.settled) for group, c in second.cells} == {"A": (2, 2, 0), "B": (2, 1, 1)}
    assert progress.total.due == 7  # 104 is absent


def test_reasons_and_marks_are_counted_by_class_and_part(contest):
    official, contestant = add_official(contest, "A", "x"), the_contestant(contest, 101)
    read_reasons(the_class(contest, 2), official, contestant, 4000, "Ann")
    read_mark(contest.parts.get(), contestant, 4000, "Ann")
    read_mark(contest.parts.get(), contestant, 4000, "Ben")
    progress, _left = progress_of(contest)
    assert [(line.name, line.total.due, line.total.once) for line in progress.reasons] == [
        ("Class 2 Yearling ewes", 3, 1)
    ]
    assert [(line.name, line.total.due, line.total.settled) for line in progress.marks] == [("Questions", 3, 1)]


def test_an_ineligible_contestant_is_not_waited_for(contest):
    contest.contestants.filter(number=101).update(ineligible=True, ineligible_reason="x")
    read(contest, 1, 101, "3124")
    progress, _left = progress_of(contest)
    assert (progress.rows[0].total.due, progress.rows[0].total.once) == (2, 0)


def test_cards_that_came_with_a_book_are_no_pace(db):
    from scoring.core.record import Card

    contest = small_contest(cards=tuple(Card(1, number, "3124") for number in (101, 102, 103)))
    assert progress_of(contest)[1].per_minute is None


def test_readings_of_the_last_minutes_are_the_pace(contest):
    for number in (101, 102, 103):
        read(contest, 1, number, "3124", "Ann")
        read(contest, 1, number, "3124", "Ben")
    _progress, left = progress_of(contest)
    assert (left.needed, left.per_minute, left.minutes) == (8, 6, 2)


def test_the_cost_does_not_grow_with_what_was_read(contest, django_assert_num_queries):
    with django_assert_num_queries(11):
        progress_of(contest)
    for number in (101, 102, 103, 201):
        for by in ("Ann", "Ben"):
            read(contest, 2, number, "3124", by)
    with django_assert_num_queries(11):
        progress_of(contest)


def test_the_page_says_how_far_it_is(superintendent, contest, address):
    read(contest, 1, 101, "3124")
    text = superintendent.get(address).content.decode()
    assert "No pace yet" in text
    assert f'href="{address}1/?group=A"' in text


def test_whoever_reads_cards_sees_it_without_any_placing_or_score(tabulator, contest, address):
    read(contest, 1, 101, "4213")
    differing(contest, number=102)
    hand_in_key(the_class(contest, 2), "4321", (3, 5, 2), "Ada")
    for page in (address, f"{address}1/", f"{address}1/?group=A"):
        response = tabulator.get(page)
        assert response.status_code == 200
        assert not re.search(r"\b(4213|3124|3142|4321)\b|/cards/|/doubts/", response.content.decode())


@pytest.mark.parametrize("duty", [Duty.KEYS, Duty.REASONS, Duty.CHECK_IN, Duty.ANNOUNCER])
def test_other_duties_do_not_see_it(as_helper, contest, address, duty):
    client = as_helper(contest, duty)
    assert client.get(address).status_code == client.get(f"{address}1/").status_code == 404


def test_a_helper_of_another_contest_does_not_see_it(as_helper, address):
    assert as_helper(small_contest(), Duty.TABULATOR).get(address).status_code == 404


def test_it_cannot_be_posted_to(superintendent, address):
    assert superintendent.post(address).status_code == 405


def test_a_contest_class_or_group_that_is_not_there_is_not_found(superintendent, contest, address):
    assert superintendent.get("/contests/999/watch/progress/").status_code == 404
    for wrong in ("9/", "3/", "1/?group=Z"):  # 3 has no cards
        assert superintendent.get(address + wrong).status_code == 404


def test_a_poll_is_told_nothing_while_nothing_changes(superintendent, contest, address):
    shown = version(superintendent.get(address))
    response = superintendent.get(address, {"v": shown})
    assert (response.status_code, response.content) == (204, b"")


def test_a_poll_that_was_away_catches_up_at_once_with_the_live_part_alone(superintendent, contest, address):
    from django.core.cache import cache

    shown = version(superintendent.get(address))
    for number in (101, 102):
        read(contest, 1, number, "3124")
    cache.delete(f"revision-{contest.pk}")  # half a second later
    response = superintendent.get(address, {"v": shown})
    text = response.content.decode()
    assert response.status_code == 200
    assert text.startswith('<div id="progress"')
    assert "<b>2</b> <span>once</span>" in text
    assert superintendent.get(address, {"v": version(response)}).status_code == 204


@pytest.mark.usefixtures("clock_stands")
def test_many_polls_cost_no_more_than_knowing_who_asks(superintendent, contest, address, django_assert_num_queries):
    shown = version(superintendent.get(address))
    with django_assert_num_queries(40):  # who asks and for whom, each time; the revision is known already
        for _ in range(20):
            superintendent.get(address, {"v": shown})


def test_the_live_part_holds_nothing_to_type_into(superintendent, contest, address):
    for page in (address, f"{address}1/"):
        part = superintendent.get(page, {"v": "0"}).content.decode()
        assert not re.search("<(input|select|textarea|button|form)", part)


def test_the_numbers_of_a_group_stand_by_state(contest):
    read(contest, 1, 101, "3124")
    ((group, numbers),) = numbers_of(contest, the_class(contest), "A")
    assert group == "A"
    assert numbers == {"doubt": [], "missing": [102], "once": [101], "settled": [], "no card": []}


def test_the_missing_numbers_are_on_the_page_of_a_class(superintendent, contest, address):
    read(contest, 1, 101, "3124")
    text = superintendent.get(f"{address}1/").content.decode()
    missing = re.findall(r'id="number-(\d+)"', text.split("missing", 1)[1])
    assert missing[0] == "102"
