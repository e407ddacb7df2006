"""Entries that other contests send on: taken in together, numbered anew, and known by where they came from."""

import re
import shutil
from io import StringIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command

from contest.book import read_book, write_book
from contest.book.next_entries import COLUMNS
from contest.entries.plan import Layout, Person, Values, Verdict, make_plan
from contest.entries.source import Source, first_choice, together
from contest.uploads.spreadsheets import Unreadable
from scoring.core.record import Day, PersonsDay
from tests.contest.entries.looking import base, text
from tests.contest.entries.test_load_pages import confirmed
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, RecordFactory

HEAD = ",".join(COLUMNS)
PERRY = f"{HEAD}\n101,SR,Ash,Ann,Lee,member,yes,Perry\n102,SR,Ash,Bo,Ray,member,no,Perry\n"
DUNN = f"{HEAD}\n101,SR,Ash,Cy,Orr,member,yes,Dunn\n140,SR,,Ann,Lee,individual,yes,Dunn\n"
DIVISIONS = [("SR", "Senior"), ("JR", "Junior")]


def plan_of(*lists, people=(), start=201):
    names = ("perry", "dunn", "third")
    chosen = first_choice(
        Source("", {"": together(dict(zip(names, lists, strict=False)))}), DIVISIONS, numbers_from=start
    )
    return make_plan(chosen.lines, chosen.layout, DIVISIONS, people, renumber=True)


def entered(plan):
    return [Person(at, row.values) for at, row in enumerate(plan.rows, start=1) if row.values]


def test_numbers_are_given_anew_and_a_team_of_two_counties_is_told_apart():
    plan = plan_of(PERRY, DUNN)
    rows = [(row.values.number, row.values.team, row.values.came_from, row.values.show_name) for row in plan.rows]
    assert rows == [
        (201, "Ash (Perry)", "Perry", True),
        (202, "Ash (Perry)", "Perry", False),
        (203, "Ash (Dunn)", "Dunn", True),
        (204, "", "Dunn", True),
    ]


def test_the_same_name_of_two_counties_is_two_people_and_told():
    row = plan_of(PERRY, DUNN).rows[3]
    assert row.kind == Verdict.ADD
    assert row.notes == ("the same name as line 2, from Perry: look whether they are one person",)


def test_a_person_who_stands_twice_in_one_countys_list_is_refused_once():
    twice = PERRY + "103,SR,Ash,Ann,Lee,member,yes,Perry\n"
    assert [row.kind for row in plan_of(twice).rows].count(Verdict.REFUSE) == 1


def test_a_list_taken_in_twice_changes_nothing_and_a_later_one_keeps_clear_of_what_is_there():
    first = plan_of(PERRY)
    people = entered(first)
    assert {person.values.team for person in people} == {"Ash"}
    again = plan_of(PERRY, people=people)
    assert {row.kind for row in again.rows} == {Verdict.SAME}
    later = plan_of(DUNN, people=people)
    assert [(row.kind, row.values.number, row.values.team) for row in later.rows] == [
        (Verdict.ADD, 203, "Ash (Dunn)"),
        (Verdict.ADD, 204, ""),
    ]
    assert "from Perry" in later.rows[1].notes[0]
    once_more = plan_of(DUNN, people=[*people, *(Person(9 + p.key, p.values) for p in entered(later))])
    assert {row.kind for row in once_more.rows} == {Verdict.SAME}


def test_a_list_that_does_not_say_where_from_is_called_by_its_file():
    plan = plan_of("First name,Last name,Division\nAnn,Lee,SR\n", DUNN)
    assert [row.values.came_from for row in plan.rows] == ["perry", "Dunn", "Dunn"]


def test_a_list_without_headings_is_refused_by_name():
    with pytest.raises(Unreadable, match="perry: no line of headings"):
        plan_of("1,2\n3,4\n")


def test_a_team_entered_by_hand_stays_the_same_team():
    by_hand = Person(1, Values(7, "SR", "Ash", "Di", "Poe"))
    assert {row.values.team for row in plan_of(PERRY, people=[by_hand]).rows} == {"Ash"}


def test_a_layout_may_still_take_the_numbers_as_they_are():
    chosen = first_choice(Source.pasted(PERRY), DIVISIONS, numbers_from=201)
    layout = Layout(chosen.layout.headings, ("number", *chosen.layout.columns[1:]))
    assert [row.values.number for row in make_plan(chosen.lines, layout, DIVISIONS, (), True).rows] == [101, 102]


@pytest.mark.django_db(transaction=True)  # a thread reads what is brought
@pytest.mark.any_database
def test_files_from_several_contests_are_taken_in_at_once_and_who_came_from_where_is_shown(superintendent, contest):
    files = [SimpleUploadedFile(f"{name}.csv", of.encode()) for name, of in (("perry", PERRY), ("dunn", DUNN))]
    shown = superintendent.post(base(contest) + "load/", {"file": files}, follow=True)
    words = text(shown)
    assert re.search(r"to add 4 ", words)
    assert "so it is called Ash (Dunn) here" in words
    done = superintendent.post(base(contest) + "load/preview/", confirmed(shown, **give_of(shown)))
    assert done.status_code == 302
    assert set(contest.contestants.exclude(came_from="").values_list("came_from", flat=True)) == {"Perry", "Dunn"}
    assert "Came from" in text(superintendent.get(base(contest)))
    assert "2 entries of this choice" in text(superintendent.get(base(contest) + "?from=Perry"))
    by_place = text(superintendent.get(base(contest) + "from/"))
    assert re.search(r"Dunn 2 contestants.*Perry 2 contestants.*Nobody said where from 5 contestants", by_place)
    ann = contest.contestants.get(came_from="Perry", first_name="Ann")
    assert "from Perry" in text(superintendent.get(base(contest) + f"{ann.pk}/"))


def give_of(shown):
    page = shown.content.decode()
    start = re.search(r'id="numbers-from"[^>]*value="(\d+)"', page)[1]
    columns = {f"column-{at}": name for at, name in enumerate(shown.context["source"] and _columns(shown))}
    return {"give": "yes", "numbers-from": start, **columns}


def _columns(shown):
    return [field for _at, _heading, field, _seen in shown.context["columns"]]


def test_books_go_in_and_files_come_out(tmp_path):
    people = tuple(
        ContestantFactory(number=101 + at, team=team, first_name=f"First{at}", last_name=f"Last{at}")
        for at, team in enumerate(("Ash", "Ash", "Birch", ""))
    )
    county = RecordFactory(contestants=people, divisions=(DivisionFactory(team_counting=2),))
    write_book(county, tmp_path / "perry")
    write_book(RecordFactory(classes=(ClassFactory(),), contestants=(), cards=()), tmp_path / "state")
    said = StringIO()
    run = ["next_level", str(tmp_path / "perry"), "--teams", "1", "--individuals", "1", "--out"]
    call_command(*run, str(tmp_path / "perry.csv"), stdout=said, stderr=StringIO())
    assert "3 entries written" in said.getvalue()
    lists = [str(tmp_path / "perry.csv")]
    arguments = ["take_in", str(tmp_path / "state"), *lists, "--out", str(tmp_path / "out"), "--numbers-from", "500"]
    call_command(*arguments, stdout=said, stderr=StringIO())
    entries = (tmp_path / "out" / "entries.csv").read_text().splitlines()
    assert [line.split(",")[:3] for line in entries[1:]] == [
        ["500", "SR", "Ash"],
        ["501", "SR", "Ash"],
        ["502", "SR", ""],
    ]
    origins = (tmp_path / "out" / "came-from.csv").read_text()
    assert origins.splitlines()[1] == f"500,{county.rules.name}"


def test_what_a_book_says_of_those_in_it_stays_where_others_are_taken_in(tmp_path):
    champion = ContestantFactory(number=101, team="", role="individual", first_name="Ida", ranked=False)
    day = Day(people=(PersonsDay(101, arrived="2026-10-17T08:12:00", say_name="EE-da"),))
    write_book(RecordFactory(classes=(ClassFactory(),), contestants=(champion,), cards=(), day=day), tmp_path / "state")
    (tmp_path / "perry.csv").write_text("number,division,first_name,came_from\n7,SR,Bo,Perry\n", encoding="utf-8")
    arguments = ["take_in", str(tmp_path / "state"), str(tmp_path / "perry.csv"), "--out", str(tmp_path / "out")]
    call_command(*arguments, stdout=StringIO(), stderr=StringIO())
    shutil.copy(tmp_path / "out" / "entries.csv", tmp_path / "state")
    record = read_book(tmp_path / "state")
    assert [(person.number, person.first_name, person.ranked) for person in record.contestants] == [
        (101, "Ida", False),
        (102, "Bo", True),
    ]
    assert record.day.people == day.people
