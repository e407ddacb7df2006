"""The database itself writes down what a row was before it changed."""

import json
import re

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, transaction
from django.db.models import F

from contest.models import Card, Contest, Contestant, RowChange
from contest.models.triggers import triggers_there
from contest.row_changes import triggers
from contest.row_changes.stamping import digest_of_change, unrecorded
from contest.row_changes.tables import recorded
from contest.trail import record_change
from contest.trail.sentences import Sentence
from tests.factories import a_contest

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return a_contest()


def changes_of(contest):
    """What is kept of the contest's last change, oldest first."""
    contest.refresh_from_db()
    rows = RowChange.objects.filter(contest=contest, revision=contest.revision)
    return [(row.kind, row.of_table, row.row, json.loads(row.before or "null")) for row in rows]


class TestWhatIsKept:
    def test_an_updated_row_is_kept_as_it_was_with_every_column(self, contest):
        person = contest.contestants.get(number=101)
        Contestant.objects.filter(pk=person.pk).update(first_name="Ånn'e", present=False)
        record_change(contest, "Sue", Sentence("something"))
        ((kind, table, pk, before),) = changes_of(contest)
        assert (kind, table, pk) == ("update", "contest_contestant", person.pk)
        assert set(before) == {field.column for field in Contestant._meta.concrete_fields}
        assert (before["first_name"], before["number"], bool(before["present"])) == ("Given101x", 101, True)

    def test_a_deleted_row_is_kept_and_an_inserted_one_was_not_there(self, contest):
        card = Card.objects.filter(contestant__number=101).get()
        judged, person, pk = card.judging_class, card.contestant, card.pk
        card.delete()
        made = Card.objects.create(judging_class=judged, contestant=person, placing="1234", state="once")
        record_change(contest, "Sue", Sentence("something"))
        (deleted, inserted) = changes_of(contest)
        assert deleted[:3] == ("delete", "contest_card", pk)
        assert deleted[3]["placing"] == "3124"
        assert inserted == ("insert", "contest_card", made.pk, None)

    def test_an_update_that_alters_nothing_is_none(self, contest):
        Contestant.objects.update(first_name=F("first_name"))
        record_change(contest, "Sue", Sentence("something"))
        assert changes_of(contest) == []

    def test_the_contests_own_rules_are_kept_and_its_revision_is_not(self, contest):
        Contest.objects.filter(pk=contest.pk).update(name="Another", revision=40)
        record_change(contest, "Sue", Sentence("something"))
        ((kind, table, pk, before),) = changes_of(contest)
        assert (kind, table, pk) == ("update", "contest_contest", contest.pk)
        assert before["name"] == "Harrow Creek Fall Judging Contest"
        assert "revision" not in before

    def test_what_is_not_to_be_recorded_is_not_and_what_follows_is(self, contest):
        with unrecorded():
            Contestant.objects.update(present=False)
        Card.objects.filter(contestant__number=101).delete()
        record_change(contest, "Sue", Sentence("something"))
        assert [table for _, table, *_ in changes_of(contest)] == ["contest_card"]

    def test_rows_of_one_change_belong_to_it_alone(self, contest):
        Contestant.objects.filter(number=101).update(present=False)
        first = record_change(contest, "Sue", Sentence("one"))
        Contestant.objects.filter(number=102).update(present=False)
        second = record_change(contest, "Sue", Sentence("another"))
        rows = RowChange.objects.filter(contest=contest, revision__in=[first, second])
        assert sorted(rows.values_list("revision", flat=True)) == [first, second]


class TestDigest:
    def test_it_is_that_of_the_rows_that_are_kept(self, contest):
        Contestant.objects.update(present=False)
        revision = record_change(contest, "Sue", Sentence("one"))
        digest = digest_of_change(contest.pk, revision)
        assert re.fullmatch("[0-9a-f]{64}", digest)
        row = RowChange.objects.filter(contest=contest, revision=revision).first()
        RowChange.objects.filter(pk=row.pk).update(before=row.before.replace("Given", "Taken"))
        assert digest_of_change(contest.pk, revision) != digest

    def test_rows_alike_have_other_digests(self, contest):
        salts = set()
        for present in (False, True, False):
            Contestant.objects.filter(number=101).update(present=present)
            revision = record_change(contest, "Sue", Sentence("one"))
            salts.add(RowChange.objects.get(contest=contest, revision=revision).salt)
        assert len(salts) == 3
        assert all(len(salt) == 32 for salt in salts)

    def test_a_change_of_no_row_has_none(self, contest):
        assert digest_of_change(contest.pk, record_change(contest, "Sue", Sentence("nothing"))) == ""


class TestTheTriggers:
    def test_they_are_those_that_the_models_ask_for(self):
        asked = set()
        for model, left_out, only_deletions in recorded():
            kinds = ("delete",) if only_deletions else ("update",) if left_out else triggers.KINDS
            asked |= {(triggers.name_of(model, kind), model._meta.db_table) for kind in kinds}
        assert set(triggers_there(connection, triggers.PREFIX)) == asked

    def test_every_column_of_every_model_is_in_them(self):
        made = triggers.statements(connection.vendor)
        for model, left_out, only_deletions in recorded():
            columns = {field.column for field in model._meta.concrete_fields} - left_out
            (update,) = [s for s in made if f"{triggers.name_of(model, 'update')} " in s] or [None]
            assert (update is None) == only_deletions
            assert update is None or all(f'OLD."{column}"' in update for column in columns)

    def test_every_model_is_recorded_or_known_not_to_be(self):
        """A new model has to be put on one side or the other."""
        known = {model for model, *_ in recorded()}
        ours = [m for name in ("contest", "reasons", "scoring") for m in apps.get_app_config(name).get_models(True)]
        others = {model.__name__ for model in ours if model not in known}
        assert others == {
            *("Helper", "Identity", "JoinCode", "RowChange", "Submission", "Unrecorded", "WrongAttempt"),
            *("SiteTrail", "TrailDoor", "TrailEntry", "TrailName"),
            *("Accommodation", "BroughtFile", "CardPicture", "Scan"),
            *("AwardList", "BoardChoice", "Ceremony", "LastPrints", "PrintJob", "Protest"),
            "ProtestWindow",
            *("Event", "EventCode", "EventContest", "EventPerson", "Release", "Ribbon"),
            *("LibraryClass", "LibraryPractice"),
            *("Invitation", "Membership", "Organisation", "Permit"),
            *("OneTimeKey", "RecoveryCode", "SignOn"),
            *("Practice", "PracticeClass", "PracticeMember", "PracticeNote", "PracticePicture", "PracticePlacing"),
            *("PracticeSet", "PracticeSetScore", "TermList"),
            *("TimetableDraft", "TimetableSearch"),
            *("Season", "SeasonClass", "SeasonEntry", "SeasonMember", "SeasonPlacing", "SeasonReasons", "SeasonSource"),
        }

    def test_migrating_makes_them_again(self):
        there = triggers_there(connection, triggers.PREFIX)
        triggers.drop_triggers("default")
        assert triggers_there(connection, triggers.PREFIX) == []
        call_command("migrate", verbosity=0)
        assert triggers_there(connection, triggers.PREFIX) == there

    def test_without_them_nothing_is_kept(self, contest):
        """A control: it is they that keep it."""
        with transaction.atomic():
            triggers.drop_triggers("default")
            Contestant.objects.update(present=False)
            record_change(contest, "Sue", Sentence("something"))
            assert changes_of(contest) == []
            transaction.set_rollback(True)
