"""What the officials hand in for a part that has a key (`contest.slips.keyed`). Two people type it, as a key of a
class; until they agree the part counts for nobody."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.copies.wishes import ask_for_copy
from contest.keys import DISPUTED, TYPED_ONCE, KeyOutcome, ReasonWanted
from contest.models import Contest, Part, PartKey
from contest.slips.keyed import keyed
from contest.trail import record_change, sentence


@dataclass(frozen=True, slots=True)
class Entered:
    """What became of a key that was typed, and the part's newest key after it."""

    outcome: KeyOutcome
    key: PartKey


def parse_given(part: Part, text: str) -> str:
    """What somebody types as the key of a part, as that is kept. Raises Unclear."""
    return keyed(part).parse_key(text)


def newest(part: Part) -> PartKey | None:
    return part.keys.order_by("-version").first()


def open_part_keys(contest: Contest) -> dict[str, str]:
    """By the code of each part that is to have a key: that only one person has typed the newest, or that two entries
    differ. A part that has none yet is left out."""
    states = {}
    for code, confirmed_by, other in (
        PartKey.objects.filter(part__contest=contest)
        .order_by("version")
        .values_list("part__code", "confirmed_by", "other")
    ):
        states[code] = "" if confirmed_by else DISPUTED if other else TYPED_ONCE
    return {code: state for code, state in states.items() if state}


@changes
def enter(part: Part, given: str, by: str, reason: str = "") -> Entered:
    """Enter a key as `parse_given` made it. The same from somebody else confirms it; what differs from somebody else's
    unconfirmed one stands beside it until somebody says which is right; what changes a key wants a reason.

    Raises NotPossible while two entries wait, and ReasonWanted.
    """
    take_turn(part.contest_id)
    latest = newest(part)
    if latest is None:
        return Entered("first", _make(part, given, by, reason))
    if latest.other:
        raise NotPossible(_("two entries of this key differ; first say which is right"))
    mine = latest.by.casefold() == by.casefold()
    if latest.given == given:
        if latest.confirmed_by or mine:
            return Entered("again", latest)
        return Entered("confirmed", _confirm(latest, by))
    if latest.confirmed_by or mine:
        if not reason.strip():
            raise ReasonWanted(_("{part} has a key already; say why it changes").format(part=part.name))
        return Entered("changed", _make(part, given, by, reason))
    latest.other, latest.other_by = given, by
    latest.save(update_fields=["other", "other_by"])
    _told(part, by, "part_key_typed_differently", before=latest.given, after=given)
    return Entered("differs", latest)


@changes
def settle(key: PartKey, first_is_right: bool, by: str, reason: str) -> PartKey:
    """Say which of two entries is right, for a reason; with that it counts. Raises NotPossible without one, and where
    it has been settled already."""
    if not reason.strip():
        raise NotPossible(_("say how you know which is right"))
    part = key.part
    take_turn(part.contest_id)
    key.refresh_from_db()
    if not key.other:
        raise NotPossible(_("somebody has said already which is right"))
    other, other_by = key.other, key.other_by
    key.other = key.other_by = ""
    key.save(update_fields=["other", "other_by"])
    if first_is_right:
        _told(part, by, "part_key_first_is_right", before=other, after=key.given, reason=reason.strip())
        return _confirm(key, by)
    return _confirm(_make(part, other, other_by, reason), by)


@changes
def accept(key: PartKey, by: str, reason: str) -> PartKey:
    """Let a key stand that only one person has typed: the superintendent's to do, for a reason. Raises NotPossible."""
    if not reason.strip():
        raise NotPossible(_("say why one entry is enough"))
    take_turn(key.part.contest_id)
    latest = newest(key.part)
    if latest != key:
        raise NotPossible(_("the key has changed meanwhile"))
    if latest.confirmed_by or latest.other:
        raise NotPossible(_("somebody else has typed the key meanwhile"))
    return _confirm(latest, by, "part_key_accepted", reason=reason.strip())


def _make(part: Part, given: str, by: str, reason: str) -> PartKey:
    latest = newest(part)
    version = latest.version + 1 if latest else 1
    key = PartKey.objects.create(part=part, version=version, given=given, by=by, reason=reason.strip())
    _told(part, by, "part_key_entered", before=latest.given if latest else None, after=given)
    return key


def _confirm(key: PartKey, by: str, told: str = "part_key_confirmed", **values: Any) -> PartKey:
    key.confirmed_by, key.confirmed_at = by, timezone.now()
    key.save(update_fields=["confirmed_by", "confirmed_at"])
    _told(key.part, by, told, after=key.given, **values)
    ask_for_copy(f"key of part {key.part.code} confirmed")
    return key


def _told(part: Part, by: str, what: str, before: str | None = None, after: str | None = None, **values: Any) -> None:
    about = [f"part:{part.pk}"]
    record_change(part.contest, by, sentence(what, part=part.name, **values), before=before, after=after, about=about)
