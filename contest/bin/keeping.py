"""Setting a contest aside, as deleting one begins, and having it back: it stays whole, and nobody meets it."""

from __future__ import annotations

from datetime import timedelta
from functools import partial

from django.db import transaction
from django.utils import timezone

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible, WrongValue
from contest.copies.wishes import ask_for_copy
from contest.models import Contest, Touches
from contest.models.helpers import NAME_LENGTH
from contest.other_apps import forget
from contest.trail import note, record_change
from scoring.core.explain import counted

KEPT = timedelta(days=30)


@changes
def delete_contest(contest: Contest, name: str, by: str) -> None:
    """Set the contest aside in the bin, if `name` is what it is called: no list, address, code or link leads to it.

    Raises WrongValue for another name.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    check_name(contest, name)
    record_change(contest, by, "contest deleted, and kept in the bin", touches=Touches.NOTHING)
    Contest.every.filter(pk=contest.pk).update(deleted_at=timezone.now(), deleted_by=by[:NAME_LENGTH])
    note(by, "contest deleted, and kept in the bin", contest)
    transaction.on_commit(partial(forget, contest.pk))
    ask_for_copy("a contest deleted")


@changes
def restore_contest(contest: Contest, by: str) -> None:
    """Take a contest out of the bin. Raises NotPossible where it is not in it, or is being deleted for good."""
    there = Contest.every.select_for_update().filter(pk=contest.pk, deleted_at__isnull=False, emptied_at=None)
    if not there.exists():
        raise NotPossible("it is not in the bin any more")
    there.update(deleted_at=None, deleted_by="")
    contest.refresh_from_db()
    record_change(contest, by, "contest taken out of the bin", touches=Touches.NOTHING)
    note(by, "contest taken out of the bin", contest)
    transaction.on_commit(partial(forget, contest.pk))


def check_name(contest: Contest, name: str) -> None:
    if " ".join(name.split()) != contest.name:
        raise WrongValue("name", f"that is not its name; type {contest.name}")


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
    return [counted(number, noun) for noun, number in held.items() if number]
