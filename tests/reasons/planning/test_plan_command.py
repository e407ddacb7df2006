"""`manage.py plan_reasons`."""

import csv
import subprocess
import sys
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from contest.book import read_book
from reasons.planning.from_record import speakers_of

DEMO = "fixtures/demo"


def run(*arguments, book=DEMO):
    out = StringIO()
    call_command("plan_reasons", book, *arguments, stdout=out)
    return out.getvalue()


def test_it_writes_everybody_once_a_class(tmp_path):
    said = run("--rooms", "3", "--minutes", "2", "--gap", "10", "--start", "09:00", "--out", str(tmp_path / "plan.csv"))
    with open(tmp_path / "plan.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == ["room", "official", "start", "end", "number", "class"]
    due = [(speaker.number, number) for speaker in speakers_of(read_book(DEMO)) for number in speaker.classes]
    assert sorted((int(row["number"]), int(row["class"])) for row in rows) == sorted(due)
    assert {row["room"] for row in rows} == {"1", "2", "3"}
    assert {row["official"] for row in rows} >= {"T. Pennick", ""}
    assert rows[0]["start"] == "09:00"
    assert rows[0]["end"] == "09:02"
    for line in ("Lower bound: ", "Plan: ", "Planned in ", f"{len(rows)} sets of "):
        assert line in said


def test_it_prints_a_table_without_a_file():
    said = run("--rooms", "2", "--start", "9:00", "--prepare", "20", "--break", "09:30-10:00")
    lines = said.splitlines()
    assert lines[0].split() == ["room", "official", "start", "end", "number", "class"]
    starts = [line[line.index(":") - 2 :][:5] for line in lines[1:] if line[:1] in "12"]
    assert starts[0] == "09:20"
    assert not any("09:30" <= start < "10:00" for start in starts)


def test_it_says_where_the_bound_holds_for_its_own_times_alone():
    words = "The bound is of sets that begin every 2 minutes; times between these might end sooner"
    assert words in run("--rooms", "2", "--start", "9:00", "--gap", "5")
    assert words not in run("--rooms", "2", "--start", "9:00", "--gap", "6")


def test_a_room_can_keep_its_class(tmp_path):
    run("--rooms", "4", "--start", "09:00", "--keep-class", "--out", str(tmp_path / "plan.csv"))
    with open(tmp_path / "plan.csv", encoding="utf-8", newline="") as file:
        rooms = {}
        for row in csv.DictReader(file):
            rooms.setdefault(row["class"], set()).add(row["room"])
    assert all(len(heard_in) == 1 for heard_in in rooms.values())


def test_past_midnight_the_hours_go_on(tmp_path):
    said = run("--rooms", "1", "--start", "23:30", "--break", "23:40-24:10", "--out", str(tmp_path / "plan.csv"))
    assert "It goes on past midnight: 24:10 is ten past" in said
    with open(tmp_path / "plan.csv", encoding="utf-8", newline="") as file:
        starts = [row["start"] for row in csv.DictReader(file)]
    assert starts[:6] == ["23:30", "23:32", "23:34", "23:36", "23:38", "24:10"]


def test_breaks_that_cover_the_day():
    with pytest.raises(CommandError, match="no time to speak between 09:00 and midnight"):
        run("--rooms", "1", "--start", "09:00", "--break", "08:00-23:59")


def test_whoever_is_absent_is_left_out():
    absent = {person.number for person in read_book(DEMO).contestants if not person.present}
    assert absent
    assert absent.isdisjoint(speaker.number for speaker in speakers_of(read_book(DEMO)))


def test_a_book_with_errors_exits_with_2_and_touches_nothing(tmp_path):
    (tmp_path / "contest.toml").write_text("format = 1\n")
    done = subprocess.run(
        [sys.executable, "manage.py", "plan_reasons", str(tmp_path), "--rooms", "2", "--start", "09:00"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "problem" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--rooms", "0", "--start", "09:00"], "0 is too few"),
        (["--rooms", "two", "--start", "09:00"], "no whole number"),
        (["--rooms", "999", "--start", "09:00"], "999 is too many"),
        (["--rooms", "2", "--start", "24:00"], "no time of day"),
        (["--rooms", "2", "--start", "09:00", "--gap", "-1"], "-1 is too few"),
        (["--rooms", "2", "--start", "09:00", "--break", "12:00"], "is no break"),
        (["--rooms", "2", "--start", "09:00", "--break", "12:00-11:00"], "ends before it begins"),
    ],
)
def test_wrong_arguments_are_explained(arguments, message):
    with pytest.raises(CommandError, match=message):
        run(*arguments)


def test_a_folder_that_is_not_there_to_write_to(tmp_path):
    with pytest.raises(CommandError, match="cannot be written"):
        run("--rooms", "2", "--start", "09:00", "--out", str(tmp_path / "none" / "plan.csv"))
