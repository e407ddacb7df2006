"""What contestants need: entered once, obeyed by the plan and the papers, and known to nobody else."""

import re

import pytest

from contest.entries.accommodating import Needs, accommodate, needs_of
from contest.entries.people import substitute
from contest.models import Accommodation, RowChange
from contest.privacy.anonymising import anonymise
from contest.records.day import load_record_with_day
from reasons.day.timetable import Wishes, first_draft, planning_of
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from tests.contest.watch.cast import sent, small_contest, the_contestant
from tests.reasons.day.cast import reasons_contest
from tests.trails import trail_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
NEEDS = Needs(extra_time=50, reader=True, large_print=True, separate_room=True, note="sits by the door")


@pytest.fixture
def contest():
    return small_contest()


def printed(contest, name, choice=None):
    document = DOCUMENTS[name]
    return html_of(document, gather_material(contest.pk, document), choice or Choice())[0]


def test_it_is_entered_on_the_contestants_page_and_taken_away_again(superintendent, contest):
    person = the_contestant(contest, 101)
    address = f"/contests/{contest.pk}/entries/{person.pk}/"
    assert "Accommodations" in superintendent.get(address).content.decode()
    fields = {"needs-extra_time": "50", "needs-reader": "on", "needs-note": "sits by the door"}
    assert superintendent.post(f"{address}needs/", sent(**fields)).status_code in (200, 302)
    assert needs_of(contest) == {101: Needs(extra_time=50, reader=True, note="sits by the door")}
    assert "sits by the door" in superintendent.get(address).content.decode()
    superintendent.post(f"{address}needs/", sent(**{"needs-extra_time": "0"}))
    assert needs_of(contest) == {}


def test_the_trail_says_that_it_changed_and_nothing_keeps_what_it_was(contest):
    accommodate(the_contestant(contest, 101), NEEDS, "Sue")
    accommodate(the_contestant(contest, 101), Needs(), "Sue")
    last = trail_of(contest)[-1]
    assert (last.what, last.before, last.after) == ("contestant 101: what they need", None, None)
    assert not RowChange.objects.filter(of_table=Accommodation._meta.db_table).exists()


def test_another_person_under_the_number_needs_something_else(contest):
    person = the_contestant(contest, 101)
    accommodate(person, NEEDS, "Sue")
    substitute(person, "Ann", "Other", "Sue")
    assert needs_of(contest) == {}


def test_an_anonymous_contest_knows_nothing_of_it_and_no_book_ever_does(contest):
    accommodate(the_contestant(contest, 101), NEEDS, "Sue")
    assert "sits by the door" not in repr(load_record_with_day(contest.pk))
    anonymise(contest, "Sue")
    assert not Accommodation.objects.exists()


def test_it_stands_on_the_group_leaders_sheet_and_chooses_large_print_by_itself(contest):
    accommodate(the_contestant(contest, 101), NEEDS, "Sue")
    page = printed(contest, "group-sheets")
    assert "50 % more time, a reader, large print and a separate room;\n<i><bdi>sits by the door</bdi></i>" in page
    assert page.count("for you alone") == 1
    assert re.search(r"\b101\b", printed(contest, "large-cards"))
    assert not re.search(r"\b101\b", printed(contest, "large-cards", Choice(numbers=(102,))))
    for name in ("placing-cards", "check-in", "door-timetables", "room-sheets"):
        assert "sits by the door" not in printed(contest, name)


def test_one_list_tells_the_superintendent_all_of_it_with_how_many_of_each(contest):
    assert "Nobody has said that they need anything." in printed(contest, "accommodations")
    accommodate(the_contestant(contest, 101), NEEDS, "Sue")
    accommodate(the_contestant(contest, 102), Needs(large_print=True), "Sue")
    page = " ".join(printed(contest, "accommodations").split())
    assert "2 contestants: 1 × 50 % more time; 1 × a reader; 1 × a separate room; 2 × large print" in page
    rows = re.findall(r'<td class="r strong">(\d+)</td>.*?<td>([^<]*)</td> <td><bdi>([^<]*)</bdi></td> </tr>', page)
    assert rows == [
        ("101", "50 % more time; a reader; large print; a separate room", "sits by the door"),
        ("102", "large print", ""),
    ]


def test_the_reasons_plan_gives_them_longer_in_a_quiet_room():
    contest = reasons_contest(people=4, rooms=2)
    quiet = contest.rooms.last()
    contest.rooms.filter(pk=quiet.pk).update(is_quiet=True)
    number = contest.contestants.first().number
    accommodate(contest.contestants.first(), NEEDS, "Sue")
    draft = first_draft(planning_of(contest, Wishes()), 0.2)
    minutes = contest.reasons_day.minutes_per_set
    theirs = [one for one in draft.sets if one.number == number]
    assert theirs
    assert {(one.room, one.end - one.start) for one in theirs} == {(str(quiet.pk), minutes * 3 // 2)}
    assert {one.end - one.start for one in draft.sets if one.number != number} == {minutes}
