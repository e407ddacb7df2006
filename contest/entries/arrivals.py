"""Check-in: who has arrived."""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from operator import or_

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.entries.entered import SOURCES
from contest.entries.people import fresh
from contest.models import Contest, Contestant, Touches
from contest.trail import record_change, sentence
from contest.trail.subjects import contestants


class CountChanged(Exception):
    """Raised where another number of people is missing than was said; `now` is how many."""

    def __init__(self, now: int) -> None:
        super().__init__(f"{now} are missing now")
        self.now = now


def missing(contest: Contest) -> QuerySet[Contestant]:
    """Those who are expected and have not arrived."""
    return contest.contestants.filter(present=True, checked_in_at__isnull=True)


def came_unnoticed(contest: Contest) -> QuerySet[Contestant]:
    """Those who have not arrived, as far as check-in knows, and of whom cards or scores were read."""
    live = {"contestant": OuterRef("pk"), "withdrawn_at__isnull": True}
    read = (Exists(model._default_manager.filter(**live)) for _kind, model, _of in SOURCES)
    return missing(contest).filter(reduce(or_, read)).order_by("number")


def never_came(contest: Contest) -> list[int]:
    """The numbers of those who have cards or scores and never came, to be warned of; none where nobody is checked in
    at all."""
    if not contest.contestants.filter(checked_in_at__isnull=False).exists():
        return []
    return list(came_unnoticed(contest).values_list("number", flat=True))


@changes
def check_in(contestant: Contestant, by: str) -> Contestant:
    """Note that a contestant has arrived; one who was scratched is present again.

    Raises NotPossible for one who is in already.
    """
    contestant = fresh(contestant)
    if contestant.checked_in_at and contestant.present:
        at = localtime(contestant.checked_in_at).strftime("%H:%M")
        raise NotPossible(_("{number} is in already, since {time}").format(number=contestant.number, time=at))
    was_present = contestant.present
    contestant.checked_in_at, contestant.present = timezone.now(), True
    _save(contestant, by, "contestant_arrived", was_present)
    return contestant


@changes
def undo_check_in(contestant: Contestant, by: str) -> Contestant:
    """Take back that a contestant has arrived. Raises NotPossible for one who is not in."""
    contestant = fresh(contestant)
    if not contestant.checked_in_at:
        raise NotPossible(_("{number} is not checked in").format(number=contestant.number))
    contestant.checked_in_at = None
    _save(contestant, by, "contestant_not_arrived", contestant.present)
    return contestant


@changes
def check_in_together(contest: Contest, numbers: Iterable[int], by: str) -> list[int]:
    """Note that all of these have arrived who are expected still, such as a whole team, and return their numbers.

    Whoever is in already or was scratched stays as they are. Raises NotPossible where nobody is left.
    """
    take_turn(contest.pk)
    here = missing(contest).filter(number__in=list(numbers))
    arrived = sorted(here.values_list("number", flat=True))
    if not arrived:
        raise NotPossible(_("all of them are in already"))
    here.update(checked_in_at=timezone.now())
    _save_together(contest, by, "contestants_arrived", arrived)
    return arrived


@changes
def undo_together(contest: Contest, numbers: Iterable[int], by: str) -> list[int]:
    """Take back that these have arrived. Raises NotPossible where none of them is in."""
    take_turn(contest.pk)
    here = contest.contestants.filter(number__in=list(numbers), checked_in_at__isnull=False)
    taken_back = sorted(here.values_list("number", flat=True))
    if not taken_back:
        raise NotPossible(_("none of them is checked in"))
    here.update(checked_in_at=None)
    _save_together(contest, by, "contestants_not_arrived", taken_back)
    return taken_back


@changes
def scratch_missing(contest: Contest, expected: int, by: str) -> int:
    """Scratch everybody who has not arrived, and return how many they are.

    Whoever has handed in a card or spoken did come, whatever check-in knows, and is left out. Raises CountChanged where
    they are not as many as the superintendent was told.
    """
    take_turn(contest.pk)
    absent = missing(contest).exclude(pk__in=came_unnoticed(contest).order_by().values("pk"))
    numbers = list(absent.values_list("number", flat=True))
    if len(numbers) != expected:
        raise CountChanged(len(numbers))
    if numbers:
        absent.update(present=False)
        what = sentence("missing_scratched", count=len(numbers))
        record_change(contest, by, what, before=numbers, about=contestants(numbers))
    return len(numbers)


def by_team(people: Iterable[Contestant]) -> list[tuple[str, str, list[Contestant]]]:
    """Contestants by division and team, fetched in that order; individuals stand under no team."""
    teams: dict[tuple[str, str], list[Contestant]] = {}
    for contestant in people:
        team = contestant.team.name if contestant.team else ""
        teams.setdefault((contestant.division.name, team), []).append(contestant)
    return [(division, team, members) for (division, team), members in teams.items()]


def _save_together(contest: Contest, by: str, code: str, numbers: list[int]) -> None:
    what = sentence(code, numbers=numbers)
    record_change(contest, by, what, touches=Touches.NOTHING, about=contestants(numbers))


def _save(contestant: Contestant, by: str, code: str, was_present: bool) -> None:
    contestant.save(update_fields=["checked_in_at", "present"])
    # Only who is present is part of what is scored, and that rarely changes here.
    touches = Touches.NOTHING if contestant.present == was_present else Touches.EVERYTHING
    record_change(contestant.contest, by, sentence(code, contestant=contestant.number), touches=touches)
