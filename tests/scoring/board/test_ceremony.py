"""The moves of a ceremony, one at a time, and never twice."""

import threading

import pytest
from django.db import connections

from contest.changes.exceptions import NotPossible
from contest.models import Contest
from contest.web.revisions import revision_of
from scoring.announced.held_back import ceremony_of, holds_back
from scoring.board.ceremony import Moved, Queued, Stage, after, move_on
from scoring.models import Ceremony
from tests.scoring.board.cast import OVERALL, REASONS, TEAMS, ceremony_ready, go, released_contest, stage, step_of
from tests.scoring.results.cast import ready
from tests.trails import trail_of

QUEUE = [Queued(7, 3, 3), Queued(8, 0), Queued(9, 2)]


@pytest.mark.parametrize(
    ("before", "move", "expected"),
    [
        (Stage(None, 0, False), "begin", Stage(7, 0, True)),
        (Stage(9, 2, False), "begin", Stage(7, 0, True)),
        (Stage(7, 0, True), "next", Stage(7, 1, True)),
        (Stage(7, 2, True), "next", Stage(7, 3, True)),
        (Stage(7, 3, True), "next", Stage(8, 0, True)),
        (Stage(8, 0, True), "next", Stage(9, 0, True)),
        (Stage(7, 3, True), "back", Stage(7, 2, True)),
        (Stage(8, 0, True), "back", Stage(7, 3, True)),
        (Stage(9, 0, True), "back", Stage(8, 0, True)),
        (Stage(7, 5, True), "back", Stage(7, 2, True)),  # a correction left fewer rows than were revealed
        (Stage(7, 1, True), "show", Stage(7, 3, True)),
        (Stage(9, 2, True), "end", Stage(9, 2, False)),
        (Stage(None, 0, True), "next", Stage(7, 3, True)),
    ],
)
def test_each_move_leads_to_one_stage(before, move, expected):
    assert after(before, move, QUEUE) == expected


def test_a_list_is_put_on_stage_out_of_turn():
    assert after(Stage(7, 2, True), "stage", QUEUE, to=9) == Stage(9, 0, True)


@pytest.mark.parametrize(("left_at", "comes_back"), [(0, 0), (1, 1), (3, 3), (5, 3)])
def test_a_list_that_comes_back_shows_as_much_as_when_it_left(left_at, comes_back):
    queue = [Queued(7, 3, left_at), Queued(9, 2)]
    assert after(Stage(9, 0, True), "back", queue) == Stage(7, comes_back, True)
    assert after(Stage(9, 0, True), "stage", queue, to=7) == Stage(7, comes_back, True)
    assert after(Stage(7, 3, True), "next", [queue[0], Queued(9, 2, 1)]) == Stage(9, 1, True)


@pytest.mark.parametrize(
    ("before", "move", "queue"),
    [
        (Stage(None, 0, False), "begin", []),
        (Stage(7, 0, True), "begin", QUEUE),
        (Stage(None, 0, False), "next", QUEUE),
        (Stage(7, 3, False), "end", QUEUE),
        (Stage(9, 2, True), "next", QUEUE),
        (Stage(7, 0, True), "back", QUEUE),
        (Stage(7, 0, True), "stage", QUEUE),
    ],
)
def test_what_makes_no_sense_is_refused(before, move, queue):
    with pytest.raises(NotPossible):
        after(before, move, queue, to=5)


@pytest.mark.django_db
class TestMovingOn:
    def test_before_the_release_nothing_moves(self):
        contest = ready()
        with pytest.raises(NotPossible, match="not released"):
            move_on(contest, "Ann", "begin", 0)
        assert not Ceremony.objects.exists()

    def test_it_goes_from_the_last_row_to_the_first_and_on_to_the_next_list(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        go(contest, "begin", "next", "next", "next", "next")
        assert stage(contest) == ("SR overall individuals", 4, True)
        go(contest, "next")
        assert stage(contest) == ("SR overall teams", 0, True)
        go(contest, "back")
        assert stage(contest) == ("SR overall individuals", 4, True)
        go(contest, "end")
        assert stage(contest)[2] is False

    def test_a_list_that_was_left_early_is_not_revealed_by_a_step_back(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        go(contest, "begin", "next")
        go(contest, "stage", to=contest.award_lists.get(kind="teams").pk)
        go(contest, "next", "back", "back")
        assert stage(contest) == ("SR overall individuals", 1, True)

    def test_what_is_begun_again_is_hidden_again(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        go(contest, "begin", "show", "next", "show", "end", "again")
        assert stage(contest) == ("SR overall individuals", 0, True)
        go(contest, "show", "next")
        assert stage(contest) == ("SR overall teams", 0, True)

    def test_one_press_of_begin_does_not_begin_again_what_was_held(self):
        contest = ceremony_ready()
        go(contest, "begin", "end")
        with pytest.raises(NotPossible, match="only if the results may vanish"):
            go(contest, "begin")
        assert stage(contest)[2] is False

    def test_only_so_many_places_are_read(self):
        contest = ceremony_ready(places=2)
        go(contest, "begin", "next", "next")
        with pytest.raises(NotPossible, match="last award"):
            go(contest, "next")

    def test_a_move_that_was_overtaken_changes_nothing(self):
        contest = ceremony_ready()
        go(contest, "begin")
        seen = step_of(contest)
        move_on(contest, "Ann", "next", seen)
        revision = Contest.objects.get().revision
        with pytest.raises(Moved):
            move_on(contest, "Ben", "next", seen)
        assert stage(contest)[1] == 1
        assert Contest.objects.get().revision == revision

    def test_every_move_is_in_the_trail_and_moves_the_revision(self):
        contest = ceremony_ready()
        before = contest.revision
        go(contest, "begin", "next", "end")
        assert Contest.objects.get().revision == before + 3
        entries = trail_of(contest)[-3:]
        assert [(entry.by, entry.what) for entry in entries] == [
            ("Ann", "ceremony: begin"),
            ("Ann", "ceremony: next"),
            ("Ann", "ceremony: end"),
        ]
        assert entries[1].after["revealed"] == 1

    def test_the_step_grows_with_moves_backwards_too(self):
        contest = ceremony_ready()
        go(contest, "begin", "next", "back")
        assert step_of(contest) == 3


@pytest.mark.django_db
class TestHoldingBack:
    def test_nothing_is_held_back_where_no_list_waits(self):
        assert not holds_back(released_contest())

    def test_lists_that_wait_or_are_being_read_hold_the_results_back(self):
        contest = ceremony_ready(REASONS)
        assert holds_back(contest)
        go(contest, "begin")
        assert holds_back(contest)
        go(contest, "next", "end")
        assert not holds_back(contest)


@pytest.mark.django_db(transaction=True)
def test_a_move_is_known_at_once():
    contest = ceremony_ready()
    before = revision_of(contest.pk)
    move_on(contest, "Ann", "begin", 0)
    assert revision_of(contest.pk) == before + 1


@pytest.mark.django_db(transaction=True)
def test_of_many_devices_at_one_step_one_moves_it():
    contest = ceremony_ready()
    go(contest, "begin")
    seen, fates, start = step_of(contest), [], threading.Barrier(6)

    def press():
        start.wait()
        try:
            move_on(Contest.objects.get(), "Ann", "next", seen)
            fates.append("moved")
        except Moved:
            fates.append("overtaken")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=press) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(fates) == ["moved", *["overtaken"] * 5]
    assert ceremony_of(contest).revealed == 1
