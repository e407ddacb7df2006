"""Releasing results, and announcing what changes afterwards. A release keeps the book that it follows from.

What remains open does not forbid a release: it has to be accepted, line by line, by whoever saw it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from dataclasses import dataclass
from functools import partial

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.copies.wishes import ask_for_copy
from contest.models import Contest, Touches
from contest.models.helpers import NAME_LENGTH
from contest.models.outline import TEXT_LENGTH
from contest.records.tallying import Tallied, tallied_in_turn
from contest.trail import record_change, sentence
from contest.trail.sentences import as_json
from scoring.announced.snapshots import snapshot
from scoring.board.ceremony import has_begun
from scoring.core.points import in_thousands
from scoring.models import Ceremony, Release
from scoring.results.checklist import Item, checklist
from scoring.results.corrections import unannounced


@dataclass
class NotAccepted(Exception):
    """Raised where something is open that was not accepted: other lines than somebody saw, or not all of them."""

    items: list[Item]

    def __str__(self) -> str:
        count = len(self.items)
        return ngettext(
            "{count} line still to be mended or accepted", "{count} lines still to be mended or accepted", count
        ).format(count=in_thousands(count))


class Overtaken(NotPossible):
    """Raised where what would be announced is not what somebody saw any more."""


@changes
def release_results(contest: Contest, by: str, accepted: Collection[str] = ()) -> Release:
    """Release the results for the first time. `accepted` holds the keys of the checklist's lines that are accepted.

    Raises NotAccepted where a line is not among them, and NotPossible where the results are released already or there
    are none.
    """
    shown = tallied_in_turn(contest)
    if not has_rows(shown):
        raise NotPossible(_("nobody is in any list yet, so there is nothing to release"))
    if Release.standing(contest).exists():
        raise NotPossible(_("the results are released already; what changes now is announced as a correction"))
    return _release(contest, shown, by, accepted, Release.AGAIN if contest.releases.exists() else "")


@changes
def withdraw_results(contest: Contest, by: str, reason: str) -> None:
    """Take back what was announced, for a reason: everything public is as before the release, at once.

    The releases are kept, and told to nobody. Raises NotPossible without a reason, where nothing is announced, and once
    the ceremony has begun: what was read out is corrected.
    """
    from scoring.board.board_cache import forget  # the board is made of what is released

    take_turn(contest.pk)
    reason = _in_one_line(reason, _("say why the results are withdrawn; the trail keeps it"))
    standing = Release.standing(contest)
    if not standing.exists():
        raise NotPossible(_("nothing is announced that could be withdrawn"))
    if has_begun(contest):
        raise NotPossible(_("the ceremony has begun; announce a correction instead"))
    versions = list(standing.values_list("version", flat=True))
    standing.update(withdrawn_at=timezone.now(), withdrawn_by=by[:NAME_LENGTH], withdrawn_reason=reason)
    Ceremony.objects.filter(contest=contest).update(was_public=False)
    transaction.on_commit(partial(forget, contest.pk))
    after = {"releases": versions, "reason": reason}
    record_change(contest, by, sentence("results_withdrawn"), after=after, touches=Touches.NOTHING)


@changes
def announce_correction(contest: Contest, by: str, reason: str, seen: str, accepted: Collection[str] = ()) -> Release:
    """Announce what changed since the last release, for a reason.

    `seen` is the fingerprint of the differences that whoever announces had before their eyes; `accepted` as for a
    release, but for what was accepted then already. Raises Overtaken, NotAccepted, and NotPossible without a reason or
    without anything to announce.
    """
    reason = _in_one_line(reason, _("say why the results change; everybody will read it"))
    shown = tallied_in_turn(contest)
    pending = unannounced(contest, shown)
    if not pending:
        raise NotPossible(_("nothing has changed since the last announcement"))
    if pending.fingerprint != seen:
        raise Overtaken(_("something else changed meanwhile; look again at what would be announced"))
    return _release(contest, shown, by, accepted, reason)


def still_to_accept(contest: Contest, shown: Tallied) -> list[Item]:
    """The lines of the checklist that no earlier release of the contest accepted as they are."""
    known = [line for accepted in Release.standing(contest).values_list("accepted", flat=True) for line in accepted]
    return [item for item in checklist(contest, shown) if as_json(item.line) not in known]


def has_rows(shown: Tallied) -> bool:
    """Whether anybody is in any list, so that there is something to release."""
    return any(standing.individuals or standing.teams for standing in shown.result.standings)


def _in_one_line(reason: str, without: str) -> str:
    """A reason as it is kept. Raises NotPossible, in the words of `without` where there is none."""
    reason = " ".join(reason.split())
    if not reason:
        raise NotPossible(without)
    if len(reason) > TEXT_LENGTH:
        raise NotPossible(_("say it in {most} characters").format(most=TEXT_LENGTH))
    return reason


def _release(contest: Contest, shown: Tallied, by: str, accepted: Collection[str], reason: str = "") -> Release:
    items = still_to_accept(contest, shown)
    if any(item.key not in accepted for item in items):
        raise NotAccepted([item for item in items if item.key not in accepted])
    last = contest.releases.last()
    made = Release.objects.create(
        contest=contest,
        version=last.version + 1 if last else 1,
        revision=shown.revision,
        by=by,
        reason=reason,
        accepted=[as_json(item.line) for item in items],
        book=snapshot(shown.record),
        reasons_standardised=shown.record.rules.reasons_standardised,
    )
    what = sentence("correction_announced", reason=reason) if made.is_correction else sentence("results_released")
    digest = hashlib.sha256(made.book).hexdigest()
    after = {"accepted": made.accepted, "version": made.version, "book": digest}
    record_change(contest, by, what, after=after, touches=Touches.NOTHING)
    ask_for_copy(gettext_noop("correction announced") if made.is_correction else gettext_noop("results released"))
    return made
