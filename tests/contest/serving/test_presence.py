"""Who serves a PostgreSQL database is told by what its connection holds."""

import threading

import pytest
from django.db import DEFAULT_DB_ALIAS, OperationalError, connection, connections

from contest.changes.held import Held, hold, let_go
from contest.serving import CannotServe, presence
from contest.serving.presence import Presence, digest_of_code, digest_of_files, digest_of_secret, one_starts, present
from tests.waiting import eventually

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def several(settings):
    settings.SEVERAL = True


@pytest.fixture
def elsewhere():
    """A connection as another process has it."""
    other = connections.create_connection(DEFAULT_DB_ALIAS)
    yield other
    other.close()


def never(problem):
    raise AssertionError(problem)


def cut(held):
    """End the connection of a presence, as a server that starts anew does."""
    with held.connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        (pid,) = cursor.fetchone()
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_terminate_backend(%s)", [pid])


def test_several_are_there_together_and_whoever_ends_lets_go(several, elsewhere):
    with present("serve", never), present("work", never, works=True):
        assert not hold(elsewhere, Held.SERVED)
    eventually(lambda: hold(elsewhere, Held.SERVED))


def test_one_that_serves_alone_is_refused_beside_any_and_any_beside_it(settings):
    with present("up", never), pytest.raises(CannotServe, match=r"by tanbark up, process .* serves alone. Stop that"):
        Presence("up").take()
    settings.SEVERAL = True
    with present("serve", never):
        settings.SEVERAL = False
        with pytest.raises(CannotServe, match="served already, by tanbark serve"):
            Presence("up").take()
    with present("up", never):
        settings.SEVERAL = True
        with pytest.raises(CannotServe, match=r"start it again with `manage.py serve`"):
            Presence("serve").take()


@pytest.mark.parametrize(
    ("what", "mine", "words"),
    [
        (Held.CODE, digest_of_code, "an older version"),
        (Held.SECRET, digest_of_secret, "TANBARK_SECRET_KEY"),
        (Held.FILES, digest_of_files, "TANBARK_FILES"),
    ],
)
def test_other_code_whose_tables_are_not_borne_and_another_secret_are_refused(
    several, elsewhere, what, mine, words, monkeypatch
):
    monkeypatch.setattr(presence, "all_to_come_is_borne", lambda: False)
    hold(elsewhere, what, mine(), shared=True)
    with present("serve", never):
        pass
    hold(elsewhere, what, mine() ^ 1, shared=True)
    with pytest.raises(CannotServe, match=words):
        Presence("serve").take()
    eventually(lambda: hold(elsewhere, Held.SERVED))  # whoever was refused holds nothing


def test_a_newer_version_whose_tables_are_borne_starts_beside_the_older_and_brings_them_up_to_date(several, elsewhere):
    hold(elsewhere, Held.CODE, digest_of_code() ^ 1, shared=True)
    hold(elsewhere, Held.UP_TO_DATE, digest_of_code() ^ 1, shared=True)
    with present("serve", never) as newer:
        assert newer.beside_other_code
        with one_starts(newer) as is_first:
            assert is_first
        with one_starts() as is_first:
            assert not is_first


@pytest.mark.parametrize("tries_in_vain", [0, 2])
def test_a_connection_that_was_cut_is_taken_up_again_also_where_all_else_is_away(
    several, elsewhere, monkeypatch, tries_in_vain
):
    monkeypatch.setattr(presence, "ASK_EVERY", 0.01)
    held, stop = Presence("serve"), threading.Event()
    held.take()
    cut(held)
    away, take = iter([OperationalError("no route to host")] * tries_in_vain), held._take

    def take_if_there():
        for problem in away:
            raise problem
        take()

    monkeypatch.setattr(held, "_take", take_if_there)
    monkeypatch.setattr(presence, "digest_of_files", lambda: never("the store is away as well"))
    keeping = threading.Thread(target=held.keep, args=[stop, never])
    keeping.start()
    eventually(lambda: not is_free(elsewhere))
    stop.set()
    keeping.join()
    held.connection.close()


def is_free(other):
    """Whether nobody serves, looked at without being in anybody's way for longer than that."""
    if not hold(other, Held.SERVED):
        return False
    let_go(other, Held.SERVED)
    return True


def test_it_ends_where_somebody_else_came_meanwhile(several, elsewhere, monkeypatch):
    monkeypatch.setattr(presence, "ASK_EVERY", 0.01)
    held, told = Presence("serve"), []
    held.take()
    cut(held)
    eventually(lambda: hold(elsewhere, Held.SERVED))
    held.keep(threading.Event(), told.append)
    held.connection.close()
    assert "which serves alone" in told[0]


def test_the_database_is_brought_up_to_date_by_the_first_alone(several, elsewhere):
    with present("serve", never) as first:
        with one_starts(first) as is_first:
            assert is_first
            assert not hold(elsewhere, Held.STARTING)
        with present("serve", never) as second, one_starts(second) as is_first:
            assert not is_first
    eventually(starts_as_first)


def starts_as_first():
    with one_starts() as is_first:
        return is_first
