"""What was announced, as the crowd may see it.

Everything that is shown in public is made from `released` and from nothing else: before a release it is None, and what
changes after one is not in it until it is announced. Names are cut down to what the contest and the families allow at
this moment, whatever was allowed at the release.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, cast

from django.conf import settings
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.changes.locks import MemoryLock
from contest.changes.snapshot import one_snapshot
from contest.models import Card as CardRow
from contest.models import Contest, State, TrailEntry
from contest.records.tallying import CONTESTS_KEPT
from scoring.announced.snapshots import record_from_book
from scoring.core.differences import ListDifference, differences
from scoring.core.due import Unsettled, known_to_be_unsettled
from scoring.core.people import shown_name
from scoring.core.record import Card, Contestant, Record, ShowPeopleAs
from scoring.core.result import Result
from scoring.core.tally import tally
from scoring.models import Release


@dataclass(frozen=True, slots=True)
class Announcement:
    """One release of the results: the first one, or a correction for a reason. `at` is local time; `lists` holds the
    rows that a correction moved."""

    version: int
    at: datetime
    reason: str
    lists: tuple[ListDifference, ...] = ()

    @property
    def clock(self) -> str:
        return f"{self.at:%H:%M}"


@dataclass(frozen=True, slots=True)
class Released:
    """The results as they were announced last.

    `record` and `result` are what the crowd may see: no name in them is more than may be shown, and a card that was in
    doubt then and is certain by now, as it was announced, is in doubt no more. `whole` is the record as it was
    announced, with every name: for pages that only the superintendent sees. `revision` is the contest's when it was
    announced.
    """

    pk: int
    revision: int
    record: Record
    result: Result
    whole: Record
    announcements: tuple[Announcement, ...]

    @property
    def unsettled(self) -> Unsettled:
        """What was not settled when it was announced all the same."""
        return known_to_be_unsettled(self.record, self.result.unsettled)

    @property
    def version(self) -> int:
        return self.announcements[-1].version

    @property
    def first_at(self) -> datetime:
        return self.announcements[0].at

    @property
    def at(self) -> datetime:
        return self.announcements[-1].at

    @property
    def corrected(self) -> str:
        """`corrected, 14:03, card of 104 in class 3 was read wrong`; empty while nothing was corrected."""
        return self.correction_text(self.announcements[-1]) if len(self.announcements) > 1 else ""

    def correction_text(self, correction: Announcement) -> str:
        """What is said of a correction, with its day where that is not the day of the release."""
        if correction.at.date() == self.first_at.date():
            return _("corrected, {clock}, {reason}").format(clock=correction.clock, reason=correction.reason)
        day = date_format(correction.at, _("F j"))
        return _("corrected, {day}, {clock}, {reason}").format(
            day=day, clock=correction.clock, reason=correction.reason
        )


CORRECTIONS_KEPT = 100

_kept: OrderedDict[int, tuple[int, Released | None]] = OrderedDict()
_scored: OrderedDict[int, tuple[Record, Result]] = OrderedDict()
_moved: OrderedDict[int, tuple[ListDifference, ...]] = OrderedDict()
_lock = MemoryLock()


def released(contest: Contest) -> Released | None:
    """What was announced of a contest, at the revision it was loaded with or a newer one; None before the first time.

    Made once for each revision, so that any number of viewers cost one.
    """
    with _lock:
        kept = _kept.get(contest.pk)
        if kept is None or kept[0] < contest.revision:
            if settings.SEVERAL and kept:
                _heed_other_processes(contest, kept[0])
            kept = _kept[contest.pk] = (contest.revision, _find(contest))
        _kept.move_to_end(contest.pk)
        _trim(_kept, CONTESTS_KEPT)
        return kept[1]


def _heed_other_processes(contest: Contest, since: int) -> None:
    """Drop the books that are kept if another process has taken the names out of any."""
    if TrailEntry.objects.filter(contest=contest, revision__gt=since, what="release_made_anonymous").exists():
        _scored.clear()
        _moved.clear()


def forget_all() -> None:
    """Drop everything kept: for tests, whose databases start over with the same keys."""
    with _lock:
        _kept.clear()
        _scored.clear()
        _moved.clear()


@one_snapshot()
def _find(contest: Contest) -> Released | None:
    rows = list(Release.standing(contest).values_list("pk", "version", "at", "reason", "revision"))
    if not rows:
        return None
    pk, *_others, revision = rows[-1]
    announcements = tuple(
        Announcement(version, localtime(at), reason, _lists_moved(before, made) if before else ())
        for before, (made, version, at, reason, _revision) in zip([None, *(row[0] for row in rows)], rows, strict=False)
    )
    whole, result = _scored_release(pk)
    certain = _certain_by_now(contest, result.unsettled)
    result = replace(result, unsettled=tuple(card for card in result.unsettled if card not in certain))
    return Released(pk, revision, _for_the_crowd(contest, whole), result, whole, announcements)


def _certain_by_now(contest: Contest, doubtful: Collection[Card]) -> set[Card]:
    """Of the cards that were announced while they were in doubt, those that count as they were announced, for good."""
    if not doubtful:
        return set()
    people, classes = ({card[part] for card in doubtful} for part in (1, 0))
    rows = CardRow.objects.filter(state=State.SETTLED, judging_class__contest=contest)
    rows = rows.filter(judging_class__number__in=classes, contestant__number__in=people)
    settled = set(rows.values_list("judging_class__number", "contestant__number", "placing"))
    return {card for card in doubtful if card[:3] in settled}


def _scored_release(pk: int) -> tuple[Record, Result]:
    if pk not in _scored:
        book, is_standardised = Release.objects.values_list("book", "reasons_standardised").get(pk=pk)
        record = record_from_book(bytes(book), is_standardised)
        _scored[pk] = record, tally(record)
    _scored.move_to_end(pk)
    _trim(_scored, CONTESTS_KEPT)
    return _scored[pk]


def _lists_moved(before: int, after: int) -> tuple[ListDifference, ...]:
    """The rows that stand elsewhere, or with another total, in one release than in the one before it."""
    if after not in _moved:
        _moved[after] = differences(*_scored_release(before), *_scored_release(after)).lists
        _trim(_moved, CORRECTIONS_KEPT)
    return _moved[after]


def _for_the_crowd(contest: Contest, record: Record) -> Record:
    """The record with no more of anybody's name than may be shown now.

    Whoever has another number or another name by now is shown by number alone until that is announced: else a name
    might come to stand where a family does not want it.
    """
    people = contest.contestants.filter(show_name=True).values_list("number", "first_name", "last_name")
    willing = {number: (first, last) for number, first, last in people}
    show_as = cast(ShowPeopleAs, contest.show_people_as)  # as the model's own choices
    contestants = tuple(
        _cut(person, show_as, person.present and willing.get(person.number) == (person.first_name, person.last_name))
        for person in record.contestants
    )
    return replace(record, rules=replace(record.rules, show_people_as=show_as), contestants=contestants)


def _cut(person: Contestant, show_as: ShowPeopleAs, is_willing: bool) -> Contestant:
    if not is_willing or not shown_name(person, show_as):
        return person._replace(first_name="", last_name="", show_name=False)
    if show_as == "initials":
        return person._replace(first_name=person.first_name[:1], last_name=person.last_name[:1])
    return person


def _trim(kept: OrderedDict[int, Any], most: int) -> None:
    while len(kept) > most:
        kept.popitem(last=False)
