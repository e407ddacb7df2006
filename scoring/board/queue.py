"""The lists that the announcer reads, and in which order. They may be queued long before there is a result."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Touches
from contest.records.tallying import tallied
from contest.trail import record_change, sentence
from scoring.announced.held_back import ceremony_of, has_begun
from scoring.announced.released import released
from scoring.board.awards import ListKey, NamedList, named_lists
from scoring.board.ceremony import key_of
from scoring.models import AwardList, Ceremony, Release

MOST_PLACES = 1000


def lists_of(contest: Contest) -> list[NamedList]:
    """Every list that could be read: of the results as announced, else as they would be."""
    announced = released(contest)
    if announced:
        return named_lists(announced.record, announced.result)
    shown = tallied(contest)
    return named_lists(shown.record, shown.result)


def check_places(places: int) -> None:
    if not 1 <= places <= MOST_PLACES:
        raise NotPossible(_("read from 1 to {most} places").format(most=MOST_PLACES))


def takes_away(contest: Contest) -> bool:
    """Whether queueing a list takes results from the board and public pages that everybody can read by now."""
    return Release.standing(contest).exists() and not has_begun(contest) and not contest.award_lists.exists()


@changes
def queue_lists(contest: Contest, keys: Sequence[ListKey], places: int, by: str) -> None:
    """Put lists at the end of the queue. Raises NotPossible for one that the contest has not, or that is queued."""
    take_turn(contest.pk)
    check_places(places)
    known = {named.key: str(named) for named in lists_of(contest)}
    queued = [key_of(row) for row in contest.award_lists.all()]
    if not keys:
        raise NotPossible(_("choose a list"))
    for key in keys:
        if key not in known:
            raise NotPossible(_("the contest has no such list"))
        if key in queued:
            raise NotPossible(_("queued already: {list}").format(list=known[key]))
    if takes_away(contest):
        Ceremony.objects.update_or_create(contest=contest, defaults={"was_public": True})
    start = max(contest.award_lists.values_list("position", flat=True), default=0)
    AwardList.objects.bulk_create(
        AwardList(contest=contest, position=start + place, places=places, **key._asdict())
        for place, key in enumerate(keys, start=1)
    )
    after = {"lists": [" ".join(key) for key in keys], "places": places}
    record_change(contest, by, sentence("awards_queued"), after=after, touches=Touches.NOTHING)


@changes
def shift(contest: Contest, pk: int, to: Literal["up", "down"], by: str) -> None:
    """Let a list change places with its neighbour; nothing happens at either end. Raises NotPossible."""
    take_turn(contest.pk)
    rows = list(contest.award_lists.all())
    place = rows.index(_queued(contest, pk))
    other = place + (1 if to == "down" else -1)
    if not 0 <= other < len(rows):
        return
    before = [str(row) for row in rows]
    rows[place], rows[other] = rows[other], rows[place]
    for position, row in enumerate(rows, start=1):
        AwardList.objects.filter(pk=row.pk).update(position=position)
    after = [str(row) for row in rows]
    record_change(contest, by, sentence("awards_reordered"), before, after, touches=Touches.NOTHING)


@changes
def read_places(contest: Contest, pk: int, places: int, by: str) -> None:
    """Read that many places of a list, from its last one on. Raises NotPossible, also while it is on stage: rows would
    appear or vanish."""
    take_turn(contest.pk)
    check_places(places)
    row = _queued(contest, pk)
    if row.places == places:
        return
    _not_on_stage(contest, row)
    AwardList.objects.filter(pk=pk).update(places=places, revealed=0)
    what = sentence("award_places_changed", award=str(row))
    record_change(contest, by, what, row.places, places, touches=Touches.NOTHING)


@changes
def take_out(contest: Contest, pk: int, by: str) -> None:
    """Take a list out of the queue. Raises NotPossible while it is on stage."""
    take_turn(contest.pk)
    row = _queued(contest, pk)
    _not_on_stage(contest, row)
    row.delete()
    record_change(contest, by, sentence("award_taken_out"), before=str(row), touches=Touches.NOTHING)


def _queued(contest: Contest, pk: int) -> AwardList:
    row = contest.award_lists.filter(pk=pk).first()
    if row is None:
        raise NotPossible(_("that list is not queued any more"))
    return row


def _not_on_stage(contest: Contest, row: AwardList) -> None:
    ceremony = ceremony_of(contest)
    if ceremony and ceremony.running and ceremony.award_list_id == row.pk:
        raise NotPossible(_("that list is on stage; move on first"))
