"""`manage.py plan_reasons`: a timetable of a book's reasons, with no server, touching no database."""

import argparse
import csv
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.management.messages import add_book, book_of
from reasons.planning import CannotPlan, Plan, Task, Timing, plan
from reasons.planning.clock import DAY, clock_time, minute_of_day
from reasons.planning.from_record import officials_of, rooms_of, speakers_of
from reasons.planning.plan import on_starts

COLUMNS = ("room", "official", "start", "end", "number", "class")


class Command(BaseCommand):
    help = _(
        "Plan who of a contest book speaks in which reasons room and when. "
        "Without --out, print the timetable; with it, write it as a CSV file. "
        "Where it goes on past midnight, so do the hours: 24:10 is ten past midnight."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        parser.add_argument(
            "--rooms", type=_whole(1, 200), required=True, metavar="N", help=_("how many rooms hear reasons")
        )
        parser.add_argument("--minutes", type=_whole(1, DAY), default=2, metavar="M", help=_("minutes a set takes (2)"))
        parser.add_argument(
            "--gap",
            type=_whole(0, DAY),
            default=10,
            metavar="G",
            help=_("minutes between two sets of a contestant (10)"),
        )
        parser.add_argument("--start", type=_minute, required=True, metavar="HH:MM", help=_("when it starts"))
        parser.add_argument(
            "--prepare",
            type=_whole(0, DAY),
            default=0,
            metavar="P",
            help=_("minutes to prepare before the first set (0)"),
        )
        parser.add_argument(
            "--break",
            type=_break,
            action="append",
            default=[],
            dest="breaks",
            metavar="HH:MM-HH:MM",
            help=_("a time in which nobody speaks, after midnight as 24:10-24:30; may be given more than once"),
        )
        parser.add_argument(
            "--keep-class", action="store_true", help=_("let every room keep to its own class or classes")
        )
        parser.add_argument(
            "--seconds", type=_whole(1, 3600), default=10, metavar="S", help=_("the longest it may plan (10)")
        )
        parser.add_argument("--out", metavar="FILE", help=_("the CSV file to write"))

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
            text = _("{book}: nobody who is present gives reasons; there is nothing to plan")
            raise CommandError(text.format(book=book))
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
        for line in summary(made, task.timing, after[0], took):
            self.stdout.write(line)
        if out:
            text = _("{sets} sets of {people} contestants written to {file}")
            self.stdout.write(text.format(sets=len(made.sets), people=len(speakers), file=out))


def summary(made: Plan, timing: Timing, first_after: float, took: float) -> Iterator[str]:
    """The lower bound, the plan's length and the time it took, a line each; times in seconds."""
    began = made.sets[0].start
    bound = _("Lower bound: {minutes} minutes, to {end} ({because})")
    yield bound.format(minutes=made.bound.ends - began, end=clock_time(made.bound.ends), because=made.bound.because)
    over = _("{count} minutes over the bound").format(count=made.over) if made.over else _("as short as can be")
    if made.over and made.proved:
        over = _("{count} minutes over the bound, and no plan is better").format(count=made.over)
    length = _("Plan: {minutes} minutes, {begin} to {end}; {over}")
    yield length.format(minutes=made.ends - began, begin=clock_time(began), end=clock_time(made.ends), over=over)
    if not timing.is_even:
        yield on_starts(timing)
    if made.following:
        text = ngettext(
            "Team-mates follow one another once", "Team-mates follow one another {count} times", made.following
        )
        if made.following == made.bound.following:
            text = ngettext(
                "Team-mates follow one another once, which no plan can help",
                "Team-mates follow one another {count} times, which no plan can help",
                made.following,
            )
        yield text.format(count=made.following)
    if made.ends > DAY:
        yield _("It goes on past midnight: 24:10 is ten past")
    yield _("Planned in {took:.2f} s; a first plan after {first:.2f} s").format(took=took, first=first_after)


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
        text = _("{file}: the timetable cannot be written there: {why}")
        raise CommandError(text.format(file=out, why=error.strerror)) from None


def _table(rows: Iterable[tuple[Any, ...]]) -> str:
    cells: list[Sequence[str]] = [COLUMNS, *([str(value) for value in row] for row in rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(COLUMNS))]
    return "\n".join("  ".join(map(str.ljust, row, widths)).rstrip() for row in cells) + "\n"


def _whole(least: int, most: int) -> Callable[[str], int]:
    def number(text: str) -> int:
        try:
            value = int(text)
        except ValueError:
            raise argparse.ArgumentTypeError(_("{text!r} is no whole number").format(text=text)) from None
        if not least <= value <= most:
            problem = (
                _("{value} is too few; {least} to {most}")
                if value < least
                else _("{value} is too many; {least} to {most}")
            )
            raise argparse.ArgumentTypeError(problem.format(value=value, least=least, most=most))
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
        raise argparse.ArgumentTypeError(_("{text!r} is no break; write it as 12:00-13:00").format(text=text))
    begins, ends = _minute(begin, after_midnight=True), _minute(end, after_midnight=True)
    if ends <= begins:
        raise argparse.ArgumentTypeError(_("the break {text} ends before it begins").format(text=text))
    return begins, ends
