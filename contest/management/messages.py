"""What the commands say on the terminal."""

from contextlib import contextmanager

from django.core.management import CommandError
from django.db import OperationalError, ProgrammingError

from contest.models import Contest


def problems_text(book, problems):
    """All of a book's problems, a line each, under a line that says what to do."""
    count = len(problems.problems)
    what = "1 problem" if count == 1 else f"{count} problems"
    return f"{book}: {what}; nothing was written. Mend and try again:\n{problems}"


def contest_label(contest):
    when = f", {contest.held_on}" if contest.held_on else ""
    return f"{contest.pk}  {contest.name}{when}"


@contextmanager
def needing_database():
    """Around the first look into the database: where none was made yet, the command ends and says what makes it."""
    try:
        yield
    except (OperationalError, ProgrammingError):
        raise CommandError("there is no database yet; `python3 manage.py up` or `import_book` makes it") from None


@contextmanager
def looking_for_contest(pk):
    """Around the look for contest `pk`: where it cannot be found, the command ends and says what there is instead."""
    with needing_database():
        try:
            yield
        except Contest.DoesNotExist:
            known = "\n".join(map(contest_label, Contest.objects.all())) or "none yet"
            raise CommandError(f"there is no contest {pk}. Contests here:\n{known}") from None
