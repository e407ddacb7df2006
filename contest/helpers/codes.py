"""Join codes: one for each duty of a contest."""

from __future__ import annotations

import re
import secrets

from contest.changes import changes, take_turn
from contest.helpers.duties import duty_name
from contest.models import Contest, Duty, JoinCode, Touches
from contest.trail import record_change

# No character that looks like another, in print or by hand.
ALPHABET = "ABCDEFGHJKMNPQRSTVWXYZ34679"
LENGTH = 9
"""Characters; why so many, and why no more, is in contest.helpers.attempts."""


def new_code() -> str:
    """Three threes, which are read and typed without counting."""
    return dashed("".join(secrets.choice(ALPHABET) for _ in range(LENGTH)), 3)


def dashed(code: str, size: int) -> str:
    return "-".join(code[start : start + size] for start in range(0, len(code), size))


def bare(code: str) -> str:
    """The code as it is compared: however it was typed, with or without the dash."""
    return re.sub(r"[\W_]", "", code).upper()


def duty_of(code: str) -> JoinCode | None:
    """Where a code as somebody typed it leads; None for one that leads nowhere."""
    plain = bare(code)
    known = [dashed(plain, size) for size in (3, 4)]  # some databases hold codes of two fours
    return JoinCode.objects.select_related("contest").filter(code__in=known, contest__deleted_at=None).first()


def codes_of(contest: Contest) -> dict[Duty, str]:
    """The codes of a contest, in the order of the duties; what is missing is made."""
    known = dict(contest.join_codes.values_list("duty", "code"))
    if len(known) < len(Duty):
        known = _complete(contest)
    return {duty: known[duty] for duty in Duty}


@changes
def _complete(contest: Contest) -> dict[str, str]:
    take_turn(contest.pk)
    known = dict(contest.join_codes.values_list("duty", "code"))
    for duty in Duty:
        if duty not in known:
            known[duty] = JoinCode.objects.create(contest=contest, duty=duty, code=new_code()).code
    return known


@changes
def renew_code(contest: Contest, duty: Duty, by: str) -> str:
    """Give a duty another code. Whoever came in with the old one stays in."""
    take_turn(contest.pk)
    code = new_code()
    JoinCode.objects.update_or_create(contest=contest, duty=duty, defaults={"code": code})
    record_change(contest, by, f"join code of {duty_name(duty)} renewed", touches=Touches.NOTHING)
    return code
