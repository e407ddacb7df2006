"""What is printed afterwards is what was announced; before that it is marked, and everything else is as it is now."""

from uuid import uuid4

import pytest
from django.db.models import F

from contest.models import Contest, Contestant
from scoring.board.awards import ListKey
from scoring.board.queue import queue_lists
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from tests.scoring.results.cast import change_key, correct, ready, release

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
AFTER = [name for name, document in DOCUMENTS.items() if document.when == "after"]
TOLD = [name for name in AFTER if name not in ("next-level", "sweepstakes")]  # which name nobody of such a contest


@pytest.fixture
def contest():
    return ready()


def printed(contest, document, **choice):
    document, choice = DOCUMENTS[document], Choice(**choice)
    return html_of(document, gather_material(contest.pk, document, choice.address), choice)[0]


def the_rest(page):
    """A page without what it says of itself, which changes with every revision."""
    return page[page.index("</header>") :] if "</header>" in page else page[page.index("<body") :]


def test_papers_for_afterwards_are_these():
    assert AFTER == [
        "results",
        "keys",
        "ribbons",
        "ribbon-labels",
        "award-sheets",
        "script",
        "champions",
        "next-level",
        "sweepstakes",
        "packets",
        "coach-summaries",
        "class-reports",
        "class-pictures",
    ]


@pytest.mark.parametrize("document", [name for name in TOLD if name != "keys"])
def test_before_the_release_it_is_marked_and_changes_with_the_contest(contest, document):
    before = printed(contest, document)
    assert "rovisional" in before
    change_key(contest)
    assert the_rest(printed(contest, document)) != the_rest(before)


@pytest.mark.parametrize("document", TOLD)
def test_after_the_release_it_stays_as_it_was_announced_until_that_is_corrected(contest, document):
    release(contest)
    announced = printed(contest, document)
    assert "rovisional" not in announced
    assert "orrected" not in announced
    change_key(contest)
    assert printed(contest, document) == announced
    correct(contest, "the official corrected the key")
    corrected = printed(contest, document)
    assert the_rest(corrected) != the_rest(announced)
    assert "rovisional" not in corrected


def test_a_corrected_list_says_when_and_why(contest):
    release(contest)
    change_key(contest)
    correct(contest, "the official corrected the key")
    page = printed(contest, "results")
    assert "Corrected, " in page
    assert ", the official corrected the key" in page


def test_what_is_needed_while_it_runs_is_never_held_to_a_release(contest):
    release(contest)
    before = printed(contest, "standings")
    change_key(contest)
    assert the_rest(printed(contest, "standings")) != the_rest(before)
    assert "provisional" in before.lower()


def test_the_time_and_the_revision_are_those_of_the_release(contest):
    made = release(contest)
    change_key(contest)
    material = gather_material(contest.pk, DOCUMENTS["results"])
    assert (material.revision, material.as_of, material.released) == (made.revision, made.at, made.version)
    assert gather_material(contest.pk, DOCUMENTS["standings"]).revision > made.revision


def test_a_family_that_says_no_after_the_release_is_heard(contest):
    release(contest)
    assert "Given101x" in printed(contest, "script")
    Contestant.objects.filter(contest=contest, number=101).update(show_name=False)
    for document in ("results", "ribbons", "ribbon-labels", "script"):
        page = printed(contest, document)
        assert "Given101x" not in page
        assert "101" in page
    assert "Given101x Family101x" in printed(contest, "award-sheets")


def test_somebody_with_another_name_by_now_is_named_on_nothing_that_others_see(contest):
    release(contest)
    Contestant.objects.filter(contest=contest, number=101).update(first_name="Other")
    page = printed(contest, "ribbons")
    assert "Given101x" not in page
    assert "Other" not in page


def test_names_are_shown_as_the_contest_shows_them_now(contest):
    release(contest)
    Contest.objects.filter(pk=contest.pk).update(show_people_as="number", revision=F("revision") + 1)
    assert "Given101x" not in printed(contest, "results")


def test_the_superintendent_prints_while_the_awards_are_still_to_be_read(contest, superintendent, client):
    queue_lists(contest, [ListKey("SR", "overall", "individuals")], 10, "Sue")
    release(contest)
    waiting = client.get(f"/results/{contest.pk}/SR/overall/").content.decode()
    assert "They will be here after the ceremony." in waiting
    assert "Given101x" not in waiting
    looked = superintendent.get(f"/contests/{contest.pk}/prints/look/script/")
    assert "Given101x" in looked.content.decode()
    page = superintendent.get(f"/contests/{contest.pk}/prints/").content.decode()
    assert "awards are still to be read" in page


def test_no_print_is_open_to_the_crowd(contest, client):
    release(contest)
    for document in AFTER:
        assert client.get(f"/contests/{contest.pk}/prints/look/{document}/").status_code in (302, 404)
    sent = {"submission": str(uuid4()), "documents": ["results"], "paper": "a4", "copies": "1"}
    assert client.post(f"/contests/{contest.pk}/prints/", sent).status_code in (302, 404)
    assert not contest.print_jobs.exists()
