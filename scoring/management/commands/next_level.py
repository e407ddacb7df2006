"""`manage.py next_level BOOK --out FILE.csv`: who goes on from a book's contest, as entries for the next one."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.book.next_entries import next_entries
from contest.management.messages import add_book, book_of
from scoring.core.going_on import ALTERNATE, Declined, Wanted, choose, entrants
from scoring.core.points import figure
from scoring.core.record import Record
from scoring.core.result import OVERALL
from scoring.core.tally import tally


class Command(BaseCommand):
    help = _(
        "Choose the first of a book's lists for the next level, and write their entries: no scores, and nobody else's "
        "names."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        add = parser.add_argument
        add("--teams", type=int, default=0, metavar="N", help=_("how many teams of each list go"))
        add("--individuals", type=int, default=0, metavar="N", help=_("how many contestants of each list go"))
        add("--alternates", type=int, default=0, metavar="N", help=_("how many stand in, told and in no file"))
        about = _("such as SR/overall; may be repeated; the overall list of every division where it is not said")
        add("--list", action="append", dest="lists", metavar="LIST", help=about)
        about = _("a contestant's number, or DIVISION/TEAM, that does not go; may be repeated")
        add("--declines", action="append", default=[], metavar="WHO", help=about)
        about = _("members of a team that goes take individual places too")
        add("--also-members", action="store_true", help=about)
        add("--from", dest="came_from", default="", help=_("your county; the contest's name where it is not said"))
        add("--out", required=True, metavar="FILE.csv", help=_("the file to write"))

    def handle(self, *, book: str, every_problem: bool, out: str, **options: Any) -> None:
        record = book_of(book, every_problem)
        wanted = list(self.wanted(record, **options))
        declined = Declined(
            frozenset(int(who) for who in options["declines"] if who.isdecimal()),
            frozenset((who.partition("/")[0], who.partition("/")[2]) for who in options["declines"] if "/" in who),
        )
        chosen = choose(tally(record).standings, wanted, record, declined)
        people = entrants(chosen, record, declined)
        if not people:
            raise CommandError(_("nobody goes on: say --teams N, --individuals N or both"))
        for one in chosen:
            self.stdout.write(f"{'/'.join(one.wanted[:3])}")
            for row in one.rows:
                state = f"{row.state} {row.at}" if row.state == ALTERNATE else row.state
                self.stdout.write(f"  {row.rank:>4}  {row.who:<24}  {figure(row.total):>8}  {state}")
            if one.shared:
                self.stderr.write(_("{list}: the last place is shared").format(list="/".join(one.wanted[:3])))
        try:
            Path(out).write_text(next_entries(people, options["came_from"] or record.rules.name), encoding="utf-8")
        except OSError as error:
            words = _("{path}: the file cannot be written there: {error}")
            raise CommandError(words.format(path=out, error=error.strerror)) from None
        words = ngettext("{count} entry written to {path}", "{count} entries written to {path}", len(people))
        self.stdout.write(words.format(count=len(people), path=out))

    def wanted(self, record: Record, **options: Any) -> list[Wanted]:
        divisions = [division.code for division in record.divisions]
        lists = [name.partition("/")[::2] for name in options["lists"] or [f"{code}/{OVERALL}" for code in divisions]]
        if unknown := [division for division, _code in lists if division not in divisions]:
            words = _("there is no division {name}; they are {divisions}")
            raise CommandError(words.format(name=unknown[0], divisions=", ".join(divisions)))
        made = []
        for division, code in lists:
            alternates, besides = options["alternates"], not options["also_members"]
            if options["teams"] > 0:
                made.append(Wanted(division, code, "teams", options["teams"], alternates))
            if options["individuals"] > 0:
                made.append(Wanted(division, code, "individuals", options["individuals"], alternates, besides))
        return made
