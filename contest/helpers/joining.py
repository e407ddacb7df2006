"""How helpers come in and go out again."""

from __future__ import annotations

import hashlib
import unicodedata

from django.contrib.auth.models import User
from django.db import IntegrityError
from django.db.models import QuerySet
from django.utils import timezone

from contest.changes import changes, take_turn
from contest.models import CommitteeOfficial, Contest, Duty, Helper, ReasonsOfficial, StackClaim, Touches
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
    name = tidy(name)
    known = hashlib.sha256(device.encode()).hexdigest() if device else ""
    take_turn(contest.pk)
    here = contest.helpers.filter(left_at=None, device=known) if known else ()
    if back := next((helper for helper in here if alike(name, helper.name)), None):
        same = (duty, official and official.pk, committee_official and committee_official.pk)
        if (back.duty, back.official_id, back.committee_official_id) == same:
            return back
        leave(back)
    if any(alike(name, other) for other in _names_in_use(contest)):
        raise NameTaken(name)
    try:
        whose = {"official": official, "committee_official": committee_official}
        helper = Helper.objects.create(contest=contest, duty=duty, name=name, device=known, **whose)
    except IntegrityError:  # names may also be alike to the database alone
        raise NameTaken(name) from None
    about = [f"official:{official.pk}"] if official else []
    record_change(
        contest, name, sentence("joined", duty=sentence(f"duty_{duty}")), about=about, touches=Touches.NOTHING
    )
    return helper


@changes
def leave(helper: Helper) -> None:
    """Go out by oneself. Does nothing for one who is out already."""
    take_turn(helper.contest_id)
    if _out(Helper.objects.filter(pk=helper.pk)):
        record_change(helper.contest, helper.name, sentence("left"), touches=Touches.NOTHING)


@changes
def show_out(helper: Helper, by: str) -> None:
    """Put a helper out, at once on every page. Does nothing for one who is out already."""
    take_turn(helper.contest_id)
    if _out(Helper.objects.filter(pk=helper.pk)):
        after = {"person": helper.name}
        record_change(helper.contest, by, sentence("shown_out"), after=after, touches=Touches.NOTHING)


@changes
def show_duty_out(contest: Contest, duty: Duty, by: str) -> int:
    """Put all helpers of a duty out; gives back how many."""
    take_turn(contest.pk)
    gone = _out(contest.helpers.filter(duty=duty))
    if gone:
        record_change(
            contest, by, sentence("all_shown_out", duty=sentence(f"duty_{duty}")), after=gone, touches=Touches.NOTHING
        )
    return gone


def _out(helpers: QuerySet[Helper]) -> int:
    """Mark those who are in as out, and free the stacks they had taken."""
    going = list(helpers.filter(left_at=None).values_list("pk", flat=True))
    now = timezone.now()
    StackClaim.objects.filter(helper__in=going, given_back_at=None).update(given_back_at=now)
    return Helper.objects.filter(pk__in=going, left_at=None).update(left_at=now)


def _names_in_use(contest: Contest) -> list[str]:
    """Of the helpers who are in, and of the superintendents, for whom nobody must be taken."""
    helpers = contest.helpers.filter(left_at=None).values_list("name", flat=True)
    return [*helpers, *User.objects.values_list("username", flat=True)]


def tidy(name: str) -> str:
    """A name with single spaces, and its accents written in one way."""
    return " ".join(unicodedata.normalize("NFC", name).split())


def alike(first: str, other: str) -> bool:
    return first.casefold() == other.casefold()
