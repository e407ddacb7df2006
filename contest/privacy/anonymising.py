"""Making a contest anonymous: the results stay, by number, and nobody can tell any more whose they were.

The trail still proves. Its entries hold names as tokens, and a token whose name is forgotten is as good as before; a
row that was kept as it was before a change leaves its digest, without the salt that would let anybody try names.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

from django.db import connection, transaction
from django.utils import timezone

from contest.changes import changes, take_turn
from contest.changes.inserting import update_rows
from contest.models import SCANNER, Accommodation, Contest, Helper, JoinCode, RowChange, Submission, Touches
from contest.other_apps import OTHER_APPS, forget
from contest.privacy.names import People, holds_names, rewrite_rows, rewritten
from contest.records.day import BOOK
from contest.row_changes.stamping import COLUMNS, KeptRow, digest_of_row, unrecorded
from contest.row_changes.tables import recorded
from contest.trail import note, record_change, sentence
from contest.trail.names import forget_names
from scoring.core.explain import counted_each
from scoring.core.texts import ngettext_noop

WHAT = "names_made_anonymous"

REMEMBERED = timedelta(hours=1)
"""A form is sent twice within that; what it was answered may hold a name."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """What was worked out before the turn: how people are called, and what each app is to do in the turn, by whom."""

    people: People
    steps: list[Callable[[str], None]]


def work_ahead(contest: Contest) -> Ahead:
    """For `anonymise` to find it done: what was announced takes longer than the desks can be held up."""
    people = People(kept=(BOOK, SCANNER))
    return Ahead(people, [app.make_anonymous(contest, people.called) for app in OTHER_APPS])


@changes
def anonymise(contest: Contest, by: str, ahead: Ahead | None = None) -> None:
    """Take every name of a person out of a contest, for good. Its helpers are out, and its printed files go.

    Copies that were made of the database before still hold the names.
    """
    take_turn(contest.pk)
    ahead = ahead or work_ahead(contest)
    people = ahead.people
    contest.refresh_from_db()
    _leave_nothing_in_free_pages()
    with unrecorded():
        Helper.objects.filter(contest=contest, left_at=None).update(left_at=timezone.now())
        JoinCode.objects.filter(contest=contest).delete()
        Accommodation.objects.filter(contestant__contest=contest).delete()
        rewrite_rows(contest, people)
    _rewrite_what_was_kept(contest, people)
    for step in ahead.steps:
        step(by)
    Submission.objects.filter(at__lt=timezone.now() - REMEMBERED).delete()
    note(by, sentence(WHAT), about=[f"contest:{contest.pk}"])  # by whom is not forgotten with them
    record_change(contest, by, sentence(WHAT), touches=Touches.EVERYTHING)
    forget_names(contest)
    transaction.on_commit(partial(forget, contest.pk))


def what_goes(contest: Contest) -> list[str]:
    """What would be made anonymous, in words."""
    named = contest.contestants.exclude(first_name="", last_name="")
    officials = ngettext_noop("{count} official who heard reasons", "{count} officials who heard reasons")
    return counted_each(
        [
            (ngettext_noop("{count} contestant", "{count} contestants"), named.count()),
            (ngettext_noop("{count} helper", "{count} helpers"), contest.helpers.count()),
            (officials, contest.reasons_officials.count()),
            (ngettext_noop("{count} printed file", "{count} printed files"), contest.print_jobs.count()),
        ]
    )


def _rewrite_what_was_kept(contest: Contest, people: People) -> None:
    """Take the names out of what rows were before each change; the digest that the trail holds of them stays."""
    models = {model._meta.db_table: model for model, *_ in recorded() if holds_names(model)}
    rows = RowChange.objects.filter(contest=contest, before__isnull=False, of_table__in=models).order_by("pk")
    changed = []
    for row in rows.values_list(*COLUMNS).iterator(1000):
        kept = KeptRow._make(row)
        before = json.loads(kept.before or "")
        made = rewritten(models[kept.of_table], before, people)
        if made != before:
            digest = kept.digest or digest_of_row(kept)
            changed.append((json.dumps(made), digest, "", kept.id))
    update_rows(RowChange, ("before", "digest", "salt"), changed)


def _leave_nothing_in_free_pages() -> None:
    """SQLite leaves what was overwritten in the file until the room is used again, unless it is told not to."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA secure_delete = ON")
