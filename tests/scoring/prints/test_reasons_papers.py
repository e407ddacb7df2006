"""The papers of the reasons rooms: who speaks when, for each official, and the key only where it may be seen."""

import re
from dataclasses import replace
from datetime import datetime

import pytest

from reasons.models import PairNote
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.material import PairNotes, Room, Slot
from scoring.prints.rendering import html_of
from tests.reasons.day.cast import planned_contest
from tests.scoring.prints.papers import demo, html, pdf

pytestmark = pytest.mark.any_database

ORDER = ((208, 3), (201, 1), (204, 3), (203, 1))
NOTES = PairNotes("top", "1 over 3", "Sounder feet", "Longer neck", "Plain head")


def rooms(*officials, shows_key=False):
    slots = tuple(
        Slot(number, judged, datetime(2026, 4, 25, 13, 4 * at)) for at, (number, judged) in enumerate(ORDER, start=1)
    )
    room = Room("Tack room", officials, slots, shows_key)
    return replace(demo(), rooms=(room,), class_notes={3: (NOTES,)})


def spoken(made):
    return re.findall(r"^(\d\d:\d\d) (\d+) (\d+)$", made.text, re.MULTILINE)


def test_a_room_sheet_follows_the_rooms_order_of_speaking():
    rows = spoken(pdf(rooms("Ms. Ash"), "room-sheets"))
    assert rows == [(f"13:{4 * at:02}", str(number), str(judged)) for at, (number, judged) in enumerate(ORDER, start=1)]


def test_each_official_of_a_room_has_a_sheet_and_slips_of_their_own():
    made = pdf(rooms("Ms. Ash", "Mr. Birch"), "room-sheets")
    assert len(spoken(made)) == 2 * len(ORDER)
    by_page = [[name in text for name in ("Ms. Ash", "Mr. Birch")] for text in made.texts]
    assert by_page == [[True, False], [False, True]]
    slips = pdf(rooms("Ms. Ash", "Mr. Birch"), "score-slips").text
    assert slips.count("Ms. Ash") == slips.count("Mr. Birch") == len(ORDER)


def test_a_choice_of_classes_leaves_the_rest_out():
    rows = spoken(pdf(rooms("Ms. Ash"), "room-sheets", Choice(classes=(3,))))
    assert [number for _, number, _ in rows] == ["208", "204"]


def test_a_void_class_is_not_heard():
    material = rooms("Ms. Ash")
    classes = tuple(replace(judged, void=judged.number == 3) for judged in material.record.classes)
    rows = spoken(pdf(replace(material, record=replace(material.record, classes=classes)), "room-sheets"))
    assert [number for _, number, _ in rows] == ["201", "203"]


@pytest.mark.parametrize("document", ["room-sheets", "score-slips"])
def test_placings_cuts_and_notes_come_only_where_the_room_may_see_the_key(document):
    judged = next(judged for judged in demo().record.classes if judged.number == 3)
    cuts = ", ".join(map(str, judged.cuts))
    hidden = html(rooms("Ms. Ash"), document)
    shown = html(rooms("Ms. Ash", shows_key=True), document)
    for secret in (judged.official, cuts, *NOTES[1:]):
        assert secret not in hidden
        assert (secret in shown) == (document == "room-sheets")


def test_no_name_stands_on_them():
    for document in ("room-sheets", "score-slips"):
        page = html(rooms("Ms. Ash", shows_key=True), document)
        assert not [p.last_name for p in demo().record.contestants if p.last_name and p.last_name in page]


def test_without_a_plan_a_class_has_a_sheet_in_the_order_of_numbers():
    unplanned = replace(demo(), rooms=())
    judged = unplanned.reasons_classes[0]
    text = pdf(unplanned, "room-sheets", Choice(classes=(judged.number,))).text
    due = [person.number for person in unplanned.present if person.division in judged.reasons]
    assert [int(line) for line in re.findall(r"^(\d+)$", text, re.MULTILINE)] == due


def test_component_marks_have_their_own_places_beside_the_score():
    material = replace(rooms("Ms. Ash"), components=(("accuracy", 30), ("delivery", 20)))
    for document in ("room-sheets", "score-slips"):
        page = html(material, document)
        assert "Accuracy, of 30" in page
        assert "Delivery, of 20" in page
        assert "Score, of 50" in page


@pytest.mark.django_db
@pytest.mark.parametrize("shows", [True, False])
def test_the_plan_and_the_notes_come_from_the_database(shows):
    contest = planned_contest(people=4, rooms=2, classes=(3,))
    PairNote.objects.create(
        judging_class=contest.classes.get(number=3), pair=1, decided_by="Sounder feet", by="superintendent"
    )
    contest.rooms.filter(pk=contest.rooms.first().pk).update(shows_key=shows)
    document = DOCUMENTS["room-sheets"]
    material = gather_material(contest.pk, document)
    planned = [[slot.contestant.number for slot in room.slots.order_by("starts_at")] for room in contest.rooms.all()]
    assert [[slot.number for slot in room.slots] for room in material.rooms] == planned
    page = html_of(document, material, Choice())[0]
    assert ("Sounder feet" in page) is shows
    assert ("3124" in page) is shows


@pytest.mark.parametrize("document", ["room-sheets", "class-reports"])
def test_a_key_that_may_still_change_is_shown_as_that(document):
    material = rooms("Ms. Ash", shows_key=True)
    assert "may still change" not in html(material, document)
    assert "typed once: may still change" in html(replace(material, open_keys={3: "typed once"}), document)
