"""A day that leaves as a book and comes back: the same checklist and the same doubts."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from contest.bin.emptying import empty_contest
from contest.entries.arrivals import check_in
from contest.models import Card, Contest, Key
from contest.watch.finding import doubts_of
from reasons.scores.officials import add_official
from tests.contest.watch.cast import read, small_contest, the_class, the_contestant
from tests.scoring.results.cast import items_of
from tests.slips import decide_card, decide_reasons, read_mark, read_reasons

pytestmark = pytest.mark.django_db(transaction=True)  # what is brought in is saved by a thread of its own


@pytest.fixture
def contest():
    """In mid-judging, with what nobody has settled and what somebody has."""
    contest = small_contest()
    Key.objects.filter(judging_class__contest=contest).update(confirmed_by="Ben", confirmed_at="2026-10-17T12:00Z")
    first, second, third = (the_contestant(contest, number) for number in (101, 102, 103))
    check_in(first, "Zoe")
    for by, placing in (("Ann", "3124"), ("Ben", "3142")):
        read(contest, 1, 101, placing, by)
        read(contest, 1, 102, placing, by)
        read(contest, 2, 102, "4321", by)
    decide_card(the_class(contest), second, "3142", "Sue", "as the card says")
    read(contest, 1, 103, "", "Ann")
    read(contest, 1, 104, "1234", "Ann")  # of somebody who is absent
    official, part = add_official(contest, "A", "Sue"), contest.parts.get()
    for by, points in (("Ann", 4000), ("Ben", 4150)):
        for contestant in (first, second):
            read_reasons(the_class(contest, 2), official, contestant, points, by)
        read_mark(part, first, points, by)
        read_mark(part, third, None, by)
    decide_reasons(the_class(contest, 2), official, second, None, "Sue", "asked the official")
    return contest


def told(contest):
    """The checklist, and each doubt with what was read of it and by whom."""
    contest = Contest.objects.get(pk=contest.pk)
    lines = [(item.section, item.text) for item in items_of(contest)]
    doubts = [
        (doubt.kind, doubt.what, doubt.text, doubt.group, sorted((said.by, said.text) for said in doubt.said))
        for doubt in doubts_of(contest)
    ]
    return lines, sorted(doubts)


def test_a_book_that_is_exported_and_brought_in_again_has_the_same_checklist_and_doubts(superintendent, contest):
    lines, doubts = told(contest)
    assert len(lines) > 5
    assert [kind for kind, *_ in doubts] == ["absent", "differs", "differs", "differs"]
    name = contest.name
    book = superintendent.get(f"/contests/{contest.pk}/book.zip").getvalue()
    superintendent.post(f"/contests/{contest.pk}/delete/", {"name": name, "submission": str(uuid4())})
    assert not Contest.objects.exists()
    empty_contest(Contest.every.get(), name, "Sue")
    assert not Card.objects.exists()
    brought = SimpleUploadedFile("day.zip", book)
    response = superintendent.post("/contests/new/", {"way": "book", "book-book": brought, "submission": str(uuid4())})
    assert response.status_code == 302
    again = Contest.objects.get()
    assert told(again) == (lines, doubts)
    assert the_contestant(again, 101).checked_in_at
    assert not the_contestant(again, 102).checked_in_at
