"""Coming, going and fetching are in the site's trail, and a crowd of guessers does not fill it."""

from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.db import OperationalError

from contest.changes.exceptions import NotPossible
from contest.helpers.superintendents import set_password, switch_off
from contest.models import Contest, TrailEntry
from contest.trail import noting
from contest.trail.noting import Refusals
from scoring.models import PrintJob
from scoring.prints import jobs
from tests.accounts import an_account
from tests.factories import a_contest
from tests.trails import trail_of

pytestmark = pytest.mark.django_db
PASSWORD = "an-unlikely-one"


def noted():
    return [(entry.by, entry.what) for entry in trail_of(None)]


class TestSigningIn:
    def test_coming_and_going_and_what_was_refused_is_noted(self, client):
        set_password("Sue", PASSWORD, "terminal")
        client.post("/sign-in/", {"name": "Sue", "password": "wrong"})
        client.post("/sign-in/", {"name": "Sue", "password": PASSWORD})
        client.post("/sign-out/")
        client.post("/sign-out/")
        refused = ("a stranger", "sign-in refused")
        assert noted() == [("terminal", "account made"), refused, ("Sue", "signed in"), ("Sue", "signed out")]
        assert trail_of(None)[1].after == {"from": "127.0.0.1", "person": "Sue"}

    def test_what_is_typed_as_nobodys_name_is_not_kept(self, client):
        set_password("Sue", PASSWORD, "terminal")
        client.post("/sign-in/", {"name": PASSWORD, "password": "Sue"})
        entry = trail_of(None)[-1]
        assert (entry.what, entry.after) == ("sign-in refused", {"from": "127.0.0.1"})

    def test_a_wrong_join_code_is_noted(self, client):
        client.post("/join/", {"submission": uuid4(), "name": "Ann", "code": "AAAA-AAAA"})
        assert noted() == [("a stranger", "join code refused")]


class TestRefusals:
    def test_a_flood_makes_two_entries_a_minute(self):
        now = 0.0
        refusals = Refusals("sign_in_refused", "sign_ins_refused", lambda: now)
        for name in ("Sue", "nobody"):
            for _ in range(500):
                refusals.note(name, "10.0.0.7")
        assert [what for _, what in noted()] == ["sign-in refused"]
        now = 61.0
        refusals.sum_up()
        refusals.sum_up()
        assert [what for _, what in noted()] == ["sign-in refused", "sign-ins refused: 999 more in that minute"]

    def test_each_account_is_counted_by_itself(self):
        an_account("Sue")
        refusals = Refusals("sign_in_refused", "sign_ins_refused", lambda: 0.0)
        for name in ("Sue", "SUE", "Bob", "Ben"):
            refusals.note(name, "10.0.0.7")
        assert [entry.after.get("person") for entry in trail_of(None)] == ["Sue", None]


class TestFetching:
    def test_files_that_tell_of_people_are_noted_and_wake_nobody(self, superintendent):
        contest = a_contest()
        at = f"/contests/{contest.pk}"
        superintendent.get(f"{at}/book.zip")
        superintendent.head(f"{at}/book.zip")
        superintendent.get(f"{at}/results/results.xlsx")
        superintendent.get(f"{at}/prints/look/results/")
        assert [what for _, what in noted()] == [
            "contest book fetched",
            "results fetched as xlsx",
            "print looked at: results",
        ]
        assert {entry.by for entry in trail_of(None)} == {"superintendent"}
        assert all(f"contest:{contest.pk}" in entry.about for entry in trail_of(None))
        assert Contest.objects.get().revision == 1

    def test_a_print_is_noted_when_it_is_ordered_and_when_it_is_fetched(self, superintendent):
        contest = a_contest()
        job = PrintJob.objects.create(
            contest=contest, document="results", revision=1, by="Sue", state=PrintJob.State.DONE
        )
        file = jobs.file_of(job)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"%PDF")
        superintendent.get(f"/contests/{contest.pk}/prints/files/{job.pk}/").getvalue()
        superintendent.post(f"/contests/{contest.pk}/prints/files/{job.pk}/again/", {"submission": uuid4()})
        assert [what for _, what in noted()] == ["print fetched: results", "print ordered again: results"]

    def test_a_disk_that_takes_nothing_keeps_nobody_from_their_file(self, superintendent, monkeypatch, caplog):
        def full(*args, **kwargs):
            raise OperationalError("database or disk is full")

        monkeypatch.setattr(noting, "note", full)
        assert superintendent.get(f"/contests/{a_contest().pk}/book.zip").status_code == 200
        assert "could not be noted" in caplog.text
        assert not TrailEntry.objects.filter(contest=None).exists()


class TestAccounts:
    def test_one_that_is_switched_off_is_out_at_once(self, superintendent):
        account = User.objects.get()
        an_account("Sue")
        assert superintendent.get("/contests/new/").status_code == 200
        switch_off(account, "Sue")
        assert superintendent.get("/contests/new/").status_code == 302
        assert trail_of(None)[-1].what == "account switched off"

    def test_the_last_one_stays(self):
        an_account("off", is_active=False)
        last = an_account("Sue")
        with pytest.raises(NotPossible, match="the last account"):
            switch_off(last, "Sue")
        last.refresh_from_db()
        assert last.is_active
