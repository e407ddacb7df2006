"""Notes on the pairs of a class: written by its official, and seen by nobody who may not see the placing."""

from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse

from contest.book.pair_notes import Note
from contest.models import Duty
from contest.pair_notes import fingerprint
from contest.setup.uses import animals_uses
from reasons.day.class_notes import Elsewhere, write_notes
from reasons.day.pages import classes_shown
from reasons.models import PairNote
from tests.reasons.day.cast import planned_contest
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest(db):
    return planned_contest(people=4, rooms=2, classes=(3, 4))


def at(contest, number=None):
    args = [contest.pk] if number is None else [contest.pk, number]
    return reverse("reasons-notes" if number is None else "reasons-class-notes", args=args)


def notes(contest, number=3, seen=None, **more):
    (shown,) = [one for one in classes_shown(contest) if one.number == number]
    fields = {
        f"{pair}-{name}": "" for pair in ("top", "middle", "bottom") for name in ("decided_by", "grants", "faults")
    }
    return {**fields, "submission": str(uuid4()), "shown": shown.fingerprint if seen is None else seen, **more}


def text(response):
    return response.content.decode()


def official(as_helper, contest, name="Ann"):
    return as_helper(contest, Duty.OFFICIAL, name)


def test_an_official_writes_and_finds_it_again(as_helper, contest):
    client = official(as_helper, contest)
    assert client.post(at(contest, 3), notes(contest, **{"top-decided_by": "Sounder feet"})).status_code == 302
    note = PairNote.objects.get(judging_class__number=3, pair=1)
    assert (note.decided_by, note.by) == ("Sounder feet", "Ann")
    assert "Sounder feet" in text(client.get(at(contest)))
    assert "Sounder feet" in text(client.get(at(contest, 3)))
    assert last_of(contest).what == "notes on the pairs of class 3 written"


def test_an_official_sees_neither_placings_nor_what_another_wrote(as_helper, contest):
    ann, ben = official(as_helper, contest), official(as_helper, contest, "Ben")
    ann.post(at(contest, 3), notes(contest, **{"top-decided_by": "Sounder feet"}))
    for page in (ann.get(at(contest)), ann.get(at(contest, 3)), ann.get(at(contest, 4)), ben.get(at(contest))):
        assert page.status_code == 200
        assert "3124" not in text(page)
        assert "3 over 1" not in text(page)
    assert "Sounder feet" not in text(ben.get(at(contest)))
    assert "Another official writes on this class" in text(ben.get(at(contest)))
    assert ben.get(at(contest, 3)).status_code == 404
    assert ben.get(at(contest, 4)).status_code == 200


def test_whoever_comes_second_keeps_what_they_typed_and_changes_nothing(as_helper, contest):
    ann, ben = official(as_helper, contest), official(as_helper, contest, "Ben")
    typed = notes(contest, **{"top-grants": "Longer hip"})
    ann.post(at(contest, 3), notes(contest, **{"top-decided_by": "Sounder feet"}))
    refused = ben.post(at(contest, 3), typed)
    assert refused.status_code == 409
    assert "somebody else has written" in text(refused).lower()
    assert "Longer hip" in text(refused)
    assert "Sounder feet" not in text(refused)
    assert PairNote.objects.get(pair=1, judging_class__number=3).grants == ""


def test_the_superintendent_sees_all_and_a_change_leaves_the_class_with_its_official(
    as_helper, superintendent, contest
):
    ann = official(as_helper, contest)
    ann.post(at(contest, 3), notes(contest, **{"top-decided_by": "Sounder feet"}))
    page = text(superintendent.get(at(contest, 3)))
    assert "Sounder feet" in page
    assert "3 over 1" in page
    assert superintendent.post(at(contest, 3), notes(contest, **{"top-faults": "Short"})).status_code == 302
    assert "Short" in text(ann.get(at(contest, 3)))


def test_what_changed_meanwhile_is_shown_beside_what_was_typed(as_helper, superintendent, contest):
    ann = official(as_helper, contest)
    typed = notes(contest, **{"top-grants": "Longer hip"})
    ann.post(at(contest, 3), notes(contest, **{"top-decided_by": "Sounder feet"}))
    refused = superintendent.post(at(contest, 3), typed)
    assert refused.status_code == 409
    for words in ("changed meanwhile", "Sounder feet", "Longer hip"):
        assert words in text(refused)
    again = {**typed, "submission": str(uuid4()), "shown": refused.context["judged"].fingerprint}
    assert superintendent.post(at(contest, 3), again).status_code == 302
    assert PairNote.objects.get(pair=1, judging_class__number=3).grants == "Longer hip"


def test_notes_that_are_too_long_stay_typed(as_helper, contest):
    too_long = official(as_helper, contest).post(at(contest, 3), notes(contest, **{"top-decided_by": "x" * 2001}))
    assert too_long.status_code == 422
    assert "x" * 2001 in text(too_long)
    assert not PairNote.objects.exists()


def test_notes_are_on_the_pairs_that_the_class_has(as_helper, contest):
    ann, judged = official(as_helper, contest), contest.classes.get(number=3)
    refused = ann.post(at(contest, 3), notes(contest, **{"fifth-decided_by": "Longer hip"}))
    assert refused.status_code == 409
    assert "The class has no such pair any more: Longer hip." in text(refused)
    with pytest.raises(Elsewhere, match="other animals"):
        write_notes(judged, [Note("Sounder feet")] * 5, "Ann", fingerprint([Note()] * 5))
    with pytest.raises(DatabaseError, match="names other animals"), transaction.atomic():
        PairNote.objects.create(judging_class=judged, pair=4, by="Ann")
    assert not PairNote.objects.exists()
    assert ann.post(at(contest, 3), notes(contest)).status_code == 302
    with pytest.raises(DatabaseError, match="names other animals"), transaction.atomic():
        PairNote.objects.filter(pair=3).update(pair=4)
    judged.keys.all().delete()
    with pytest.raises(DatabaseError, match="names other animals"), transaction.atomic():
        type(judged).objects.filter(pk=judged.pk).update(animals="ABC")
    assert animals_uses(judged) == [
        "an official has written notes on its pairs; make a class of its own for other animals"
    ]


def test_pressed_twice_is_once(as_helper, contest):
    client, typed = official(as_helper, contest), notes(contest, **{"top-decided_by": "Sounder feet"})
    revisions = []
    for _ in range(2):
        assert client.post(at(contest, 3), typed).status_code == 302
        contest.refresh_from_db()
        revisions.append(contest.revision)
    assert revisions[0] == revisions[1]


@pytest.mark.parametrize("duty", [duty for duty in Duty if duty != Duty.OFFICIAL])
def test_other_duties_have_no_notes(as_helper, contest, duty):
    client = as_helper(contest, duty)
    assert client.get(at(contest)).status_code == 404
    assert client.get(at(contest, 3)).status_code == 404


def test_an_official_of_another_contest_has_no_notes_here(as_helper, contest):
    client = official(as_helper, planned_contest(people=2, rooms=1, classes=(3,)))
    assert client.get(at(contest)).status_code == 404


def test_a_class_without_reasons_has_no_notes(superintendent, contest):
    assert superintendent.get(at(contest, 99)).status_code == 404


@pytest.mark.parametrize("shows", [True, False])
def test_a_room_has_the_notes_where_it_may_see_the_placing(as_helper, contest, shows):
    official(as_helper, contest).post(at(contest, 3), notes(contest, **{"top-decided_by": "Sounder feet"}))
    contest.rooms.update(shows_key=shows)
    room = contest.rooms.first()
    own = room.officials.first()
    address = reverse("reasons-room", args=[contest.pk, room.pk, own.pk])
    page = text(as_helper(contest, Duty.ROOM, "Room", own).get(address))
    assert ("Sounder feet" in page) is shows
