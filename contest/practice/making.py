"""Making a practice and its classes, and deleting it, whether somebody does or it goes by itself."""

from __future__ import annotations

from datetime import timedelta

from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import new_code
from contest.models import Practice, PracticeClass
from contest.trail import note, sentence
from scoring.core.practice import MOST_CLASSES

KEPT_FOR = timedelta(days=1)
"""How long a practice of which nothing is kept is there after its last change."""


@changes
def make_practice(name: str, animals: str, minutes: int, keeps: bool, by: str) -> Practice:
    """Make a practice with its first class, which members may join at once."""
    practice = Practice.objects.create(code=new_code(), keeps=keeps)
    practice.classes.create(number=1, name=name, animals=animals, minutes=minutes)
    note(by, sentence("practice_made"))
    return practice


@changes
def add_class(practice: Practice, name: str, animals: str, minutes: int) -> PracticeClass:
    """Go on to another class with the same members. Raises NotPossible once there are too many."""
    take_practice(practice.pk)
    number = practice.classes.count() + 1
    if number > MOST_CLASSES:
        raise NotPossible(_("a practice has at most {most} classes; make another one").format(most=MOST_CLASSES))
    judged = practice.classes.create(number=number, name=name, animals=animals, minutes=minutes)
    _put_on(practice, number)
    return judged


@changes
def go_on_with(judged: PracticeClass) -> None:
    """Practise on another class of the practice, one that waits or one from before."""
    take_practice(judged.practice_id)
    _put_on(judged.practice, judged.number)


def _put_on(practice: Practice, number: int) -> None:
    Practice.objects.filter(pk=practice.pk).update(on=number)
    practice.on = number
    moved_on(practice)


@changes
def keep_practice(practice: Practice, keeps: bool) -> None:
    """Keep a practice until somebody deletes it, or let it go by itself a day after it was last used."""
    take_practice(practice.pk)
    Practice.objects.filter(pk=practice.pk).update(keeps=keeps)
    moved_on(practice)


@changes
def delete_practice(practice: Practice, by: str) -> None:
    """Delete a practice for good, with its members and all that they handed in."""
    Practice.objects.filter(pk=practice.pk).delete()
    note(by, sentence("practice_deleted"))


@changes
def delete_forgotten() -> int:
    """Delete for good each practice that nobody wanted kept, a day after it was last used; returns how many."""
    old = Practice.objects.filter(keeps=False, changed_at__lt=timezone.now() - KEPT_FOR)
    count = len(old)
    old.delete()
    return count


def take_practice(pk: int) -> Practice:
    """The practice, alone with it until the transaction ends. Raises NotPossible where it was deleted meanwhile."""
    practice = Practice.objects.select_for_update().filter(pk=pk).first()
    if practice is None:
        raise NotPossible(_("the practice was deleted meanwhile"))
    return practice


def moved_on(practice: Practice) -> None:
    """Let every page that shows the practice ask anew; the day after which it may go begins again."""
    Practice.objects.filter(pk=practice.pk).update(revision=F("revision") + 1, changed_at=timezone.now())
