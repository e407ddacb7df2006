"""What contestants need to compete as the others do: for the superintendent and whoever must act alone."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from contest.changes import changes, take_turn
from contest.models import Accommodation, Contest, Contestant, Touches
from contest.trail import record_change, sentence


@dataclass(frozen=True, slots=True)
class Needs:
    """What a contestant needs; false where it is nothing. `extra_time` is of 100, more than the others have."""

    extra_time: int = 0
    reader: bool = False
    scribe: bool = False
    large_print: bool = False
    separate_room: bool = False
    wheelchair: bool = False
    note: str = ""

    def __bool__(self) -> bool:
        return any(asdict(self).values())

    def ticked(self) -> list[str]:
        """What they need of what is asked for, in words; the `note` says what else."""
        told = [
            (self.extra_time, _("{percent} % more time").format(percent=self.extra_time)),
            (self.reader, pgettext("what a contestant needs", "a reader")),
            (self.scribe, pgettext("what a contestant needs", "a scribe")),
            (self.large_print, pgettext("what a contestant needs", "large print")),
            (self.separate_room, pgettext("what a contestant needs", "a separate room")),
            (self.wheelchair, pgettext("what a contestant needs", "a way for a wheelchair")),
        ]
        return [words for is_so, words in told if is_so]


@changes
def accommodate(contestant: Contestant, needs: Needs, by: str) -> None:
    """Keep what a contestant needs. The trail says that it was changed, and not what it is."""
    take_turn(contestant.contest_id)
    if needs:
        Accommodation.objects.update_or_create(contestant=contestant, defaults=asdict(needs))
    else:
        Accommodation.objects.filter(contestant=contestant).delete()
    what = sentence("contestant_accommodated", contestant=contestant.number)
    record_change(contestant.contest, by, what, touches=Touches.NOTHING)


def needs_of(contest: Contest) -> dict[int, Needs]:
    """By number; without those who need nothing."""
    rows = Accommodation.objects.filter(contestant__contest=contest)
    return {number: Needs(**row) for number, row in _rows(rows, "contestant__number")}


def needs_of_one(contestant: Contestant) -> Needs:
    return next((Needs(**row) for _, row in _rows(Accommodation.objects.filter(contestant=contestant), "pk")), Needs())


def _rows(rows: Any, key: str) -> Any:
    names = Needs.__dataclass_fields__
    for row in rows.values(key, *names):
        yield row.pop(key), row
