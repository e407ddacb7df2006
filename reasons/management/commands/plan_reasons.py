"""`manage.py plan_reasons`: a timetable of a book's reasons, with no server, touching no database."""

import argparse
import csv
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from contest.management.messages import add_book, book_of
from reasons.planning import CannotPlan, Plan, Task, Timing, plan
from reasons.planning.clock import DAY, clock_time, minute_of_day
from reasons.planning.from_record import officials_of, rooms_of, speakers_of

COLUMNS = ("room", "official", "start", "end", "number", "class")


class Command(BaseCommand):
    help = (
        "Plan who of a contest book speaks in which reasons room and when. "
        "Without --out, print the timetable; with it, write it as a CSV file. "
        "Where it goes on past midnight, so do the hours: 24:10 is ten past midnight."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        parser.add_argument(
            "--rooms", type=_whole(1, 200), required=True, metavar="N", help="how many rooms hear reasons"
        )
        parser.add_argument("--minutes", type=_whole(1, DAY), default=2, metavar="M", help="minutes a set takes (2)")
        parser.add_argument(
            "--gap", type=_whole(0, DAY), default=10, metavar="G", help="minutes between two sets of a contestant (10)"
        )
        parser.add_argument("--start", type=_minute, required=True, metavar="HH:MM", help="when it starts")
        parser.add_argument(
            "--prepare", type=_whole(0, DAY), default=0, metavar="P", help="minutes to prepare before the first set (0)"
        )
        parser.add_argument(
            "--break",
            type=_break,
            action="append",
            default=[],
            dest="breaks",
            metavar="HH:MM-HH:MM",
            help="a time in which nobody speaks, after midnight as 24:10-24:30; may be given more than once",
        )
        parser.add_argument("--keep-class", action="store_true", help="let every room keep to its own class or classes")
        parser.add_argument(
            "--seconds", type=_whole(1, 3600), default=10, metavar="S", help="the longest it may plan (10)"
        )
        parser.add_argument("--out", metavar="FILE", help="the CSV file to write")

    def handle(
        self,
        *,
        book: str,
        every_problem: bool,
        rooms: int,
        minutes: int,
        gap: int,
        start: int,
        prepare: int,
        breaks: list[tuple[int, int]],
        keep_class: bool,
        seconds: int,
        out: str | None,
        **options: Any,
    ) -> None:
        record = book_of(book, every_problem)
        speakers = speakers_of(record)
        if not speakers:
            raise CommandError(f"{book}: nobody who is present gives reasons; there is nothing to plan")
        task = Task(
            speakers, rooms_of(speakers, rooms, keep_class), Timing(start, minutes, gap, prepare, tuple(breaks))
        )
        officials = dict(zip((room.name for room in task.rooms), officials_of(record, rooms), strict=True))
        after: list[float] = []
        began = time.monotonic()

        def found(made: Plan) -> None:
            after.append(time.monotonic() - began)
            if out:  # at once, so that a usable plan is there while a better one is looked for
                _write(out, _rows(made, officials))

        try:
            made = plan(task, budget_seconds=seconds, on_better=found)
        except CannotPlan as reason:
            raise CommandError(f"{book}: {reason}") from None
        took = time.monotonic() - began
        if not out:
            self.stdout.write(_table(_rows(made, officials)))
        for line in summary(made, after[0], took):
            self.stdout.write(line)
        if out:
            self.stdout.write(f"{len(made.sets)} sets of {len(speakers)} contestants written to {out}")


def summary(made: Plan, first_after: float, took: float) -> Iterator[str]:
    """The lower bound, the plan's length and the time it took, a line each; times in seconds."""
    began = made.sets[0].start
    yield f"Lower bound: {made.bound.ends - began} minutes, to {clock_time(made.bound.ends)} ({made.bound.because})"
    over = "as short as can be" if made.over == 0 else f"{made.over} minutes over the bound"
    if made.over and made.proved:
        over += ", and no plan is better"
    yield f"Plan: {made.ends - began} minutes, {clock_time(began)} to {clock_time(made.ends)}; {over}"
    if made.following:
        times = "once" if made.following == 1 else f"{made.following} times"
        helped = ", which no plan can help" if made.following == made.bound.following else ""
        yield f"Team-mates follow one another {times}{helped}"
    if made.ends > DAY:
        yield "It goes on past midnight: 24:10 is ten past"
    yield f"Planned in {took:.2f} s; a first plan after {first_after:.2f} s"


def _rows(made: Plan, officials: Mapping[str, str]) -> list[tuple[Any, ...]]:
    return [
        (
            planned.room,
            officials[planned.room],
            clock_time(planned.start),
            clock_time(planned.end),
            planned.number,
            planned.class_number,
        )
        for planned in made.sets
    ]


def _write(out: str, rows: Iterable[tuple[Any, ...]]) -> None:
    try:
        with open(out, "w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(COLUMNS)
            writer.writerows(rows)
    except OSError as error:
        raise CommandError(f"{out}: the timetable cannot be written there: {error.strerror}") from None


def _table(rows: Iterable[tuple[Any, ...]]) -> str:
    cells: list[Sequence[str]] = [COLUMNS, *([str(value) for value in row] for row in rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(COLUMNS))]
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in cells) + "\n"


def _whole(least: int, most: int) -> Callable[[str], int]:
    def number(text: str) -> int:
        try:
            value = int(text)
        except ValueError:
            raise argparse.ArgumentTypeError(f"{text!r} is no whole number") from None
        if not least <= value <= most:
            raise argparse.ArgumentTypeError(f"{value} is too {'few' if value < least else 'many'}; {least} to {most}")
        return value

    return number


def _minute(text: str, after_midnight: bool = False) -> int:
    try:
        return minute_of_day(text, after_midnight)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def _break(text: str) -> tuple[int, int]:
    begin, dash, end = text.partition("-")
    if not dash:
        raise argparse.ArgumentTypeError(f"{text!r} is no break; write it as 12:00-13:00")
    begins, ends = _minute(begin, after_midnight=True), _minute(end, after_midnight=True)
    if ends <= begins:
        raise argparse.ArgumentTypeError(f"the break {text} ends before it begins")
    return begins, ends
