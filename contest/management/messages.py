"""What the commands say on the terminal."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.management import CommandError, CommandParser
from django.db import OperationalError, ProgrammingError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.book import BookProblems, read_book
from contest.book.problems import Problem, summed_up
from contest.models import Contest
from scoring.core.points import in_thousands
from scoring.core.record import Record


def add_book(parser: CommandParser) -> None:
    """The arguments of a command that reads a book."""
    parser.add_argument("book", help=_("the book's folder, or a .zip of it"))
    parser.add_argument(
        "--all", action="store_true", dest="every_problem", help=_("list every problem of a broken book, a line each")
    )


def book_of(book: str, every_problem: bool) -> Record:
    """The record of a book; where it is broken, the command ends with 2 and says what to mend."""
    try:
        return read_book(book)
    except BookProblems as problems:
        raise CommandError(problems_text(book, problems.problems, every_problem), returncode=2) from None


def problems_text(book: str, problems: tuple[Problem, ...], every: bool) -> str:
    """A book's problems under a line that says what to do; what is alike is said once, or `every` one is."""
    lines = list(map(str, problems) if every else summed_up(problems))
    if not every and len(lines) < len(problems):
        lines.append(_("`--all` lists every one."))
    head = ngettext(
        "{book}: {count} problem; nothing was written. Mend and try again:",
        "{book}: {count} problems; nothing was written. Mend and try again:",
        len(problems),
    ).format(book=book, count=in_thousands(len(problems)))
    return "\n".join([head, *lines])


def contest_label(contest: Contest) -> str:
    when = f", {contest.held_on}" if contest.held_on else ""
    return f"{contest.pk}  {contest.name}{when}"


@contextmanager
def needing_database() -> Iterator[None]:
    """Around the first look into the database: where none was made yet, the command ends and says what makes it."""
    try:
        yield
    except (OperationalError, ProgrammingError):
        raise CommandError(_("there is no database yet; `python3 manage.py up` or `import_book` makes it")) from None


@contextmanager
def looking_for_contest(pk: int) -> Iterator[None]:
    """Around the look for contest `pk`: where it cannot be found, the command ends and says what there is instead."""
    with needing_database():
        try:
            yield
        except Contest.DoesNotExist:
            known = "\n".join(map(contest_label, Contest.objects.all())) or _("none yet")
            raise CommandError(
                _("there is no contest {pk}. Contests here:\n{known}").format(pk=pk, known=known)
            ) from None
