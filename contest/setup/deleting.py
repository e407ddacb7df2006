"""Deleting a whole contest: every row of it and its files, and nothing of any other."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import CASCADE, PROTECT, QuerySet

from contest.changes import changes, take_turn
from contest.copies.wishes import ask_for_copy
from contest.history.stamping import unrecorded
from contest.models import Contest
from contest.setup.rows import WrongValue
from contest.trail.removing import trail_may_go
from scoring.explain import counted
from scoring.prints.folders import drop
from scoring.prints.jobs import file_of
from scoring.prints.pictures import drop_picture

log = logging.getLogger(__name__)


@changes
def delete_contest(contest: Contest, name: str, by: str) -> None:
    """Delete the contest, if `name` is what it is called. Its helpers are out with it, and its trail goes too.

    A line in the site's trail, with where the contest's own ended, is all that stays. Raises WrongValue for another
    name.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    if " ".join(name.split()) != contest.name:
        raise WrongValue("name", f"that is not its name; type {contest.name}")
    files = [file_of(job) for job in contest.print_jobs.all()]
    pk = contest.pk
    with trail_may_go(contest, by), unrecorded():
        _delete(Contest.objects.filter(pk=pk))

    def afterwards() -> None:
        for file in files:
            drop(file)
        drop_picture(Path(settings.DATA_FOLDER), pk)
        log.warning("contest %s was deleted for good", pk)

    transaction.on_commit(afterwards)
    ask_for_copy("a contest deleted")


def what_goes(contest: Contest) -> list[str]:
    """What would be deleted, in words."""
    held = {
        "contestant": contest.contestants.count(),
        "card": sum(judged.cards.count() for judged in contest.classes.all()),
        "reasons score": sum(judged.reasons_scores.count() for judged in contest.classes.all()),
        "mark": sum(part.marks.count() for part in contest.parts.all()),
        "released result": contest.releases.count(),
        "printed file": contest.print_jobs.count(),
    }
    return [counted(number, what) for what, number in held.items() if number]


def _delete(rows: QuerySet[Any]) -> None:
    """Delete rows after everything that holds on to them, also where the database would protect them for it."""
    for relation in rows.model._meta.get_fields(include_hidden=True):
        points_here = relation.auto_created and not relation.concrete and (relation.one_to_many or relation.one_to_one)
        if points_here and relation.on_delete in (CASCADE, PROTECT):
            _delete(relation.related_model._base_manager.filter(**{f"{relation.field.name}__in": rows}))
    rows.delete()
