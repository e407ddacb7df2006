"""A contest made anonymous: the same results by number, no name anywhere, and a trail that still proves."""

import json
from dataclasses import replace
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.management import call_command
from django.test import Client

from contest.entries import people
from contest.helpers.joining import let_in
from contest.history.past import as_of
from contest.history.taking_back import can_be_taken_back
from contest.models import Contest, Duty, ReasonsOfficial, RowChange
from contest.privacy.anonymising import anonymise
from contest.records import load_record
from contest.records.day import BOOK
from contest.slips.reading import set_aside
from contest.trail import record_change
from contest.trail.proving import prove
from contest.trail.sentences import Sentence
from scoring.announced.released import forget_all, released
from scoring.core.tally import tally
from scoring.models import PrintJob, Protest, TakeHomeLink
from scoring.prints.jobs import file_of
from scoring.results.critique import release_key
from scoring.results.links import make_links
from tests.contest.entries.cast import submission
from tests.scoring.results.cast import change_key, ready, release, the_class
from tests.slips import decide_card, read_card

pytestmark = pytest.mark.django_db

SECRET = ("Given10", "Family10", "Zoltan", "Quentin", "Ulrike", "Wilhelmina")
"""What stands in a name here: contestants', helpers', an official's, and in words of somebody's own."""


@pytest.fixture
def contest():
    contest = ready()
    ReasonsOfficial.objects.update(name="Quentin")
    helper = let_in(contest, Duty.TABULATOR, "Zoltan")
    read_card(the_class(contest, 1), 101, "3124", "Zoltan", uuid4(), helper)
    fate = read_card(the_class(contest, 1), 999, "3124", "Zoltan", uuid4(), helper)
    reading = contest.classes.get(number=1).readings.get(pk=fate.reading_id)
    set_aside(reading, "Ulrike", "said Wilhelmina")
    fate = read_card(the_class(contest, 2), 102, "4321", "Zoltan", uuid4(), helper)
    person = contest.contestants.get(number=102)
    decide_card(the_class(contest, 2), person, "4321", "Ulrike", "Wilhelmina showed it", "a torn card, Wilhelmina's")
    person = contest.contestants.get(number=103)
    values = replace(people.values_of(person), first_name="Given103x", last_name="Family103y")
    people.correct_entry(person, values, "Ulrike")
    person.say_name = "Given10-three"
    person.save(update_fields=["say_name"])
    record_change(contest, "Ulrike", Sentence("how a name is said"))
    release(contest)
    change_key(contest, "4321", (1, 2, 3))
    release_key(the_class(contest, 2), "Ulrike", "for this test")
    Protest.objects.create(contest=contest, by="Wilhelmina", text="about Zoltan")
    make_links(Contest.objects.get(pk=contest.pk), "Ulrike")
    PrintJob.objects.create(contest=contest, document="results", revision=1, by="Ulrike")
    return Contest.objects.get(pk=contest.pk)


def everything():
    """All that the database holds of ours, as text."""
    found = []
    for name in ("contest", "reasons", "scoring"):
        for model in apps.get_app_config(name).get_models(True):
            rows = model._base_manager.values_list()
            found += [(model.__name__, str(row)) for row in rows]
    return found


def told(found):
    return sorted({(name, secret) for name, text in found for secret in SECRET if secret in text})


def by_number(result):
    return [
        [(row.rank, row.number, row.total) for row in standing.individuals]
        + [(row.rank, row.team, row.total) for row in standing.teams]
        for standing in result.standings
    ]


def test_no_name_is_left_anywhere_and_the_results_are_the_same(contest):
    before = by_number(tally(load_record(contest.pk)[1]))
    announced = by_number(released(contest).result)
    assert len({name for name, _ in told(everything())}) > 6  # a control
    anonymise(contest, "Ulrike")
    assert told(everything()) == [("TrailName", "Ulrike")]  # who did this, in the site's own trail
    again = Contest.objects.get(pk=contest.pk)
    assert by_number(tally(load_record(contest.pk)[1])) == before
    forget_all()
    assert by_number(released(again).result) == announced


def test_the_trail_still_proves_with_the_rows_that_were_kept(contest):
    assert prove(contest).problems == ()
    anonymise(contest, "Ulrike")
    again = Contest.objects.get(pk=contest.pk)
    proof = prove(again)
    assert proof.problems == ()
    assert proof.forgotten > 2
    row = RowChange.objects.filter(contest=contest, digest="").exclude(before=None).first()
    RowChange.objects.filter(pk=row.pk).update(before=row.before.replace("1", "2"))
    assert [problem.kind for problem in prove(again).problems] == ["rows"]


def test_it_can_still_be_seen_as_it_was_without_a_name(contest):
    revision = contest.revision
    anonymise(contest, "Ulrike")
    then = as_of(contest.pk, revision)
    assert told([("record", repr(then))]) == []
    assert [one.number for one in then.contestants] == [101, 102, 103, 104, 105]
    kept = RowChange.objects.filter(of_table="contest_contestant").values_list("before", flat=True)
    assert {json.loads(before)["first_name"] for before in kept} == {""}


def test_who_read_first_and_who_second_stay_two(contest):
    anonymise(contest, "Ulrike")
    readers = set(the_class(contest, 1).readings.filter(contestant__number=101).values_list("by", flat=True))
    assert len(readers) == 3
    assert all(reader == BOOK or reader.startswith("person ") for reader in readers)


def test_what_was_changed_before_cannot_be_taken_back(contest):
    entry = contest.trail.get(what="how a name is said")
    assert can_be_taken_back(entry) == []
    anonymise(contest, "Ulrike")
    assert can_be_taken_back(entry) == ["names were made anonymous since"]


def test_helpers_are_out_and_printed_files_go(contest, as_helper, django_capture_on_commit_callbacks):
    helper = as_helper(contest, Duty.TABULATOR, "Zoe")
    file = file_of(contest.print_jobs.get())
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(b"names")
    with django_capture_on_commit_callbacks(execute=True):
        anonymise(contest, "Ulrike")
    assert not file.exists()
    assert helper.get(f"/contests/{contest.pk}/desk/").headers["Location"].startswith("/join/")


def test_links_go_on_without_a_name(contest, django_capture_on_commit_callbacks):
    link = TakeHomeLink.objects.filter(contestant__number=101).get()
    assert "Given101x" in Client().get(f"/home/{link.token}/").content.decode()
    with django_capture_on_commit_callbacks(execute=True):
        anonymise(contest, "Ulrike")
    page = Client().get(f"/home/{link.token}/").content.decode()
    assert "101" in page
    assert told([("page", page)]) == []


def test_the_command_says_what_goes_and_does_it_when_told(contest, capsys):
    call_command("anonymise", contest.pk)
    assert "this would make anonymous: 5 contestants" in capsys.readouterr().out
    assert contest.contestants.exclude(first_name="").exists()
    call_command("anonymise", contest.pk, "--yes")
    assert not contest.contestants.exclude(first_name="").exists()


class TestThePage:
    def test_it_asks_for_the_name_and_says_what_goes(self, contest, superintendent):
        address = f"/contests/{contest.pk}/anonymise/"
        page = superintendent.get(address).content.decode()
        assert "5 contestants" in page
        assert "The results are not released" not in page
        assert superintendent.post(address, submission(name="Harrow")).status_code == 422
        assert contest.contestants.exclude(first_name="").exists()
        assert superintendent.post(address, submission(name=contest.name)).status_code == 302
        assert not contest.contestants.exclude(first_name="").exists()

    def test_it_warns_before_a_release(self, superintendent):
        page = superintendent.get(f"/contests/{ready().pk}/anonymise/").content.decode()
        assert "The results are not released" in page

    def test_no_helper_can(self, contest, as_helper):
        client = as_helper(contest, Duty.TABULATOR, "Zoe")
        assert client.post(f"/contests/{contest.pk}/anonymise/", submission(name=contest.name)).status_code == 404
        assert contest.contestants.exclude(first_name="").exists()
