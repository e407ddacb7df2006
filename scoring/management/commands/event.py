"""`manage.py event BOOK... --out DIR`: the sweepstakes of several contests' books, without a server."""

from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest.book import BookProblems
from contest.book.text import as_text
from contest.book.write import csv_text
from contest.management.messages import book_of, problems_text
from scoring.core.points import written
from scoring.core.record import Record
from scoring.core.sweepstakes import USUAL_POINTS, Kind, Rule, divisions_of, placed, sweepstakes
from scoring.core.tally import tally
from scoring.events.said_in_file import Said, said_in_file
from scoring.events.tables import rule_in_words, who

KINDS: tuple[Kind, ...] = ("teams", "individuals")


def points_of(text: str) -> tuple[int, ...]:
    words = text.replace(",", " ").split()
    if not words or any(not (word.isascii() and word.isdecimal()) for word in words):
        raise ArgumentTypeError(_("{text} is no list of whole numbers such as 10,9,8").format(text=repr(text)))
    return tuple(map(int, words))


class Command(BaseCommand):
    help = _(
        "Make the sweepstakes of a day's contests from their books: teams and contestants are the same where their "
        "names are, a contestant's team included, unless --people says otherwise. Writes sweepstakes-teams.csv and "
        "sweepstakes-individuals.csv."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add = parser.add_argument
        add("books", nargs="+", metavar="BOOK", help=_("a book's folder, or a .zip of it; two or more"))
        add("--by", choices=["total", "ranks"], default="total", help=_("add up totals, or points for ranks"))
        about = _("the points of the first rank, the second and so on; 10 down to 1 where it is not said")
        add("--points", type=points_of, default=USUAL_POINTS, metavar="10,9,8", help=about)
        add("--tie-contest", type=int, metavar="N", help=_("the book, from 1, whose total parts equal sums"))
        about = _(
            "a CSV file that says who is one person: a column for each book, called 1, 2 and so on, and a person a "
            "line with their number in each; whoever has a line alone is nobody else, whatever they are called"
        )
        add("--people", metavar="FILE", help=about)
        add("--all-contests", action="store_true", help=_("only who is in every contest"))
        add("--all", action="store_true", dest="every_problem", help=_("list every problem of a broken book"))
        add("--out", required=True, metavar="DIR", help=_("the folder to write the two files to"))

    def handle(self, *, books: list[str], every_problem: bool, out: str, **options: Any) -> None:
        if len(books) < 2:
            raise CommandError(_("a day has two contests or more"))
        tie = options["tie_contest"]
        if tie is not None and not 1 <= tie <= len(books):
            raise CommandError(_("--tie-contest is one of the {count} books").format(count=len(books)))
        records = [book_of(book, every_problem) for book in books]
        said = _said(options["people"], records, every_problem)
        rule = Rule(options["by"], options["points"], None if tie is None else tie - 1, options["all_contests"])
        shown = [(record, tally(record), of) for record, of in zip(records, said, strict=True)]
        titles = [record.rules.name for record in records]
        try:
            Path(out).mkdir(parents=True, exist_ok=True)
            for kind in KINDS:
                rows = [placed(record, result, kind, said=of) for record, result, of in shown]
                text = csv_text(_header(titles), _rows(rows, rule))
                (Path(out) / f"sweepstakes-{kind}.csv").write_text(text, encoding="utf-8")
        except OSError as error:
            words = _("{path}: the files cannot be written there: {error}")
            raise CommandError(words.format(path=out, error=error.strerror)) from None
        for line in rule_in_words(rule, titles):
            self.stdout.write(line)
        self.stdout.write(_("sweepstakes of {count} contests written to {path}").format(count=len(books), path=out))


def _said(path: str | None, records: list[Record], every_problem: bool) -> list[Said]:
    """Who it was said that people are, of each book."""
    if path is None:
        return [{} for _record in records]
    try:
        return said_in_file(Path(path).read_bytes(), Path(path).name, records)
    except OSError as error:
        raise CommandError(_("{path}: cannot be read: {error}").format(path=path, error=error.strerror)) from None
    except BookProblems as problems:
        raise CommandError(problems_text(path, problems.problems, every_problem), returncode=2) from None


def _header(titles: list[str]) -> list[str]:
    return ["division", "rank", "who", "total", *(f"{at} {as_text(name)}" for at, name in enumerate(titles, 1)), "tie"]


def _rows(rows: list[Any], rule: Rule) -> Any:
    for division in divisions_of(rows):
        for row in sweepstakes(rows, division, rule):
            parts = ("" if part is None else written(part) for part in row.parts)
            yield division, row.rank, as_text(who(row)), written(row.total), *parts, row.tie
