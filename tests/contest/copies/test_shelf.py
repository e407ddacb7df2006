"""Which copies stay: by number and by count, so that no clock can throw any away."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from contest.copies.shelf import (
    Copy,
    copies_in,
    name_of,
    next_number,
    read_copy,
    sweep,
    thin,
    worth_keeping,
    write_about,
)

NOON = datetime(2026, 4, 25, 12, 0, tzinfo=UTC)


def a_copy(number, at, folder=None):
    path = (folder or Path("/")) / name_of(number, at)
    return Copy(path=path, number=number, at=at, why="", size=1, digest="", database="", tallied=True)


def every(minutes, since, count):
    """Copies at even spells, the newest first."""
    made = [a_copy(number, since + timedelta(minutes=minutes * number)) for number in range(1, count + 1)]
    return made[::-1]


def kept_of(copies, now):
    kept = worth_keeping(copies, now)
    return [copy for copy in copies if copy.name in kept]


def test_all_of_the_last_hour_then_one_an_hour_then_one_a_day():
    copies = every(5, NOON - timedelta(days=40), 40 * 24 * 12)
    now = copies[0].at
    kept = kept_of(copies, now)
    ages = [now - copy.at for copy in kept]
    assert sum(age <= timedelta(hours=1) for age in ages) == 13  # every five minutes, both ends
    assert sum(timedelta(hours=1) < age <= timedelta(hours=23) for age in ages) == 22
    assert len({copy.at.date() for copy in kept}) == 30
    assert len(kept) == 13 + 22 + 28  # the last of yesterday is one of the hours
    # What stays of an hour and of a day is its last.
    yesterday = [copy for copy in kept if copy.at.date() == (now - timedelta(days=5)).date()]
    assert [copy.at.strftime("%H:%M") for copy in yesterday] == ["23:55"]


def test_many_milestones_within_an_hour_all_stay():
    copies = every(1, NOON, 50)
    assert kept_of(copies, copies[0].at) == copies


@pytest.mark.parametrize("jump", [timedelta(days=-400), timedelta(hours=-3), timedelta(days=400)], ids=str)
def test_a_clock_that_jumps_throws_nothing_of_the_last_hour_away(jump):
    copies = every(5, NOON, 12)
    after = a_copy(13, copies[0].at + jump)
    kept = kept_of([after, *copies], after.at)
    assert after in kept
    assert len(kept) >= 12
    assert copies[0] in kept


def test_a_clock_a_year_ahead_throws_no_day_away():
    copies = every(24 * 60, NOON, 20)
    assert kept_of(copies, NOON + timedelta(days=365)) == copies


def test_the_newest_is_by_number_not_by_clock(tmp_path):
    for number, at in [(1, NOON), (2, NOON - timedelta(days=1)), (3, NOON - timedelta(days=2))]:
        copy = a_copy(number, at, tmp_path)
        copy.path.mkdir()
        write_about(copy)
    assert [copy.number for copy in copies_in(tmp_path)] == [3, 2, 1]
    assert next_number([tmp_path, tmp_path / "not there"]) == 4


def test_a_copy_says_of_itself_what_was_written(tmp_path):
    copy = a_copy(7, NOON, tmp_path)
    copy.path.mkdir()
    write_about(copy)
    assert read_copy(copy.path) == copy


@pytest.mark.parametrize("said", ["", "{", "[]", '{"number": 1}', '{"contests": 3}'])
def test_what_was_not_finished_is_no_copy_and_its_number_is_not_given_again(tmp_path, said):
    path = tmp_path / name_of(9, NOON)
    path.mkdir()
    (path / "copy.json").write_text(said)
    assert copies_in(tmp_path) == []
    assert next_number([tmp_path]) == 10


def test_thinning_leaves_strange_files_alone(tmp_path):
    (tmp_path / "holiday.jpg").write_text("a picture")
    (tmp_path / ".half-abc").mkdir()
    for number in range(1, 41):
        copy = a_copy(number, NOON - timedelta(days=60) + timedelta(minutes=number), tmp_path)
        copy.path.mkdir()
        write_about(copy)
    gone = thin(tmp_path, NOON)
    assert [copy.number for copy in gone] == list(range(28, 0, -1))
    sweep(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"holiday.jpg", *(c.name for c in copies_in(tmp_path))}
    assert len(copies_in(tmp_path)) == 12
