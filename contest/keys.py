"""Keys: a class's official placing with its cuts, one fewer than animals."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import index
from typing import Literal

from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.copies.wishes import ask_for_copy
from contest.models import CommitteeOfficial, Contest, JudgingClass, Key, KeyDispute, Touches
from contest.trail import record_change, sentence
from scoring.core.placing import why_not_a_placing, why_not_cuts

LARGEST_CUT = 10_000
"""Far above any rulebook: a warning says so long before; this only catches a slip of the hand."""

TYPED_ONCE = gettext_noop("typed once")
DISPUTED = gettext_noop("two entries differ")

KeyOutcome = Literal["first", "confirmed", "changed", "again", "differs"]


class ReasonWanted(NotPossible):
    """Raised for a change of a key that says no reason."""


@dataclass(frozen=True, slots=True)
class Entered:
    """What became of a key that was typed, and the class's key after it."""

    outcome: KeyOutcome
    key: Key


@changes
def enter_key(
    judging_class: JudgingClass,
    official: str,
    cuts: Sequence[int],
    by: str,
    reason: str = "",
    agreed_by: Sequence[CommitteeOfficial] = (),
) -> Entered:
    """Enter a key as it is typed at a desk, where the second person does not see what the first one typed.

    What differs from somebody else's unconfirmed key makes no new version: both entries are kept, side by side, until
    somebody says which is right. `agreed_by` are the officials of a committee whose key it is. Raises NotPossible as
    `hand_in_key` does, and while two entries wait for that.
    """
    cuts = checked_cuts(judging_class, official, cuts)
    take_turn(judging_class.contest_id)
    latest = judging_class.keys.last()
    if latest is None:
        return Entered("first", hand_in_key(judging_class, official, cuts, by, reason, agreed_by))
    if open_dispute(latest):
        raise NotPossible(_("two entries of this key differ; first say which is right"))
    if (latest.official, latest.cuts) == (official, cuts):
        was = latest.confirmed_by
        key = hand_in_key(judging_class, official, cuts, by, agreed_by=agreed_by)
        return Entered("confirmed" if key.confirmed_by != was else "again", key)
    if latest.confirmed_by or latest.by.casefold() == by.casefold():
        return Entered("changed", hand_in_key(judging_class, official, cuts, by, reason, agreed_by))
    dispute = KeyDispute.objects.create(key=latest, official=official, cuts=cuts, by=by)
    what = sentence("key_typed_differently", key_of=judging_class.number)
    record_change(judging_class.contest, by, what, before=str(latest), after=str(dispute), touches=Touches.NOTHING)
    return Entered("differs", latest)


def open_dispute(key: Key) -> KeyDispute | None:
    """The entry that differs from this key, while nobody has said which is right."""
    return key.disputes.filter(settled_at=None).first()


def open_keys(contest: Contest) -> dict[int, str]:
    """The classes whose newest key only one person has typed, or of which two entries differ, and which it is."""
    newest: defaultdict[int, Key | None] = defaultdict(lambda: None)
    keys = Key.objects.filter(judging_class__contest=contest).order_by("version")
    for key in keys.annotate(number=F("judging_class__number")):
        newest[key.number] = key
    disputed = set(
        KeyDispute.objects.filter(key__judging_class__contest=contest, settled_at=None).values_list("key", flat=True)
    )
    return {
        number: DISPUTED if key.pk in disputed else TYPED_ONCE
        for number, key in newest.items()
        if key is not None and (key.pk in disputed or not key.confirmed_by)
    }


@changes
def settle_dispute(dispute: KeyDispute, first_is_right: bool, by: str, reason: str) -> Key:
    """Say which of two entries of a key is right, for a reason. With that it is confirmed and nobody types it again;
    where `by` typed that one alone, it is known as one entry that was accepted.

    Raises NotPossible without a reason, and where it has been settled already.
    """
    if not reason.strip():
        raise NotPossible(_("say how you know which is right"))
    key = dispute.key
    judging_class = key.judging_class
    take_turn(judging_class.contest_id)
    now = timezone.now()
    if not KeyDispute.objects.filter(pk=dispute.pk, settled_at=None).update(settled_at=now, settled_by=by):
        raise NotPossible(_("somebody has said already which is right"))
    if first_is_right:
        what = sentence("key_first_is_right", key_of=judging_class.number, reason=reason.strip())
        record_change(judging_class.contest, by, what, before=str(dispute), after=str(key), touches=Touches.NOTHING)
        key.refresh_from_db()
        return _let_stand(key, by)
    right = hand_in_key(judging_class, dispute.official, dispute.cuts, dispute.by, reason, key.agreed_by.all())
    return _let_stand(right, by)


@changes
def accept_key(key: Key, by: str, reason: str) -> Key:
    """Let a key stand that only one person has typed: the superintendent's to do, for a reason.

    Raises NotPossible without a reason, for a key that is not the latest, and where the key is confirmed or in dispute.
    """
    if not reason.strip():
        raise NotPossible(_("say why one entry is enough"))
    judging_class = key.judging_class
    take_turn(judging_class.contest_id)
    latest = judging_class.keys.last()
    if latest != key:
        raise NotPossible(_("the key has changed meanwhile"))
    if latest.confirmed_by or open_dispute(latest):
        raise NotPossible(_("somebody else has typed the key meanwhile"))
    latest.confirmed_by, latest.confirmed_at = by, timezone.now()
    latest.save(update_fields=["confirmed_by", "confirmed_at"])
    what = sentence("key_accepted", key_of=judging_class.number, reason=reason.strip())
    record_change(judging_class.contest, by, what, after=str(latest), touches=Touches.CLASSES)
    ask_for_copy(f"key of class {judging_class.number} confirmed")
    return latest


@changes
def hand_in_key(
    judging_class: JudgingClass,
    official: str,
    cuts: Sequence[int],
    by: str,
    reason: str = "",
    agreed_by: Iterable[CommitteeOfficial] = (),
) -> Key:
    """Enter a class's key. It is provisional until somebody else has entered the same.

    The same key again, from somebody else, confirms it. Another one makes a new version, for a `reason`; earlier
    versions stay as they are. Raises NotPossible, in words for whoever typed it, when the placing or the cuts are
    impossible, and when a change is not given a reason.
    """
    cuts = checked_cuts(judging_class, official, cuts)
    take_turn(judging_class.contest_id)
    latest = judging_class.keys.last()
    if latest and (latest.official, latest.cuts) == (official, cuts):
        return _confirm(_as_agreed(latest, by, agreed_by), by)
    if latest and not reason.strip():
        why = _("class {number} has the key {key}; say why it changes")
        raise ReasonWanted(why.format(number=judging_class.number, key=latest))
    key = Key.objects.create(
        judging_class=judging_class,
        version=latest.version + 1 if latest else 1,
        official=official,
        cuts=cuts,
        by=by,
        reason=reason.strip(),
    )
    what = sentence("key_entered", key_of=judging_class.number)
    before = str(latest) if latest else None
    record_change(judging_class.contest, by, what, before=before, after=str(key), touches=Touches.CLASSES)
    return _as_agreed(key, by, agreed_by)


def _as_agreed(key: Key, by: str, agreed_by: Iterable[CommitteeOfficial]) -> Key:
    """Say which officials of a committee agreed on a key; where nobody says, what is known of it stays."""
    names = [official.name for official in agreed_by]
    if names and names != [official.name for official in key.agreed_by.all()]:
        key.agreed_by.set(agreed_by)
        what = sentence("key_agreed", key_of=key.judging_class.number)
        after = {"key": str(key), "officials": names}
        record_change(key.judging_class.contest, by, what, after=after, touches=Touches.CLASSES)
    return key


def checked_cuts(judging_class: JudgingClass, official: str, cuts: Sequence[int]) -> tuple[int, ...]:
    """The cuts as whole numbers. Raises NotPossible, in words for whoever typed it, for a key that cannot be one."""
    animals = judging_class.animals
    if problem := why_not_a_placing(official, animals) or why_not_cuts(cuts, len(animals)):
        raise NotPossible(problem)
    whole = tuple(map(index, cuts))
    if max(whole) > LARGEST_CUT:
        raise NotPossible(_("a cut of {points} cannot be meant").format(points=max(whole)))
    return whole


def _confirm(key: Key, by: str) -> Key:
    return key if key.by.casefold() == by.casefold() else _let_stand(key, by)


def _let_stand(key: Key, by: str) -> Key:
    """Confirm a key, even one's own."""
    if key.confirmed_by:
        return key
    key.confirmed_by, key.confirmed_at = by, timezone.now()
    key.save(update_fields=["confirmed_by", "confirmed_at"])
    what = sentence("key_confirmed", key_of=key.judging_class.number)
    record_change(key.judging_class.contest, by, what, after=str(key), touches=Touches.CLASSES)
    ask_for_copy(f"key of class {key.judging_class.number} confirmed")
    return key
