"""What is kept of files that people brought for a contest: none of it stays once the contest goes, or its names do."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django.db import transaction

from contest.models import Contest
from contest.other_apps import OtherApp
from contest.uploads.files import forget, hide, names_of
from contest.uploads.working import line


def files_of(contest: Contest) -> list[str]:
    """Those of all that was brought for a contest; what waits to be shown goes at once."""
    rows = list(contest.brought_files.all())
    for row in rows:
        hide(row)
    return [name for row in rows for name in names_of(row)]


def make_anonymous(contest: Contest, called: Callable[[str], str]) -> Callable[[str], None]:
    """Files go with what was read of them, and so do their rows: nobody can take a name out of them."""

    def in_the_turn(by: str) -> None:
        for row in contest.brought_files.all():
            line.cancelled(row.pk)
            transaction.on_commit(partial(forget, row))
        contest.brought_files.all().delete()

    return in_the_turn


UPLOADS = OtherApp(files_of, make_anonymous=make_anonymous, lines=(line,))
