"""Deleting for good what lies in the bin: every row of a contest and its files, and nothing of any other.

It goes in short pieces, so that no desk waits. Once begun it cannot be had back, and goes on at the next look into the
bin if the laptop is switched off meanwhile. The trail goes last, in one piece with the contest itself.
"""

from __future__ import annotations

import logging
from typing import Any

from django.db.models import CASCADE, PROTECT, QuerySet
from django.utils import timezone

from contest import kept
from contest.bin.keeping import KEPT, check_name
from contest.changes import changes, one_change
from contest.models import Contest, TrailEntry
from contest.other_apps import OTHER_APPS
from contest.records.sweeping import delete_in_pieces
from contest.row_changes.stamping import unrecorded
from contest.trail.removing import trail_may_go

log = logging.getLogger(__name__)

PIECE = 200
REST = 1
"""Times as long as a piece took, for everybody else."""
BY_ITSELF = "Tanbark"


def empty_contest(contest: Contest, name: str, by: str) -> None:
    """Delete a contest of the bin for good, if `name` is what it is called. Raises WrongValue for another name."""
    check_name(contest, name)
    _delete_for_good(contest, by)


def empty_old() -> None:
    """Delete for good what has been in the bin for KEPT, and what was begun and not ended."""
    deleted = Contest.every.filter(deleted_at__isnull=False)
    old = deleted.filter(deleted_at__lt=timezone.now() - KEPT)
    for contest in (old | deleted.filter(emptied_at__isnull=False)).order_by("pk"):
        _delete_for_good(contest, BY_ITSELF)


def _delete_for_good(contest: Contest, by: str) -> None:
    if not _begin(contest):
        return  # somebody else has
    files = [file for app in OTHER_APPS for file in app.files_of(contest)]
    pk = contest.pk
    _delete_what_refers_to(Contest.every.filter(pk=pk), in_pieces=True)
    with one_change():
        if not Contest.every.select_for_update().filter(pk=pk).exists():
            return
        with trail_may_go(contest, by), unrecorded():
            rows = Contest.every.filter(pk=pk)
            _delete_what_refers_to(rows)
            rows.delete()
    for file in files:
        kept.drop(file)
    log.warning("contest %s was deleted for good", pk)


@changes
def _begin(contest: Contest) -> bool:
    """From here on nobody can have it back; True where it is in the bin."""
    return bool(Contest.every.filter(pk=contest.pk, deleted_at__isnull=False).update(emptied_at=timezone.now()))


def _delete_what_refers_to(rows: QuerySet[Any], in_pieces: bool = False) -> None:
    """Delete everything that holds on to some rows, also where the database would protect them for it."""
    for relation in rows.model._meta.get_fields(include_hidden=True):
        points_here = relation.auto_created and not relation.concrete and (relation.one_to_many or relation.one_to_one)
        if not points_here or relation.on_delete not in (CASCADE, PROTECT):
            continue
        if in_pieces and relation.related_model is TrailEntry:
            continue
        others = relation.related_model._base_manager.filter(**{f"{relation.field.name}__in": rows})
        _delete_what_refers_to(others, in_pieces)
        if in_pieces:
            delete_in_pieces(others, PIECE, REST)
        else:
            others.delete()
