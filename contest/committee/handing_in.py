"""What each official of a committee hands in alone, before they agree. Never scored."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.keys import ReasonWanted, checked_cuts
from contest.models import CommitteeKey, CommitteeSeat, Touches
from contest.trail import record_change, sentence
from scoring.core.record import PanelKey


@changes
def hand_in(
    seat: CommitteeSeat, placing: str, cuts: Sequence[int], by: str, by_superintendent: bool = False, reason: str = ""
) -> CommitteeKey:
    """Keep what an official placed. Another one makes a new version; the same again, none.

    Once the class has its key the committee has agreed: an official changes nothing any more, and the superintendent
    only for a `reason`. Raises NotPossible, in words for whoever typed it.
    """
    judged = seat.judging_class
    whole = checked_cuts(judged, placing, cuts)
    take_turn(judged.contest_id)
    latest = seat.keys.last()
    if latest and (latest.placing, latest.cuts) == (placing, whole):
        return latest
    if judged.keys.exists():
        if not by_superintendent:
            raise NotPossible(_("the class has its key by now; ask the superintendent"))
        if not reason.strip():
            raise ReasonWanted(_("the class has its key; say why this comes now"))
    key = CommitteeKey.objects.create(
        seat=seat,
        version=latest.version + 1 if latest else 1,
        placing=placing,
        cuts=whole,
        by=by,
        reason=reason.strip(),
    )
    said = sentence("committee_handed_in" if latest is None else "committee_handed_in_anew", judged=judged.number)
    before = {"key": str(latest)} if latest else None
    after = {"person": seat.official.name, "key": str(key)}
    record_change(judged.contest, by, said, before=before, after=after, touches=Touches.CLASSES)
    return key


def handed_in(seats: Sequence[CommitteeSeat]) -> dict[int, CommitteeKey]:
    """The newest that was handed in for each seat, by its key."""
    return {key.seat_id: key for key in CommitteeKey.objects.filter(seat__in=seats).order_by("version")}


def as_panel(seats: Sequence[CommitteeSeat], keys: dict[int, CommitteeKey]) -> list[PanelKey]:
    """The same of one class, as a record has it."""
    return [
        PanelKey(seat.judging_class.number, seat.official.name, keys[seat.pk].placing, keys[seat.pk].cuts)
        for seat in seats
        if seat.pk in keys
    ]
