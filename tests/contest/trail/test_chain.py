"""The chain: what is hashed, what a name is in it, and what the database itself refuses."""

import hashlib
from datetime import UTC, datetime, timedelta, timezone

import pytest
from django.db import DatabaseError, connection, transaction

from contest.changes import one_change, take_turn
from contest.models import Contest, SiteTrail, TrailDoor, TrailEntry, TrailName
from contest.trail import Personal, note, record_change, sentence
from contest.trail.hashing import Content, short, token_of
from contest.trail.names import FORGOTTEN, forget_names
from contest.trail.removing import trail_may_go
from contest.trail.sentences import Sentence
from contest.trail.triggers import WHEN, keep_triggers
from tests.factories import a_contest
from tests.trails import last_of, trail_of

CONTENT = Content(
    contest=7,
    revision=2,
    at=datetime(2026, 10, 17, 12, tzinfo=UTC),
    by="name:ab",
    what="a card",
    values={"count": 2},
    before=None,
    after={"b": 1, "a": [2]},
    touches="cards",
    about=" class:3 ",
    rows_digest="",
)
OTHERS = {
    "contest": 8,
    "revision": 3,
    "at": datetime(2026, 10, 17, 12, 0, 0, 1, tzinfo=UTC),
    "by": "name:cd",
    "what": "a key",
    "values": {"count": 3},
    "before": 0,
    "after": {"b": 1, "a": [3]},
    "touches": "everything",
    "about": " class:4 ",
    "rows_digest": "ab",
}


def changed(**fields):
    values = {name: getattr(CONTENT, name) for name in Content.__slots__}
    return Content(**values | fields)


class TestHashing:
    def test_it_is_what_the_module_says(self):
        written = '["00",7,2,"2026-10-17T12:00:00.000000+00:00","name:ab","a card",{"count":2},null,'
        written += '{"a":[2],"b":1},"cards"," class:3 ",""]'
        assert CONTENT.hash_after("00") == hashlib.sha256(written.encode()).hexdigest()

    @pytest.mark.parametrize("name", OTHERS)
    def test_every_part_of_the_content_is_in_it(self, name):
        assert changed(**{name: OTHERS[name]}).hash_after("00") != CONTENT.hash_after("00")

    def test_the_one_before_is_in_it(self):
        assert CONTENT.hash_after("01") != CONTENT.hash_after("00")

    def test_neither_the_order_of_keys_nor_the_zone_of_the_time_is(self):
        elsewhere = CONTENT.at.astimezone(timezone(timedelta(hours=-5)))
        same = changed(after={"a": [2], "b": 1}, at=elsewhere)
        assert same.hash_after("") == CONTENT.hash_after("")

    def test_its_short_form_is_four_groups(self):
        assert short("0123456789abcdef" * 4) == "0123 4567 89ab cdef"


@pytest.mark.django_db
class TestRecording:
    def test_each_entry_holds_the_hash_of_the_one_before(self):
        contest = a_contest()
        for what in ("one", "two"):
            record_change(contest, "Sue", Sentence(what))
        entries = list(contest.trail.all())
        assert [entry.revision for entry in entries] == [1, 2, 3]
        assert len({entry.hash for entry in entries}) == 3
        fresh = Contest.objects.get()
        assert (fresh.revision, fresh.trail_head) == (3, entries[-1].hash) == (contest.revision, contest.trail_head)

    def test_it_takes_four_statements_with_the_turn_and_the_name_known(
        self, django_assert_num_queries, django_capture_on_commit_callbacks
    ):
        contest = a_contest()
        with django_capture_on_commit_callbacks(execute=True):
            record_change(contest, "Ann", Sentence("one"))
        with one_change(), django_assert_num_queries(4):
            turn = take_turn(contest.pk)
            record_change(contest, "Ann", Sentence("two"), turn=turn)

    def test_a_turn_that_is_no_longer_true_is_found_out(self):
        contest = a_contest()
        with one_change():
            turn = take_turn(contest.pk)
            assert [record_change(contest, "Ann", Sentence("again"), turn=turn) for _ in range(3)] == [2, 3, 4]

    def test_names_are_tokens_of_rows_beside_it(self):
        contest = a_contest()
        after = {"first_name": "Ada", "changed": [{"last_name": ["Old", "New"], "team": "Barley Hill"}]}
        record_change(contest, "Ann", Sentence("changed"), before=[Personal("Bob")], after=after)
        entry = contest.trail.last()
        assert not any(name in f"{entry.by}{entry.before}{entry.after}" for name in ("Ada", "Old", "New", "Ann", "Bob"))
        assert "Barley Hill" in str(entry.after)
        row = TrailName.objects.get(contest=contest, name="Ann")
        assert entry.by == row.token == token_of(row.salt, "Ann")
        said = last_of(contest)
        assert (said.by, said.before, said.after) == ("Ann", ["Bob"], after)

    def test_a_name_has_one_row_in_each_contest(self):
        one, other = a_contest(), a_contest()
        for contest in (one, other, one, other):
            record_change(contest, "Ann", Sentence("something"), after={"person": "Ann"})
        assert TrailName.objects.filter(name="Ann").count() == 2
        assert len({row.token for row in TrailName.objects.filter(name="Ann")}) == 2

    def test_a_name_of_a_change_that_failed_is_made_again(self):
        contest = a_contest()
        with pytest.raises(ZeroDivisionError), one_change():
            record_change(contest, "Ann", Sentence("something"))
            raise ZeroDivisionError
        contest.refresh_from_db()
        record_change(contest, "Ann", Sentence("something"))
        assert last_of(contest).by == "Ann"

    def test_what_it_is_about_is_found_whole(self):
        contest = a_contest()
        record_change(contest, "Ann", sentence("card_read", judged=3, contestant=101), about=["team:7", "class:3"])
        assert contest.trail.last().about == " class:3 contestant:101 team:7 "
        record_change(contest, "Ann", sentence("key_confirmed", key_of=12))
        assert contest.trail.last().about == " key:12 class:12 "
        assert not contest.trail.filter(about__contains=" contestant:10 ").exists()

    def test_what_json_cannot_key_by_is_written_as_json_gives_it_back(self):
        contest = a_contest()
        record_change(contest, "Ann", Sentence("numbers"), after={101: (1, 2), True: None})
        entry = TrailEntry.objects.get(contest=contest, revision=2)
        assert entry.after == {"101": [1, 2], "true": None}

    def test_what_changes_no_contest_moves_no_revision(self):
        contest = a_contest()
        note("Sue", Sentence("entry list fetched"), contest, about=["print:1"])
        note("Sue", Sentence("signed in"))
        assert Contest.objects.get().revision == 1
        first, second = TrailEntry.objects.filter(contest=None)
        assert (first.revision, first.about, second.revision) == (
            1,
            f" contest:{contest.pk} print:1 organisation:{contest.organisation_id} ",
            2,
        )
        assert SiteTrail.objects.get().trail_head == second.hash


@pytest.mark.django_db
class TestForgetting:
    def test_names_go_and_entries_stay_as_they_are(self):
        contest = a_contest()
        record_change(contest, "Ann", Sentence("entered"), after={"first_name": "Ada"})
        before = list(contest.trail.values())
        assert forget_names(contest, keep=["test"]) == 2
        assert list(contest.trail.values()) == before
        assert [(entry.by, entry.after) for entry in trail_of(contest)][1:] == [(FORGOTTEN, {"first_name": FORGOTTEN})]
        assert set(TrailName.objects.filter(name=None).values_list("salt", flat=True)) == {""}
        assert trail_of(contest)[0].by == "test"

    def test_a_name_that_comes_again_is_somebody_new(self):
        contest = a_contest()
        record_change(contest, "Ann", Sentence("one"))
        forget_names(contest)
        record_change(contest, "Ann", Sentence("two"))
        assert [entry.by for entry in trail_of(contest)] == [FORGOTTEN, FORGOTTEN, "Ann"]


def refused(rows, work):
    """Whether the database refuses `work`, and keeps what it had."""
    before = list(rows.order_by("pk").values())
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        work(rows)
    return list(rows.order_by("pk").values()) == before


@pytest.mark.django_db
class TestAppendOnly:
    @pytest.mark.parametrize(
        "work",
        [
            lambda rows: rows.update(what="something else"),
            lambda rows: rows.delete(),
            lambda rows: rows._raw_delete("default"),
        ],
    )
    def test_an_entry_is_neither_changed_nor_deleted(self, work):
        contest = a_contest()
        note("Sue", Sentence("signed in"))
        assert refused(TrailEntry.objects.filter(contest=contest), work)
        assert refused(TrailEntry.objects.filter(contest=None), work)

    def test_an_entry_is_not_replaced_either(self):
        contest = a_contest()

        def replace(rows):
            table = TrailEntry._meta.db_table
            columns = ", ".join(f'"{field.column}"' for field in TrailEntry._meta.fields if field.column != "what")
            insert = "INSERT OR REPLACE" if connection.vendor == "sqlite" else "INSERT"
            again = "" if connection.vendor == "sqlite" else " ON CONFLICT (id) DO UPDATE SET what = 'forged'"
            with connection.cursor() as cursor:
                cursor.execute(
                    f"{insert} INTO {table} (what, {columns}) SELECT 'forged', {columns} FROM {table}{again}"
                )

        assert refused(TrailEntry.objects.filter(contest=contest), replace)

    @pytest.mark.parametrize(
        "work",
        [
            lambda rows: rows.update(name="Bob"),
            lambda rows: rows.update(token="name:0"),
            lambda rows: rows.update(name=None, salt="", token="name:0"),
            lambda rows: rows.update(contest=None),
            lambda rows: rows.delete(),
        ],
    )
    def test_a_name_is_forgotten_or_stays(self, work):
        assert refused(TrailName.objects.filter(contest=a_contest()), work)

    def test_a_contest_takes_its_trail_with_it_through_the_one_door(self):
        contest, other = a_contest(), a_contest()
        head = contest.trail_head
        with trail_may_go(contest, "Sue"):
            assert refused(TrailEntry.objects.filter(contest=other), lambda rows: rows.delete())
            contest.trail.all().delete()
        assert not TrailDoor.objects.exists()
        assert last_of(None).before["head"] == head
        assert refused(TrailEntry.objects.filter(contest=other), lambda rows: rows.delete())

    def test_the_door_is_closed_again_where_the_removal_fails(self):
        contest = a_contest()
        with pytest.raises(ZeroDivisionError), transaction.atomic(), trail_may_go(contest, "Sue"):
            raise ZeroDivisionError
        assert not TrailDoor.objects.exists()
        assert last_of(contest).by == "test"

    def test_triggers_that_a_migration_dropped_are_made_again(self):
        with connection.cursor() as cursor:
            for name, (_, table, _) in WHEN.items():
                on = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER {name}{on}")
        contest = a_contest()
        contest.trail.update(what="something else")  # or the test would prove nothing
        keep_triggers()
        keep_triggers()
        assert refused(contest.trail.all(), lambda rows: rows.update(what="a third"))
