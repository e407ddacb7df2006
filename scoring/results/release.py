"""Releasing results, and announcing what changes afterwards. A release keeps the book that it follows from.

What remains open does not forbid a release: it has to be accepted, line by line, by whoever saw it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

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
from contest.trail.sentences import Sentence, as_json
from scoring.announced.held_back import has_begun
from scoring.announced.snapshots import snapshot
from scoring.board.awards import ListKey
from scoring.board.queue import queue_lists
from scoring.core.points import in_thousands
from scoring.models import ALL_THE_SAME, Ceremony, Release, accepted_line
from scoring.results.checklist import Item, checklist
from scoring.results.corrections import unannounced
from scoring.results.weights import lacking, weight_of

NOTHING: Mapping[str, str] = MappingProxyType({})


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
def release_results(
    contest: Contest, by: str, accepted: Mapping[str, str] = NOTHING, queue: Sequence[ListKey] = (), places: int = 1
) -> Release:
    """Release the results for the first time. `accepted` holds what is said to the checklist's lines, by their keys.

    The lists of `queue` are queued first, `places` of each, so that nothing is public before they were read. Raises
    NotAccepted where something blocks without a reason or is odd and was not accepted, and NotPossible where the
    results are released already or there are none, and as `queue_lists` does.
    """
    shown = tallied_in_turn(contest)
    if not has_rows(shown):
        raise NotPossible(_("nobody is in any list yet, so there is nothing to release"))
    if Release.standing(contest).exists():
        raise NotPossible(_("the results are released already; what changes now is announced as a correction"))
    open_lines = still_to_accept(contest, shown)
    if queue:
        queue_lists(contest, queue, places, by)
    return _release(contest, shown, by, open_lines, accepted, Release.AGAIN if contest.releases.exists() else "")


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
def announce_correction(
    contest: Contest, by: str, reason: str, seen: str, accepted: Mapping[str, str] = NOTHING
) -> Release:
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
    return _release(contest, shown, by, still_to_accept(contest, shown), accepted, reason)


def still_to_accept(contest: Contest, shown: Tallied) -> list[Item]:
    """The lines of the checklist that no earlier release of the contest accepted as they are."""
    standing = Release.standing(contest).values_list("accepted", flat=True)
    known = [accepted_line(line)[0] for accepted in standing for line in accepted]
    return [item for item in checklist(contest, shown) if as_json(item.line) not in known]


def earlier_reasons(contest: Contest, items: Iterable[Item]) -> dict[str, str]:
    """Why lines that block were released once, by the lines' keys: nobody types it again after a withdrawal."""
    releases = contest.releases.values_list("accepted", flat=True)
    said = [accepted_line(line) for accepted in releases for line in accepted]
    return {item.key: reason for item in items for line, reason in said if reason and line == as_json(item.line)}


def _accepted(item: Item, reason: str) -> Sentence:
    """A line as it is kept: one that blocks with the reason why the results went out all the same."""
    blocks = weight_of(item) == "blocks"
    return sentence(ALL_THE_SAME, line=item.line, reason=reason) if blocks else item.line


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


def _release(
    contest: Contest, shown: Tallied, by: str, items: list[Item], accepted: Mapping[str, str], reason: str = ""
) -> Release:
    if left := lacking(items, accepted):
        raise NotAccepted(left)
    last = contest.releases.last()
    made = Release.objects.create(
        contest=contest,
        version=last.version + 1 if last else 1,
        revision=shown.revision,
        by=by,
        reason=reason,
        accepted=[as_json(_accepted(item, accepted.get(item.key, ""))) for item in items],
        book=snapshot(shown.record),
        reasons_standardised=shown.record.rules.reasons_standardised,
    )
    what = sentence("correction_announced", reason=reason) if made.is_correction else sentence("results_released")
    digest = hashlib.sha256(made.book).hexdigest()
    after = {"accepted": made.accepted, "version": made.version, "book": digest}
    record_change(contest, by, what, after=after, touches=Touches.NOTHING)
    ask_for_copy(gettext_noop("correction announced") if made.is_correction else gettext_noop("results released"))
    return made
