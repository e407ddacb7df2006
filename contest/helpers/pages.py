"""What the helpers page shows: the ways in, and who sits where."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from contest.helpers.codes import codes_of
from contest.helpers.duties import BEGINNINGS, duty_name, duty_parts
from contest.models import Contest, Duty, Helper, StackClaim
from contest.web.square_codes import svg_of

STILL_THERE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class WayIn:
    """How to come in for one duty. `qr_code` is an image of `address`, which has the code in it."""

    duty: Duty
    name: str
    work: str
    beginning: str
    code: str
    address: str
    qr_code: str


@dataclass(frozen=True, slots=True)
class Seat:
    """A helper who is in. `stack` is in words, empty without one; `quiet` if nothing was heard for a while."""

    pk: int
    name: str
    duty: str
    stack: str
    since: datetime
    seen: str
    quiet: bool


def ways_in(contest: Contest, base: str) -> list[WayIn]:
    """The way into each duty, from the address by which other devices reach this laptop."""
    return [way_in(duty, code, base) for duty, code in codes_of(contest).items()]


def way_in(duty: Duty, code: str, base: str) -> WayIn:
    """The way into a duty by one of its codes."""
    name, work = duty_parts(duty)
    address = f"{base}{reverse('join')}?{urlencode({'code': code})}"
    picture = svg_of(address)
    return WayIn(duty, name, work, str(BEGINNINGS[duty]), code, address, picture)


def seats(contest: Contest) -> list[Seat]:
    """Who is in, by duty and then in the order they came."""
    return _seats([[helper] for helper in contest.helpers.filter(left_at=None)], [contest], {})


def seats_together(contests: Sequence[Contest]) -> list[Seat]:
    """Who is in for all of these contests, by duty and then in the order they came; their stack with its contest."""
    rows: dict[object, list[Helper]] = {}
    for helper in Helper.objects.filter(contest__in=contests, left_at=None, together__isnull=False):
        rows.setdefault(helper.together, []).append(helper)
    return _seats(list(rows.values()), contests, {contest.pk: contest.name for contest in contests})


def _seats(people: Sequence[Sequence[Helper]], contests: Sequence[Contest], names: Mapping[int, str]) -> list[Seat]:
    """A seat for each person, given their rows in these contests; the `names` of contests are said with the stack."""
    now = timezone.now()
    claims = StackClaim.objects.filter(helper__contest__in=contests, given_back_at=None)
    stacks = {claim.helper_id: _stack_said(claim) for claim in claims.select_related("judging_class")}
    made = []
    for rows in sorted(people, key=lambda rows: list(Duty).index(Duty(rows[0].duty))):
        seen = now - max(row.seen_at for row in rows)
        said = [
            f"{names[row.contest_id]}, {stacks[row.pk]}" if names else stacks[row.pk]
            for row in rows
            if row.pk in stacks
        ]
        made.append(
            Seat(
                pk=rows[0].pk,
                name=rows[0].name,
                duty=duty_name(rows[0].duty),
                stack="; ".join(said),
                since=timezone.localtime(rows[0].joined_at),
                seen=_ago(seen),
                quiet=seen >= STILL_THERE,
            )
        )
    return made


def _stack_said(claim: StackClaim) -> str:
    text = _("class {number}, group {group}") if claim.group else _("class {number}")
    return text.format(number=claim.judging_class.number, group=claim.group)


def _ago(passed: timedelta) -> str:
    minutes = int(passed / timedelta(minutes=1))
    if passed < STILL_THERE:
        return _("now")
    if minutes < 60:
        return _("{minutes} min ago").format(minutes=minutes)
    return (
        _("{hours} h ago").format(hours=minutes // 60)
        if minutes < 24 * 60
        else _("{days} d ago").format(days=minutes // (24 * 60))
    )


def version(shown: list[Seat]) -> str:
    """Tells one state of the list from another, as far as anybody could see the difference."""
    return hashlib.sha256(repr([astuple(seat) for seat in shown]).encode()).hexdigest()[:12]
