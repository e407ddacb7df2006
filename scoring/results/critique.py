"""A class's key shown in public by itself, for the officials' critique: its placing and cuts, and no standing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.timezone import localtime

from contest.changes import changes
from contest.keys import open_dispute
from contest.models import Contest, JudgingClass, Key, State, Touches
from contest.models.outline import TEXT_LENGTH
from contest.reading import NotPossible
from contest.trail import record_change
from reasons.models import Slot
from scoring.due import missing_cards, missing_reasons
from scoring.explain import counted
from scoring.models import KeyRelease
from scoring.results.checklist import numbers
from scoring.results.open_ends import open_ends
from scoring.results.release import latest
from scoring.standings import Tallied


@dataclass(frozen=True, slots=True)
class ShownKey:
    """A key that is shown. `corrected` says when and why, where it is not the one that was shown first."""

    key: Key
    at: datetime
    corrected: str = ""


def against_a_critique(contest: Contest, judged: JudgingClass, shown: Tallied) -> list[str]:
    """Why a class's key should not be shown yet, in words: what is told now could still be used."""
    number = judged.number
    found = []
    reasons = set(missing_reasons(shown.record).get(number, ()))
    heard = Slot.objects.filter(judging_class=judged, state__in=[Slot.State.HEARD, Slot.State.ABSENT])
    reasons -= set(heard.values_list("contestant__number", flat=True))
    if reasons:
        found.append(f"{counted(len(reasons), 'set')} of reasons not heard yet: {numbers(sorted(reasons))}")
    if cards := missing_cards(shown.record).get(number, ()):
        found.append(f"{counted(len(cards), 'card')} not in yet: {numbers(cards)}")
    ends = open_ends(contest)
    doubtful = sorted(person for person, state in ends.cards.get(number, {}).items() if state == State.DOUBT)
    if doubtful:
        found.append(f"{counted(len(doubtful), 'card')} in doubt: {numbers(doubtful)}")
    if number in ends.keys:
        found.append(f"the key is not confirmed: {ends.keys[number]}")
    return found


@changes
def release_key(judged: JudgingClass, by: str, override: str = "") -> KeyRelease:
    """Show a class's key in public, by itself, for the critique.

    Raises NotPossible without a key, where it is shown already, and for what `against_a_critique` says unless
    `override` says why it is shown all the same.
    """
    contest = judged.contest
    shown = latest(contest)
    key = judged.keys.last()
    if key is None or open_dispute(key):
        raise NotPossible(f"class {judged.number} has no key that could be shown")
    if KeyRelease.objects.filter(judging_class=judged).exists():
        raise NotPossible(f"the key of class {judged.number} is shown already")
    against = against_a_critique(contest, judged, shown)
    if against and not override.strip():
        raise NotPossible(f"{'; '.join(against)}. Say why the key is shown all the same")
    made = KeyRelease.objects.create(judging_class=judged, by=by)
    what = f"key of class {judged.number} shown for the critique"
    if against:
        what = f"{what} all the same, {override.strip()}"
    record_change(contest, by, what[:TEXT_LENGTH], after={"key": str(key), "against": against}, touches=Touches.NOTHING)
    return made


@changes
def withdraw_key(judged: JudgingClass, by: str) -> None:
    """Show a class's key no longer: for one that was shown by mistake. Raises NotPossible where it is not shown."""
    latest(judged.contest)
    if not KeyRelease.objects.filter(judging_class=judged).delete()[0]:
        raise NotPossible(f"the key of class {judged.number} is not shown")
    record_change(judged.contest, by, f"key of class {judged.number} no longer shown", touches=Touches.NOTHING)


def shown_key(judged: JudgingClass) -> ShownKey | None:
    """The key that is shown for a class; None where none is.

    A key that changed after it was shown is shown once it is confirmed, as a correction.
    """
    release = KeyRelease.objects.filter(judging_class=judged).first()
    if release is None:
        return None
    keys = [key for key in judged.keys.all() if key.confirmed_by or key.at <= release.at]
    if not keys:
        return None
    key = keys[-1]
    corrected = f"corrected, {localtime(key.at):%H:%M}, {key.reason}" if key.at > release.at else ""
    return ShownKey(key, localtime(release.at), corrected)
