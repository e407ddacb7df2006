"""Join codes: one for each duty of a contest, and in the reasons rooms one for each official's tablet."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence

from contest.changes import changes, take_turn
from contest.models import Contest, Duty, JoinCode, ReasonsOfficial, Touches
from contest.trail import record_change, sentence

# No character that looks like another, in print or by hand.
ALPHABET = "ABCDEFGHJKMNPQRSTVWXYZ34679"
SHARED = [duty for duty in Duty if duty != Duty.ROOM]
LENGTH = 9
"""Characters; why so many, and why no more, is in contest.helpers.throttling."""


def new_code() -> str:
    """Three threes, which are read and typed without counting."""
    return dashed("".join(secrets.choice(ALPHABET) for _ in range(LENGTH)))


def dashed(code: str) -> str:
    return "-".join(code[start : start + 3] for start in range(0, len(code), 3))


def bare(code: str) -> str:
    """The code as it is compared: however it was typed, with or without the dash."""
    return re.sub(r"[\W_]", "", code).upper()


def duty_of(code: str) -> JoinCode | None:
    """Where a code as somebody typed it leads; None for one that leads nowhere."""
    codes = JoinCode.objects.select_related("contest", "official")
    return codes.filter(code=dashed(bare(code)), contest__deleted_at=None).first()


def codes_of(contest: Contest) -> dict[Duty, str]:
    """The codes of the duties that share one, in the order of the duties; what is missing is made."""
    codes = _complete(contest, [(duty, None) for duty in SHARED])
    return {duty: codes[duty, None] for duty in SHARED}


def tablet_codes(contest: Contest) -> dict[int, str]:
    """The codes of the officials' tablets, by the official's key; what is missing is made."""
    officials = contest.reasons_officials.values_list("pk", flat=True)
    codes = _complete(contest, [(Duty.ROOM, official) for official in officials])
    return {official: codes[Duty.ROOM, official] for official in officials}


def _complete(contest: Contest, wanted: Sequence[tuple[Duty, int | None]]) -> dict[tuple[str, int | None], str]:
    """The contest's codes by duty and official, those that are wanted among them."""
    codes = _known(contest)
    if missing := [each for each in wanted if each not in codes]:
        _make(contest, missing)
        codes = _known(contest)
    return codes


def _known(contest: Contest) -> dict[tuple[str, int | None], str]:
    rows = contest.join_codes.values_list("duty", "official", "code")
    return {(duty, official): code for duty, official, code in rows}


@changes
def _make(contest: Contest, missing: Sequence[tuple[Duty, int | None]]) -> None:
    take_turn(contest.pk)
    for duty, official in missing:  # somebody may have been quicker
        contest.join_codes.get_or_create(duty=duty, official_id=official, defaults={"code": new_code()})


@changes
def renew_code(contest: Contest, duty: Duty, by: str, official: ReasonsOfficial | None = None) -> str:
    """Give a duty, or an official's tablet, another code. Whoever came in with the old one stays in."""
    take_turn(contest.pk)
    code = new_code()
    JoinCode.objects.update_or_create(contest=contest, duty=duty, official=official, defaults={"code": code})
    about = [f"official:{official.pk}"] if official else []
    record_change(
        contest, by, sentence("join_code_renewed", duty=sentence(f"duty_{duty}")), about=about, touches=Touches.NOTHING
    )
    return code
