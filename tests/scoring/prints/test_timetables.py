"""Timetables of reasons: for the door of each room, and by number for the hall."""

import re
from dataclasses import replace
from datetime import datetime

from scoring.prints.material import Room, Slot
from tests.scoring.prints.papers import demo, html, material_of, pdf

LONG = "The tack room behind the upper barn of the united valley riding clubs"
SETS = (("Tack room", 208, 3, 9, 4), ("Tack room", 201, 1, 9, 0), (LONG, 208, 1, 9, 30), (LONG, 204, 3, 9, 8))


def planned(**rules):
    rooms = tuple(
        Room(
            name,
            ("Ms. Ash",),
            tuple(Slot(n, judged, datetime(2026, 4, 25, h, m)) for room, n, judged, h, m in SETS if room == name),
        )
        for name in ("Tack room", LONG, "Closed all day")
    )
    record = replace(demo().record, rules=replace(demo().record.rules, **rules))
    return replace(material_of(record), rooms=rooms)


def test_each_rooms_door_has_its_sets_in_the_order_of_time_and_nobodys_name():
    material = planned(show_people_as="name")
    made = pdf(material, "door-timetables")
    pages = made.texts
    rows = [re.findall(r"^(\d\d:\d\d) (\d+) (\d+)$", page, re.MULTILINE) for page in pages]
    assert rows == [[("09:00", "201", "1"), ("09:04", "208", "3")], [("09:08", "204", "3"), ("09:30", "208", "1")]]
    assert LONG in pages[1]
    assert "Ms. Ash" not in made.text
    for person in material.record.contestants:
        assert not person.last_name or person.last_name not in made.text
    assert made.overlapping() == []


def test_the_hall_finds_everybody_by_number_with_their_sets_in_the_order_of_time():
    made = pdf(planned(show_people_as="number"), "hall-timetable")
    rows = re.findall(r"^(\d{3}) (\d\d:\d\d)", made.text, re.MULTILINE)
    assert rows == [("201", "09:00"), ("204", "09:08"), ("208", "09:04")]
    said = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", html(planned(show_people_as="number"), "hall-timetable")))
    assert f"208 09:04 Tack room, class 3 09:30 {LONG}, class 1" in said
    assert "Ms. Ash" not in made.text
    assert made.overlapping() == []


def test_the_hall_names_people_only_as_the_contest_and_the_family_do():
    material = planned(show_people_as="name")
    by_number = {person.number: person for person in material.record.contestants}
    people = tuple(person._replace(show_name=person.number != 204) for person in material.record.contestants)
    shown = replace(material, record=replace(material.record, contestants=people))
    page = html(shown, "hall-timetable")
    assert f"<bdi>{by_number[208].first_name} {by_number[208].last_name}</bdi>" in page
    assert by_number[204].last_name not in page
    record = replace(shown.record, rules=replace(shown.record.rules, show_people_as="number"))
    page = html(replace(shown, record=record), "hall-timetable")
    assert ">Name<" not in page.replace(" ", "").replace("\n", "")
    assert by_number[208].last_name not in page
