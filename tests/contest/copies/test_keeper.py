"""Whoever makes the copies: when one is due, where it goes, and what is told."""

import json
import os
import shutil
from datetime import timedelta

import pytest
from django.utils import timezone

from contest.copies import keeper as keeping
from contest.copies import making, report
from contest.copies.files import CopyFailed
from contest.copies.keeper import Keeper
from contest.copies.places import default_shelf
from contest.copies.shelf import Copy, copies_in, name_of, write_about
from contest.copies.wishes import ask_for_copy, wishes
from contest.keys import hand_in_key
from contest.models import Contest
from tests.factories import a_contest

pytestmark = pytest.mark.django_db(transaction=True)


class Clock:
    """A clock that only this test moves."""

    def __init__(self):
        self.now = 1_000.0

    def monotonic(self):
        return self.now

    def time_ns(self):
        return int(self.now * 1e9)


@pytest.fixture
def clock(monkeypatch):
    clock = Clock()
    monkeypatch.setattr(keeping, "time", clock)
    monkeypatch.setattr(report, "time", clock)
    return clock


@pytest.fixture
def made(monkeypatch):
    """Copies are made at once, and only of what they say of themselves; `made.fails` says why one is not."""

    class Made(list):
        fails = ""

    made = Made()

    def make_copy(shelf, why, state=(), besides=()):
        if made.fails:
            raise CopyFailed(made.fails)
        number, at = len(made) + 1, timezone.localtime()
        path = shelf / name_of(number, at)
        path.mkdir(parents=True)
        copy = Copy(path, number, at, why, 1, "", "", True, json.loads(json.dumps(list(state))))
        write_about(copy)
        made.append(copy)
        return copy

    monkeypatch.setattr(keeping, "make_copy", make_copy)
    return made


@pytest.fixture
def contest(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path / "data"
    settings.DATA_FOLDER.mkdir()
    return a_contest()


def change(contest):
    Contest.objects.filter(pk=contest.pk).update(trail_head=os.urandom(4).hex())


def pass_time(keeper, clock, seconds):
    for _ in range(int(seconds)):
        clock.now += 1
        keeper.turn()


def test_the_first_comes_at_once_and_the_next_when_something_changed(contest, clock, made):
    keeper = Keeper()
    keeper.turn()
    assert [copy.why for copy in made] == ["the first one here"]
    pass_time(keeper, clock, 1_000)
    assert len(made) == 1  # nothing changed
    change(contest)
    pass_time(keeper, clock, 10)
    assert len(made) == 2
    change(contest)
    pass_time(keeper, clock, 280)
    assert len(made) == 2  # five minutes have not passed
    pass_time(keeper, clock, 30)
    assert [copy.why for copy in made][1:] == ["after changes"] * 2


def test_a_start_with_nothing_changed_makes_none(contest, clock, made):
    Keeper().turn()
    Keeper().turn()
    assert len(made) == 1


def test_a_milestone_has_one_soon_and_those_that_follow_at_once_share_it(contest, clock, made):
    keeper = Keeper()
    keeper.turn()
    judged = contest.classes.get()
    judged.keys.update(confirmed_by="", confirmed_at=None)
    key = judged.keys.last()
    hand_in_key(judged, key.official, key.cuts, "Bea")
    ask_for_copy("results released")
    pass_time(keeper, clock, 25)
    assert len(made) == 2
    assert set(made[1].why.split("; ")) == {"key of class 1 confirmed", "results released"}
    assert wishes() == {}


def test_a_wish_waits_until_it_is_granted(contest, clock, made):
    keeper = Keeper()
    keeper.turn()
    made.fails = "no room"
    ask_for_copy("results released")
    pass_time(keeper, clock, 25)
    assert list(wishes().values()) == ["results released"]
    assert report.read_report().trouble == "no room"
    made.fails = ""
    pass_time(keeper, clock, 61)
    assert made[-1].why == "results released"
    assert (wishes(), report.read_report().trouble) == ({}, "")


def test_a_memory_stick_may_come_and_go(contest, clock, made, settings, tmp_path):
    settings.COPIES_FOLDER = stick = tmp_path / "stick"
    keeper = Keeper()
    keeper.turn()
    assert made[0].path.parent == default_shelf()
    assert report.read_report().away == str(stick)
    assert not stick.exists()  # its name never becomes a folder of the laptop
    stick.mkdir()
    pass_time(keeper, clock, 6)
    assert made[1].path.parent == stick / "tanbark-copies"  # it has nothing yet, so at once
    assert report.read_report().away == ""
    shutil.rmtree(stick)
    change(contest)
    pass_time(keeper, clock, 6)
    assert made[2].path.parent == default_shelf()
    stick.mkdir()
    pass_time(keeper, clock, 6)
    assert made[3].path.parent == stick / "tanbark-copies"


def test_too_long_without_a_good_one_is_told_and_so_is_silence(contest, clock, made):
    keeper = Keeper()
    keeper.turn()
    made.fails = "no room"
    change(contest)
    pass_time(keeper, clock, 900)
    assert not report.read_report().is_late
    pass_time(keeper, clock, 20)
    assert report.read_report().is_late
    made.fails = ""
    pass_time(keeper, clock, 61)
    assert not report.read_report().is_late
    clock.now += 61
    assert report.read_report().silent and report.read_report().is_late


@pytest.mark.parametrize("jump", [timedelta(hours=-5), timedelta(days=400)], ids=str)
def test_a_clock_that_is_put_changes_neither_age_nor_order(contest, clock, made, monkeypatch, jump):
    keeper = Keeper()
    keeper.turn()
    pass_time(keeper, clock, 120)
    right = timezone.now
    monkeypatch.setattr(timezone, "now", lambda: right() + jump)
    pass_time(keeper, clock, 12)
    assert 120 <= report.read_report().age <= 140
    change(contest)
    pass_time(keeper, clock, 300)
    assert [copy.number for copy in copies_in(default_shelf())] == [2, 1]
    assert report.read_report().number == 2
    # A new start by the wrong clock goes on from the newest by number, and no age is negative.
    again = Keeper()
    again.turn()
    assert again.newest.number == 2
    assert report.read_report().age >= 0


def test_before_a_contest_is_short_of_room_old_copies_go(contest, monkeypatch, tmp_path):
    for number in range(1, 9):
        path = tmp_path / name_of(number, timezone.localtime())
        path.mkdir()
        write_about(Copy(path, number, timezone.localtime(), "", 1, "", "", True))
    monkeypatch.setattr(making, "room_left", lambda folder: 0)
    with pytest.raises(CopyFailed, match="a copy needs"):
        making.make_room(tmp_path)
    assert [copy.number for copy in copies_in(tmp_path)] == [8, 7, 6]
