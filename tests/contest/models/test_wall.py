"""PostgreSQL itself shows whoever has a reach nothing of another organisation, where a query forgot to ask."""

import os
from uuid import uuid4

import psycopg
import pytest
from django.db import DatabaseError, connection, connections, transaction

from contest.models import Contest, Organisation, organisations, wall
from contest.models.organisations import NOTHING, Reach, own_organisation, reaching
from contest.practice.making import make_practice
from tests.accounts import signed_in
from tests.contest.test_organisations import OURS, OWNED, THEIRS, everything_of
from tests.factories import a_contest
from tests.postgres import by_the_superuser

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.fixture
def both():
    """Our reach and theirs, with a contest each."""
    reaches = Reach(own_organisation()), Reach(Organisation.objects.create(name="Quill Creek").pk)
    for reach in reaches:
        with reaching(reach):
            a_contest()
    return reaches


def owners():
    """Whose contests are seen by a query that asks for all."""
    return {contest.organisation_id for contest in Contest.every.all()}


def without_the_wall(monkeypatch):
    """A control: nobody tells the database who asks."""
    owners()  # until now it was told, and now that whoever asks sees everything
    monkeypatch.setattr(connections["default"], "execute_wrappers", [])


def told():
    return connection.connection.execute("SHOW application_name").fetchone()[0]


def test_a_reach_holds_in_every_query_until_it_ends(both):
    for reach in both:
        with reaching(reach):
            assert owners() == {reach.organisation}
    with reaching(NOTHING):
        assert owners() == set()
    assert owners() == {reach.organisation for reach in both}


def test_it_is_what_the_database_is_told_that_holds(both, monkeypatch):
    without_the_wall(monkeypatch)
    with reaching(both[0]):
        assert owners() == {reach.organisation for reach in both}


def test_it_holds_after_a_transaction_that_was_rolled_back(both):
    ours, theirs = both
    with reaching(ours):
        assert owners() == {ours.organisation}
        with pytest.raises(DatabaseError, match="row-level security"), transaction.atomic(), reaching(theirs):
            Contest.every.create(name="Fair", organisation_id=ours.organisation)
        assert told().endswith(str(ours.organisation))  # it was rolled back too
        with pytest.raises(ZeroDivisionError), transaction.atomic(), reaching(None):
            assert len(owners()) == 1 / 0
        assert owners() == {ours.organisation}
        with reaching(theirs):
            assert owners() == {theirs.organisation}


def test_nothing_of_anothers_can_be_changed(both):
    ours, theirs = both
    with reaching(ours):
        assert Contest.every.filter(organisation=theirs.organisation).update(name="Taken") == 0
        assert Contest.every.filter(organisation=theirs.organisation).delete()[0] == 0
        assert Contest.every.update(place="Harrow") == 1
    assert owners() == {reach.organisation for reach in both}


def test_every_table_of_an_organisations_has_it():
    with connection.cursor() as cursor:
        cursor.execute("SELECT relname FROM pg_class WHERE relrowsecurity AND relforcerowsecurity")
        walled = {name for (name,) in cursor.fetchall()}
        cursor.execute(wall.THERE, [wall.POLICY])
        assert walled == {name for (name,) in cursor.fetchall()} == {model._meta.db_table for model in OWNED}


class TestWhatMayBeSeen:
    """Of another organisation's, by somebody who is signed in."""

    def test_a_practice_of_which_they_are_a_member(self, both):
        ours, theirs = both
        with reaching(theirs):
            practice = make_practice("Heifers", "1234", 12, keeps=True, by="Sue")
        client = signed_in(organisation=ours.organisation)
        form = {"submission": uuid4(), "name": "Ana", "code": practice.code}
        assert client.post("/practice/", form).url == "/practice/mine/"
        assert client.get("/practice/mine/").status_code == 200
        assert client.get(f"/practices/{practice.pk}/").status_code == 404

    def test_how_many_contests_it_has_by_whoever_runs_the_machine(self, both):
        client = signed_in("Root", organisation=both[0].organisation, is_superuser=True)
        organisations = client.get("/organizations/").context["organisations"]
        assert [one.contests for one in organisations] == [1, 1]


class TestForgottenFilter:
    PAGES = ("/", "/practices/", "/seasons/", "/library/", "/events/")

    @pytest.fixture
    def pages(self, monkeypatch):
        """What our superintendent reads in lists that forgot to ask for what is within reach."""
        ours, theirs = own_organisation(), Organisation.objects.create(name="Creek").pk
        everything_of(Organisation.objects.get(pk=ours), OURS)
        everything_of(Organisation.objects.get(pk=theirs), THEIRS)
        client = signed_in(organisation=ours)
        monkeypatch.setattr(organisations, "within_reach", lambda rows: rows)
        return lambda: {page: client.get(page).content.decode() for page in self.PAGES}

    def test_tells_nothing_of_theirs(self, pages):
        for page, said in pages().items():
            assert OURS in said, page
            assert THEIRS not in said, page

    def test_a_control_without_the_wall(self, pages, monkeypatch):
        without_the_wall(monkeypatch)
        assert all(THEIRS in said for said in pages().values())


def test_a_role_that_passes_by_every_policy_is_known(db):
    assert not wall.is_passed_by()
    with psycopg.connect(by_the_superuser(os.environ["DATABASE_URL"])) as superuser:
        assert superuser.execute(wall.PASSES).fetchone() == (True,)
