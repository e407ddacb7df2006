"""Setting a contest aside, as deleting one begins, and having it back: it stays whole, and nobody meets it."""

from __future__ import annotations

from datetime import timedelta
from functools import partial

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible, WrongValue
from contest.copies.wishes import ask_for_copy
from contest.models import Contest, Touches
from contest.models.helpers import NAME_LENGTH
from contest.other_apps import forget
from contest.trail import note, record_change, sentence
from scoring.core.explain import counted_each
from scoring.core.texts import ngettext_noop

KEPT = timedelta(days=30)


@changes
def delete_contest(contest: Contest, name: str, by: str) -> None:
    """Set the contest aside in the bin, if `name` is what it is called: no list, address, code or link leads to it.

    Raises WrongValue for another name.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    check_name(contest, name)
    record_change(contest, by, sentence("contest_binned"), touches=Touches.NOTHING)
    Contest.every.filter(pk=contest.pk).update(deleted_at=timezone.now(), deleted_by=by[:NAME_LENGTH])
    note(by, sentence("contest_binned"), contest)
    transaction.on_commit(partial(forget, contest.pk))
    ask_for_copy(gettext_noop("a contest deleted"))


@changes
def restore_contest(contest: Contest, by: str) -> None:
    """Take a contest out of the bin. Raises NotPossible where it is not in it, or is being deleted for good."""
    there = Contest.every.select_for_update().filter(pk=contest.pk, deleted_at__isnull=False, emptied_at=None)
    if not there.exists():
        raise NotPossible(_("it is not in the bin any more"))
    there.update(deleted_at=None, deleted_by="")
    contest.refresh_from_db()
    record_change(contest, by, sentence("contest_unbinned"), touches=Touches.NOTHING)
    note(by, sentence("contest_unbinned"), contest)
    transaction.on_commit(partial(forget, contest.pk))


def check_name(contest: Contest, name: str) -> None:
    if " ".join(name.split()) != contest.name:
        raise WrongValue("name", _("that is not its name; type {name}").format(name=contest.name))


def what_goes(contest: Contest) -> list[str]:
    """What would be deleted, in words."""
    cards = sum(judged.cards.count() for judged in contest.classes.all())
    scores = sum(judged.reasons_scores.count() for judged in contest.classes.all())
    marks = sum(part.marks.count() + part.choices.count() for part in contest.parts.all())
    people, releases, prints = contest.contestants.count(), contest.releases.count(), contest.print_jobs.count()
    return counted_each(
        [
            (ngettext_noop("{count} contestant", "{count} contestants"), people),
            (ngettext_noop("{count} card", "{count} cards"), cards),
            (ngettext_noop("{count} reasons score", "{count} reasons scores"), scores),
            (ngettext_noop("{count} mark", "{count} marks"), marks),
            (ngettext_noop("{count} released result", "{count} released results"), releases),
            (ngettext_noop("{count} printed file", "{count} printed files"), prints),
        ]
    )
