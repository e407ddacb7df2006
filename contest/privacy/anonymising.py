"""Making a contest anonymous: the results stay, by number, and nobody can tell any more whose they were.

The trail still proves. Its entries hold names as tokens, and a token whose name is forgotten is as good as before; a
row that was kept as it was before a change leaves its digest, without the salt that would let anybody try names.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from django.db import connection, transaction
from django.utils import timezone

from contest.changes import changes, take_turn
from contest.history.stamping import COLUMNS, Kept, digest_of_row, unrecorded
from contest.history.tables import recorded
from contest.models import Contest, Helper, JoinCode, RowChange, Submission, Touches
from contest.privacy.names import People, rewrite_rows, rewritten
from contest.records.rows import BOOK
from contest.trail import note, record_change
from contest.trail.names import forget_names
from scoring.board.shared import forget
from scoring.core.explain import counted
from scoring.core.record import Record
from scoring.models import PrintJob, Release
from scoring.prints.folders import drop
from scoring.prints.jobs import file_of
from scoring.results import released
from scoring.results.snapshots import record_of, snapshot

WHAT = "names made anonymous"

REMEMBERED = timedelta(hours=1)
"""A form is sent twice within that; what it was answered may hold a name."""


@changes
def anonymise(contest: Contest, by: str) -> None:
    """Take every name of a person out of a contest, for good. Its helpers are out, and its printed files go.

    Copies that were made of the database before still hold the names.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    _leave_nothing_in_free_pages()
    people = People(kept=(BOOK,))
    with unrecorded():
        files = [file_of(job) for job in contest.print_jobs.all()]
        PrintJob.objects.filter(contest=contest).delete()
        Helper.objects.filter(contest=contest, left_at=None).update(left_at=timezone.now())
        JoinCode.objects.filter(contest=contest).delete()
        rewrite_rows(contest, people)
    _rewrite_what_was_kept(contest, people)
    _rewrite_releases(contest, people, by)
    Submission.objects.filter(at__lt=timezone.now() - REMEMBERED).delete()
    note(by, WHAT, about=[f"contest:{contest.pk}"])  # by whom is not forgotten with them
    record_change(contest, by, WHAT, touches=Touches.EVERYTHING)
    forget_names(contest)
    transaction.on_commit(lambda: _afterwards(contest.pk, files))


def what_goes(contest: Contest) -> list[str]:
    """What would be made anonymous, in words."""
    held = {
        "contestant": contest.contestants.exclude(first_name="", last_name="").count(),
        "helper": contest.helpers.count(),
        "official who heard reasons": contest.reasons_officials.count(),
        "printed file": contest.print_jobs.count(),
    }
    plural = {"official who heard reasons": "officials who heard reasons"}
    return [counted(number, what, plural.get(what)) for what, number in held.items() if number]


def _rewrite_what_was_kept(contest: Contest, people: People) -> None:
    """Take the names out of what rows were before each change; the digest that the trail holds of them stays."""
    models = {model._meta.db_table: model for model, *_ in recorded()}
    rows = RowChange.objects.filter(contest=contest, before__isnull=False).order_by("pk")
    for row in rows.values_list(*COLUMNS).iterator(1000):
        kept = Kept._make(row)
        before = json.loads(kept.before or "")
        made = rewritten(models[kept.of_table], before, people)
        if made != before:
            digest = kept.digest or digest_of_row(kept)
            RowChange.objects.filter(pk=kept.id).update(before=json.dumps(made), digest=digest, salt="")


def _rewrite_releases(contest: Contest, people: People, by: str) -> None:
    """Take the names out of the books of what was announced; the trail is told of the new ones."""
    for release in Release.objects.filter(contest=contest):
        record = record_of(bytes(release.book), release.reasons_standardised)
        book = snapshot(without_names(record, people))
        Release.objects.filter(pk=release.pk).update(book=book)
        after = {"version": release.version, "book": hashlib.sha256(book).hexdigest()}
        what = f"book of release {release.version} made anonymous"
        record_change(contest, by, what, after=after, touches=Touches.NOTHING)


def without_names(record: Record, people: People) -> Record:
    return replace(
        record,
        contestants=tuple(one._replace(first_name="", last_name="") for one in record.contestants),
        reasons=tuple(one._replace(official=people.called(one.official)) for one in record.reasons),
        no_reasons=tuple(one._replace(official=people.called(one.official)) for one in record.no_reasons),
    )


def _leave_nothing_in_free_pages() -> None:
    """SQLite leaves what was overwritten in the file until the room is used again, unless it is told not to."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA secure_delete = ON")


def _afterwards(pk: int, files: list[Path]) -> None:
    for file in files:
        drop(file)
    released.forget_all()  # what was announced is kept in memory with its names
    forget(pk)
