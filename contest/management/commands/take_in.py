"""`manage.py take_in BOOK FILE... --out DIR`: entries from other contests, numbered anew for a book's contest."""

from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.book.files import ENTRIES
from contest.book.write import csv_text, entries_text
from contest.entries.plan import Person, Values, Verdict, make_plan
from contest.entries.source import Source, first_choice, together
from contest.management.messages import add_book, book_of
from contest.uploads.spreadsheets import Unreadable, sheets_of
from scoring.core.record import Contestant, Record

CAME_FROM = "came-from.csv"


class Command(BaseCommand):
    help = _(
        "Take in entry lists that other contests sent on. The folder gets the book's entries.csv with them, numbered "
        "anew, and came-from.csv, which says who came from where."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        parser.add_argument("lists", nargs="+", metavar="FILE", help=_("an entry list, .csv or .xlsx; as many as came"))
        parser.add_argument("--out", required=True, metavar="DIR", help=_("the folder to write the two files to"))
        about = _("the first number given; the next after the book's where it is not said")
        parser.add_argument("--numbers-from", type=int, metavar="N", help=about)

    def handle(self, *, book: str, every_problem: bool, lists: list[str], out: str, **options: Any) -> None:
        record = book_of(book, every_problem)
        divisions = [(division.code, division.name) for division in record.divisions]
        start = options["numbers_from"] or max((person.number for person in record.contestants), default=100) + 1
        try:
            text = together({Path(path).stem: self.read(path) for path in lists})
            chosen = first_choice(Source("", {"": text}), divisions, numbers_from=start)
        except Unreadable as reason:
            raise CommandError(str(reason), returncode=2) from None
        plan = make_plan(chosen.lines, chosen.layout, divisions, _people(record), renumber=False)
        refused = [row for row in plan.rows if row.kind == Verdict.REFUSE]
        for row in plan.rows:
            for note in row.notes:
                self.stderr.write(" ".join(filter(None, row.cells)) + f": {note}", style_func=str)
        made = [row.values for row in plan.rows if row.values and row.kind != Verdict.REFUSE]
        try:
            self.write(record, made, Path(out))
        except OSError as error:
            words = _("{path}: the files cannot be written there: {error}")
            raise CommandError(words.format(path=out, error=error.strerror)) from None
        added = plan.count(Verdict.ADD)
        words = ngettext("{count} taken in, {refused} refused", "{count} taken in, {refused} refused", added)
        self.stdout.write(words.format(count=added, refused=len(refused)))

    def read(self, path: str) -> str:
        try:
            return next(iter(sheets_of(path, Path(path).read_bytes()).values()))
        except OSError as error:
            words = _("{path}: cannot be read: {error}")
            raise CommandError(words.format(path=path, error=error.strerror), returncode=2) from None
        except Unreadable as reason:
            raise CommandError(f"{path}: {reason}", returncode=2) from None

    def write(self, record: Record, made: list[Values], folder: Path) -> None:
        people = {person.number: person for person in record.contestants}
        people |= {values.number: _as_said(people.get(values.number), values) for values in made}
        whole = replace(record, contestants=tuple(people[number] for number in sorted(people)))
        folder.mkdir(parents=True, exist_ok=True)
        (folder / ENTRIES).write_text(entries_text(whole), encoding="utf-8")
        origins = sorted((values.number, values.came_from) for values in made)
        (folder / CAME_FROM).write_text(csv_text(("number", "came_from"), origins), encoding="utf-8")


def _people(record: Record) -> list[Person]:
    return [Person(at, _of_person(person)) for at, person in enumerate(record.contestants, start=1)]


def _of_person(person: Contestant) -> Values:
    return Values(
        *(person.number, person.division, person.team, person.first_name, person.last_name, person.group),
        *(person.show_name, person.present),
    )


def _as_said(person: Contestant | None, values: Values) -> Contestant:
    """A contestant as a list says; what it does not speak of stays."""
    return (person or Contestant(values.number, values.division))._replace(
        division=values.division,
        team=values.team,
        first_name=values.first_name,
        last_name=values.last_name,
        role="member" if values.team else "individual",
        group=values.group,
        show_name=values.show_name,
        present=values.present,
    )
