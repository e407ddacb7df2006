"""How helpers come in and go out again."""

from __future__ import annotations

import hashlib
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any
from uuid import uuid4

from django.contrib.auth.models import User
from django.db import IntegrityError
from django.db.models import Q, QuerySet
from django.utils import timezone

from contest.changes import changes, take_turn
from contest.models import SCANNER, CommitteeOfficial, Contest, Duty, Helper, ReasonsOfficial, StackClaim, Touches
from contest.trail import record_change, sentence


class NameTaken(ValueError):
    """Raised for a name that somebody else in the contest goes by."""


@changes
def let_in(
    contest: Contest,
    duty: Duty,
    name: str,
    official: ReasonsOfficial | None = None,
    device: str = "",
    committee_official: CommitteeOfficial | None = None,
) -> Helper:
    """Let a volunteer in, in a reasons room as the tablet of an official, or as an official of a committee. `device` is
    a secret of their browser.

    Who is in already under that name, from the same device, has lost the way back in: they are the same helper still,
    or a new one where it is for another duty. Raises NameTaken for anybody else: a name says who read a card, so nobody
    may share one.
    """
    name, known = tidy(name), _known(device)
    _take_turns({contest.pk, *_where_else([contest], known)})
    if back := _who_came_back(contest, name, known):
        same = (duty, official and official.pk, committee_official and committee_official.pk)
        if (back.duty, back.official_id, back.committee_official_id) == same:
            return back
        leave(back)
    return _let_in(contest, duty, name, known, official=official, committee_official=committee_official)


@changes
def let_in_together(contests: Sequence[Contest], duty: Duty, name: str, device: str = "") -> Helper:
    """Let a volunteer into every contest of an event, as `let_in` does into one, and return their row in the first.

    Raises NameTaken where somebody goes by that name in any of them.
    """
    name, known, together = tidy(name), _known(device), uuid4()
    _take_turns({*(contest.pk for contest in contests), *_where_else(contests, known)})
    backs = [_who_came_back(contest, name, known) for contest in contests]
    whose = {(back.together, back.duty) if back and back.together else None for back in backs}
    if backs[0] and whose == {(backs[0].together, duty)}:
        return backs[0]
    for back in filter(None, backs):
        leave(back)
    rows = [_let_in(contest, duty, name, known, together=together) for contest in contests]
    return rows[0]


@changes
def join_in(helper: Helper, contest: Contest) -> None:
    """Let somebody who helps in every contest of an event into one more. Raises NameTaken."""
    take_turn(contest.pk)
    _let_in(contest, Duty(helper.duty), helper.name, helper.device, together=helper.together)


def _let_in(contest: Contest, duty: Duty, name: str, known: str, **whose: Any) -> Helper:
    if any(alike(name, other) for other in _names_in_use(contest)):
        raise NameTaken(name)
    try:
        helper = Helper.objects.create(contest=contest, duty=duty, name=name, device=known, **whose)
    except IntegrityError:  # names may also be alike to the database alone
        raise NameTaken(name) from None
    about = [f"official:{helper.official_id}"] if helper.official_id else []
    record_change(
        contest, name, sentence("joined", duty=sentence(f"duty_{duty}")), about=about, touches=Touches.NOTHING
    )
    return helper


def _known(device: str) -> str:
    return hashlib.sha256(device.encode()).hexdigest() if device else ""


def _who_came_back(contest: Contest, name: str, known: str) -> Helper | None:
    """Who is in under a name already, from the same device."""
    here = contest.helpers.filter(left_at=None, device=known) if known else ()
    return next((helper for helper in here if alike(name, helper.name)), None)


@changes
def leave(helper: Helper) -> None:
    """Go out by oneself, of all contests of an event together. Does nothing for one who is out already."""
    for gone in _out(Helper.objects.filter(pk=helper.pk), helper.contest_id):
        record_change(gone.contest, gone.name, sentence("left"), touches=Touches.NOTHING)


@changes
def show_out(helper: Helper, by: str) -> None:
    """Put a helper out, at once on every page, in all contests of an event together. Does nothing for one who is out
    already."""
    for gone in _out(Helper.objects.filter(pk=helper.pk), helper.contest_id):
        after = {"person": gone.name}
        record_change(gone.contest, by, sentence("shown_out"), after=after, touches=Touches.NOTHING)


@changes
def show_out_of(contest: Contest, by: str) -> None:
    """Put out of a contest whoever is there for its event, which it is in no more; in the others they stay."""
    take_turn(contest.pk)
    for gone in _mark_out(contest.helpers.filter(together__isnull=False)):
        record_change(contest, by, sentence("shown_out"), after={"person": gone.name}, touches=Touches.NOTHING)


@changes
def show_duty_out(contest: Contest, duty: Duty, by: str) -> int:
    """Put all helpers of a duty out, those of an event in all its contests; gives back how many there were here."""
    gone = Counter(helper.contest for helper in _out(contest.helpers.filter(duty=duty), contest.pk))
    for where, count in gone.items():
        said = sentence("all_shown_out", duty=sentence(f"duty_{duty}"))
        record_change(where, by, said, after=count, touches=Touches.NOTHING)
    return gone[contest]


def _where_else(contests: Sequence[Contest], known: str) -> Iterable[int]:
    """The contests that this device helps in together with any of these, so that leaving takes their turn too."""
    here = Helper.objects.filter(contest__in=contests, device=known, left_at=None) if known else Helper.objects.none()
    return _beside(here).values_list("contest", flat=True)


def _beside(helpers: QuerySet[Helper]) -> QuerySet[Helper]:
    """The rows, in whichever contest, of those of these helpers who help in several together."""
    together = helpers.filter(left_at=None, together__isnull=False).values("together")
    return Helper.objects.filter(together__in=together, left_at=None)


def _out(helpers: QuerySet[Helper], contest: int) -> list[Helper]:
    """Put helpers of a contest out who are in, wherever they help together; return their rows."""
    beside = _beside(helpers)
    _take_turns({contest, *beside.values_list("contest", flat=True)})
    return _mark_out(Helper.objects.filter(Q(pk__in=helpers.values("pk")) | Q(pk__in=beside.values("pk"))))


def _mark_out(helpers: QuerySet[Helper]) -> list[Helper]:
    """Mark those who are in as out, and free the stacks they had taken."""
    going = list(helpers.filter(left_at=None).select_related("contest"))
    now = timezone.now()
    StackClaim.objects.filter(helper__in=going, given_back_at=None).update(given_back_at=now)
    Helper.objects.filter(pk__in=[helper.pk for helper in going]).update(left_at=now)
    return going


def _take_turns(contests: Iterable[int]) -> None:
    """Take the turn of several contests, always in one order, so that two who do so never wait for each other."""
    for pk in sorted(contests):
        take_turn(pk)


def _names_in_use(contest: Contest) -> list[str]:
    """Of the helpers who are in, and of the superintendents and the scanner, for whom nobody must be taken."""
    helpers = contest.helpers.filter(left_at=None).values_list("name", flat=True)
    superintendents = User.objects.filter(membership__organisation=contest.organisation_id)
    return [SCANNER, *helpers, *superintendents.values_list("username", flat=True)]


def tidy(name: str) -> str:
    """A name with single spaces, and its accents written in one way."""
    return " ".join(unicodedata.normalize("NFC", name).split())


def alike(first: str, other: str) -> bool:
    return first.casefold() == other.casefold()
