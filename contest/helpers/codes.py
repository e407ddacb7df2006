"""Join codes: one for each duty of a contest, one for each official's tablet in the reasons rooms, one for each
official of a committee, and one for each duty of all contests of an event."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence

from contest.changes import changes, take_turn
from contest.models import (
    CommitteeOfficial,
    Contest,
    Duty,
    Event,
    EventCode,
    JoinCode,
    Practice,
    ReasonsOfficial,
    Touches,
)
from contest.models.helpers import ONE_OFFICIALS
from contest.trail import note, record_change, sentence

# No character that looks like another, in print or by hand.
ALPHABET = "ABCDEFGHJKMNPQRSTVWXYZ34679"
SHARED = [duty for duty in Duty if duty not in ONE_OFFICIALS]
Whose = tuple[str, int | None, int | None]
"""Of a code: the duty, and the key of the official in a reasons room, or of the one of a committee."""
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


def duty_of(code: str) -> JoinCode | EventCode | None:
    """Where a code as somebody typed it leads; None for one that leads nowhere."""
    meant = dashed(bare(code))
    codes = JoinCode.objects.select_related("contest", "official", "committee_official")
    if one := codes.filter(code=meant, contest__deleted_at=None).first():
        return one
    of_event = EventCode.objects.select_related("event").filter(code=meant).first()
    return of_event if of_event and of_event.event.contests() else None


def practice_of(code: str) -> Practice | None:
    """The practice that a code as somebody typed it leads to; None for one that leads to none."""
    return Practice.every.filter(code=dashed(bare(code))).first()


def codes_of(contest: Contest) -> dict[Duty, str]:
    """The codes of the duties that share one, in the order of the duties; what is missing is made."""
    codes = _complete(contest, [(duty, None, None) for duty in SHARED])
    return {duty: codes[duty, None, None] for duty in SHARED}


def tablet_codes(contest: Contest) -> dict[int, str]:
    """The codes of the officials' tablets, by the official's key; what is missing is made."""
    officials = contest.reasons_officials.values_list("pk", flat=True)
    codes = _complete(contest, [(Duty.ROOM, official, None) for official in officials])
    return {official: codes[Duty.ROOM, official, None] for official in officials}


def committee_codes(contest: Contest) -> dict[int, str]:
    """The codes of the officials of committees, by the official's key; what is missing is made."""
    officials = contest.committee_officials.values_list("pk", flat=True)
    codes = _complete(contest, [(Duty.COMMITTEE, None, official) for official in officials])
    return {official: codes[Duty.COMMITTEE, None, official] for official in officials}


def _complete(contest: Contest, wanted: Sequence[Whose]) -> dict[Whose, str]:
    """The contest's codes by duty and official, those that are wanted among them."""
    codes = _known(contest)
    if missing := [each for each in wanted if each not in codes]:
        _make(contest, missing)
        codes = _known(contest)
    return codes


def _known(contest: Contest) -> dict[Whose, str]:
    rows = contest.join_codes.values_list("duty", "official", "committee_official", "code")
    return {(duty, official, placing): code for duty, official, placing, code in rows}


@changes
def _make(contest: Contest, missing: Sequence[Whose]) -> None:
    take_turn(contest.pk)
    for duty, official, placing in missing:  # somebody may have been quicker
        whose = {"official_id": official, "committee_official_id": placing}
        contest.join_codes.get_or_create(duty=duty, **whose, defaults={"code": new_code()})


@changes
def event_codes(event: Event) -> dict[Duty, str]:
    """The codes that let into every contest of an event, in the order of the duties; what is missing is made."""
    return {
        duty: EventCode.objects.get_or_create(event=event, duty=duty, defaults={"code": new_code()})[0].code
        for duty in SHARED
    }


@changes
def renew_event_code(event: Event, duty: Duty, by: str) -> str:
    """Give a duty another code for every contest of an event. Whoever came in with the old one stays in."""
    code = new_code()
    EventCode.objects.update_or_create(event=event, duty=duty, defaults={"code": code})
    said = sentence("event_code_renewed", event=event.name, duty=sentence(f"duty_{duty}"))
    note(by, said)
    return code


@changes
def renew_code(
    contest: Contest,
    duty: Duty,
    by: str,
    official: ReasonsOfficial | None = None,
    committee_official: CommitteeOfficial | None = None,
) -> str:
    """Give a duty, an official's tablet or an official of a committee another code. Whoever came in with the
    old one stays in."""
    take_turn(contest.pk)
    code = new_code()
    JoinCode.objects.update_or_create(
        contest=contest, duty=duty, official=official, committee_official=committee_official, defaults={"code": code}
    )
    about = [f"official:{official.pk}"] if official else []
    record_change(
        contest, by, sentence("join_code_renewed", duty=sentence(f"duty_{duty}")), about=about, touches=Touches.NOTHING
    )
    return code
