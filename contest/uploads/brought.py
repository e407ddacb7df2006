"""A file that somebody brings: put in line, found again at whichever process, and cancelled."""

from __future__ import annotations

import time
from functools import partial
from typing import Any
from uuid import UUID

from django.core.files import File
from django.db import transaction
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from contest import kept
from contest.changes import SubmissionReused, changes, digest_of
from contest.models import BroughtFile, Contest, Organisation
from contest.models.organisations import own_organisation, reaching
from contest.uploads.files import file_of
from contest.uploads.purposes import Purpose
from contest.uploads.working import line

State = BroughtFile.State

AT_ONCE = 1.0
"""Seconds for which a request waits for a file: most are read in less. It holds one of the server's few threads."""
LOOK_EVERY = 0.05
"""Seconds between two looks meanwhile."""
MOST_OPEN = 8
"""Files of an organisation that are on their way; whoever brings more waits, and holds up nobody else."""


class NotNow(Exception):
    """Raised for a file that cannot be taken in at this moment, in words for whoever brought it."""


def bring(
    key: UUID, kind: str, file: File[Any], content: Any, back: str, purpose: Purpose, contest: Contest | None = None
) -> BroughtFile:
    """Put a file in line, and wait for it a moment; what came before with the same key and content is gone on with.

    `content` is what its form was sent with, as JSON can hold it, where that form is to be answered once; `contest` is
    the one that it is for, and goes away with. Raises NotNow, SubmissionReused.
    """
    row = BroughtFile(
        key=key,
        organisation_id=own_organisation(),
        contest=contest,
        digest=digest_of(content) if content is not None else "",
        kind=kind,
        name=file.name or "",
        purpose=purpose.name,
        arguments=dict(purpose.arguments),
        back=back,
        language=get_language() or "",
    )
    known = _known(row)
    if known is None:
        _refuse_too_many(row)
        _keep(row, file)
        known = _order(row)
    return _a_moment_later(known)


def find(key: UUID) -> BroughtFile | None:
    """The file with a key, as far as it is now, if whoever asks may know of it."""
    row = BroughtFile.objects.filter(key=key).first()
    if row is None or not row.is_for_whoever_asks:
        return None
    if attempt := line.attempts.get(row.pk):  # here it is known more closely
        row.at, row.done, row.of = (attempt.said.get(name, getattr(row, name)) for name in ("at", "done", "of"))
    return row


@changes
def cancel(row: BroughtFile) -> bool:
    """Stop working on a file, wherever that is; says whether there was anything to stop. What was saved of it so far
    goes away."""
    stopped = BroughtFile.objects.filter(pk=row.pk, state__in=BroughtFile.OPEN).update(state=State.CANCELLED)
    if stopped:
        line.cancelled(row.pk)
        transaction.on_commit(partial(kept.drop, file_of(row)))
    return bool(stopped)


def _known(row: BroughtFile) -> BroughtFile | None:
    with reaching(None):  # a key is nobody else's either
        known = BroughtFile.every.filter(key=row.key).first()
    if known and _sent(known) != _sent(row):
        raise SubmissionReused(f"submission {row.key} was used for something else")
    return known


def _sent(row: BroughtFile) -> tuple[Any, ...]:
    return row.organisation_id, row.digest, row.kind


def _refuse_too_many(row: BroughtFile) -> None:
    on_their_way = BroughtFile.every.filter(organisation=row.organisation_id, state__in=BroughtFile.OPEN)
    if on_their_way.count() >= MOST_OPEN:
        told = _("{count} files are being read already. Try again when one of them is done.")
        raise NotNow(told.format(count=MOST_OPEN))


def _keep(row: BroughtFile, file: File[Any]) -> None:
    """Before its row is written: whoever works on it finds it."""
    try:
        kept.keep(file_of(row), file)
    except OSError as error:
        told = _("The data folder cannot be written to: {reason}. Mend that, then try again.")
        raise NotNow(told.format(reason=error.strerror)) from error


@changes
def _order(row: BroughtFile) -> BroughtFile:
    # One after another, or many at once would each find room for one more.
    Organisation.objects.select_for_update(no_key=True).get(pk=row.organisation_id)
    if known := _known(row):  # the same form, sent twice at once
        return known
    _refuse_too_many(row)
    row.save()
    line.ordered()
    transaction.on_commit(line.go_on)
    return row


def _a_moment_later(row: BroughtFile) -> BroughtFile:
    until = time.monotonic() + AT_ONCE
    while not row.is_over and time.monotonic() < until:
        time.sleep(LOOK_EVERY)
        row = find(row.key) or row
    return row
