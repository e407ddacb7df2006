"""A large contest is loaded in pieces that nobody sees until the last, and nothing of a half-loaded one stays."""

from contextlib import contextmanager
from datetime import timedelta
from threading import Thread

import pytest
from django.apps import apps
from django.db import connection, connections
from django.utils import timezone

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Card, Contest, Contestant, Reading, TrailEntry
from contest.records import load_record, save_in_pieces, save_record, saving, sweep_abandoned, sweeping
from contest.records.saving import NoLongerThere, save_hidden, show_saved
from tests.addresses import addresses, values_of
from tests.factories import a_contest
from tests.trails import trail_of

DEMO = read_book(DEMO_BOOK)


def rows():
    """How many rows each table has, but for those that Django keeps for itself."""
    ours = (model for app in ("contest", "reasons", "scoring") for model in apps.get_app_config(app).get_models(True))
    return {model.__name__: model._base_manager.count() for model in ours}


def abandoned(record=DEMO, age=timedelta(minutes=2)):
    contest = save_hidden(record, "test")
    Contest.every.filter(pk=contest.pk).update(loading_at=timezone.now() - age)
    return contest


@contextmanager
def every_hold():
    """The rows that each transaction of a loading wrote."""
    written = []
    insert = saving.insertion

    def counted(rows):
        written.append(len(rows))
        return insert(rows)

    saving.insertion = counted
    try:
        yield written
    finally:
        saving.insertion = insert


@pytest.mark.django_db
class TestLoading:
    def test_what_comes_out_is_what_went_in(self):
        contest = save_in_pieces(DEMO, by="Ada")
        assert load_record(contest.pk) == (1, DEMO)
        (entry,) = trail_of(contest)
        assert (entry.by, entry.what, entry.revision) == ("Ada", "contest made from a book", 1)
        assert entry.after["cards"] == len(DEMO.cards)

    def test_the_rows_are_those_of_a_contest_saved_whole(self):
        before = rows()
        save_record(DEMO, by="Ada")
        whole = rows()
        save_in_pieces(DEMO, by="Ada")
        assert {name: count - whole[name] for name, count in rows().items()} == {
            name: count - before[name] for name, count in whole.items()
        }

    def test_no_piece_is_large(self):
        with every_hold() as written:
            save_in_pieces(DEMO, by="Ada")
        assert sum(written) > 1000
        assert max(written) <= saving.MOST

    def test_it_says_how_far_it_is(self):
        said = []
        save_in_pieces(DEMO, by="Ada", on_progress=lambda done, of: said.append((done, of)))
        assert said == sorted(said)
        assert said[-1][0] == said[-1][1] > len(DEMO.cards)


@pytest.mark.django_db
class TestHidden:
    def test_it_is_at_no_address(self, superintendent):
        seen = save_record(DEMO, by="test")
        hidden = save_hidden(DEMO, "test")
        with_argument = 0
        for address in addresses(values_of(hidden)):
            if f"/{hidden.pk}/" in address:
                with_argument += 1
                assert superintendent.get(address).status_code in (404, 405), address
        assert with_argument > 50
        assert superintendent.get(f"/contests/{seen.pk}/").status_code == 200

    def test_it_is_in_no_list(self, superintendent):
        hidden = save_hidden(DEMO, "test")
        assert DEMO.rules.name not in superintendent.get("/").content.decode()
        assert not Contest.objects.exists()
        assert "copy-contest" not in superintendent.get("/contests/new/").content.decode()
        show_saved(hidden, DEMO, "test")
        assert DEMO.rules.name in superintendent.get("/").content.decode()

    def test_the_newest_board_is_that_of_a_contest_that_is_there(self, client):
        seen = a_contest()
        save_hidden(DEMO, "test")
        assert client.get("/board/").headers["Location"] == f"/board/{seen.pk}/"


@pytest.mark.django_db
class TestCutOff:
    def test_what_ends_it_leaves_nothing(self):
        a_contest()
        before = rows()

        def stop(done, of):
            if done > of // 2:
                assert Reading.objects.exists()
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            save_in_pieces(DEMO, by="Ada", on_progress=stop)
        assert rows() == before

    def test_an_abandoned_one_is_swept_away_and_nothing_else(self):
        kept = save_record(DEMO, by="test")
        before = rows()
        abandoned()
        assert rows() != before
        sweep_abandoned()
        assert rows() == before
        assert load_record(kept.pk) == (1, DEMO)

    def test_one_that_somebody_still_loads_stays(self):
        contest = save_hidden(DEMO, "test")
        sweep_abandoned()
        assert Contest.every.filter(pk=contest.pk).exists()
        assert Card.objects.count() == len(DEMO.cards)

    def test_one_of_a_clock_that_was_set_back_is_swept_too(self):
        abandoned(age=timedelta(hours=-3))
        sweep_abandoned()
        assert not Contest.every.exists()

    def test_the_process_that_loads_it_may_sleep_meanwhile(self):
        contest = abandoned()
        with sweeping.being_loaded(contest.pk):
            sweep_abandoned()
        assert Contest.every.filter(pk=contest.pk).exists()

    def test_one_that_was_swept_meanwhile_is_not_shown(self):
        contest = abandoned()
        sweep_abandoned()
        with pytest.raises(NoLongerThere):
            show_saved(contest, DEMO, "test")
        assert not TrailEntry.objects.exists()

    def test_loading_on_after_it_was_swept_fails_and_leaves_nothing(self):
        def swept(done, of):
            if Contestant.objects.exists():
                Contest.every.update(loading_at=timezone.now() - timedelta(minutes=2))
                sweeping.sweep(Contest.every.get().pk)

        with pytest.raises(NoLongerThere):
            save_in_pieces(DEMO, by="Ada", on_progress=swept)
        assert not Contest.every.exists()

    def test_a_contest_that_is_there_cannot_be_swept(self):
        contest = save_record(DEMO, by="test")
        sweeping.sweep(contest.pk)
        assert load_record(contest.pk) == (1, DEMO)


@pytest.mark.django_db(transaction=True)
class TestBesideOthers:
    def test_readings_go_on_between_the_pieces(self):
        other = a_contest()
        saved = []

        def rename(done):
            try:
                Contest.objects.filter(pk=other.pk).update(place=f"after {done}")
                saved.append(done)
            finally:
                connections.close_all()

        def others_turn(done, of):
            if done > of // 2 and not saved:
                assert not connection.in_atomic_block
                thread = Thread(target=rename, args=(done,))
                thread.start()
                thread.join(10)

        save_in_pieces(DEMO, by="Ada", on_progress=others_turn)
        assert saved
        other.refresh_from_db()
        assert other.place == f"after {saved[0]}"
