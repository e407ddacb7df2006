"""`manage.py plan_reasons`: a timetable of a book's reasons, with no server, touching no database."""

import argparse
import csv
import time

from django.core.management import BaseCommand, CommandError

from contest.book import BookProblems, read_book
from contest.management.messages import problems_text
from reasons.planning import CannotPlan, Task, Timing, plan
from reasons.planning.clock import clock_time, minute_of_day
from reasons.planning.from_record import officials_of, rooms_of, speakers_of

COLUMNS = ("room", "official", "start", "end", "number", "class")


class Command(BaseCommand):
    help = (
        "Plan who of a contest book speaks in which reasons room and when. "
        "Without --out, print the timetable; with it, write it as a CSV file."
    )
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument("book", help="the book's folder, or a .zip of it")
        parser.add_argument(
            "--rooms", type=_at_least(1), required=True, metavar="N", help="how many rooms hear reasons"
        )
        parser.add_argument("--minutes", type=_at_least(1), default=2, metavar="M", help="minutes a set takes (2)")
        parser.add_argument(
            "--gap", type=_at_least(0), default=10, metavar="G", help="minutes between two sets of a contestant (10)"
        )
        parser.add_argument("--start", type=_minute, required=True, metavar="HH:MM", help="when it starts")
        parser.add_argument(
            "--prepare", type=_at_least(0), default=0, metavar="P", help="minutes to prepare before the first set (0)"
        )
        parser.add_argument(
            "--break",
            type=_break,
            action="append",
            default=[],
            dest="breaks",
            metavar="HH:MM-HH:MM",
            help="a time in which nobody speaks; may be given more than once",
        )
        parser.add_argument("--keep-class", action="store_true", help="let every room keep to its own class or classes")
        parser.add_argument(
            "--seconds", type=_at_least(1), default=10, metavar="S", help="the longest it may plan (10)"
        )
        parser.add_argument("--out", metavar="FILE", help="the CSV file to write")

    def handle(self, *, book, rooms, minutes, gap, start, prepare, breaks, keep_class, seconds, out, **options):
        try:
            record = read_book(book)
        except BookProblems as problems:
            raise CommandError(problems_text(book, problems), returncode=2) from None
        speakers = speakers_of(record)
        if not speakers:
            raise CommandError(f"{book}: nobody who is present gives reasons; there is nothing to plan")
        task = Task(
            speakers, rooms_of(speakers, rooms, keep_class), Timing(start, minutes, gap, prepare, tuple(breaks))
        )
        began = time.monotonic()
        try:
            made = plan(task, budget_seconds=seconds)
        except CannotPlan as reason:
            raise CommandError(f"{book}: {reason}") from None
        took = time.monotonic() - began
        officials = dict(zip((room.name for room in task.rooms), officials_of(record, rooms), strict=True))
        rows = [
            (one.room, officials[one.room], clock_time(one.start), clock_time(one.end), one.number, one.class_number)
            for one in made.sets
        ]
        if out:
            _write(out, rows)
        else:
            self.stdout.write(_table(rows))
        for line in summary(task, made, took):
            self.stdout.write(line)
        if out:
            self.stdout.write(f"{len(rows)} sets of {len(speakers)} contestants written to {out}")


def summary(task, made, took):
    """The lower bound, the plan's length and the time it took, a line each."""
    began = made.sets[0].start
    yield f"Lower bound: {made.bound.ends - began} minutes, to {clock_time(made.bound.ends)} ({made.bound.because})"
    over = "as short as can be" if made.over == 0 else f"{made.over} minutes over the bound"
    if made.over and made.proved:
        over += ", and proved to be the best"
    yield f"Plan: {made.ends - began} minutes, {clock_time(began)} to {clock_time(made.ends)}; {over}"
    if made.following:
        times = "once" if made.following == 1 else f"{made.following} times"
        yield f"Team-mates follow one another {times}"
    yield f"Planned in {took:.2f} s"


def _write(out, rows):
    try:
        with open(out, "w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(COLUMNS)
            writer.writerows(rows)
    except OSError as error:
        raise CommandError(f"{out}: the timetable cannot be written there: {error.strerror}") from None


def _table(rows):
    cells = [COLUMNS, *([str(value) for value in row] for row in rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(COLUMNS))]
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in cells) + "\n"


def _at_least(least):
    def number(text):
        try:
            value = int(text)
        except ValueError:
            raise argparse.ArgumentTypeError(f"{text!r} is no whole number") from None
        if value < least:
            raise argparse.ArgumentTypeError(f"{value} is too few; {least} or more")
        return value

    return number


def _minute(text):
    try:
        return minute_of_day(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def _break(text):
    begin, dash, end = text.partition("-")
    if not dash:
        raise argparse.ArgumentTypeError(f"{text!r} is no break; write it as 12:00-13:00")
    begins, ends = _minute(begin), _minute(end)
    if ends <= begins:
        raise argparse.ArgumentTypeError(f"the break {text} ends before it begins")
    return begins, ends
