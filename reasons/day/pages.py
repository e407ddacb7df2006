"""What the pages of the reasons' day show."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from typing import Any, NamedTuple

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from contest.book.pair_notes import Note
from contest.entries.accommodating import needs_of
from contest.helpers.codes import tablet_codes
from contest.helpers.pages import WayIn, way_in
from contest.keys import open_keys
from contest.models import Contest, Duty, ReasonsOfficial, ReasonsScore
from contest.outbox import shelf_of
from contest.pair_notes import PairShown, fingerprint, notes_in_order, pairs_shown
from contest.records.tallying import tallied
from contest.slips.reasons import ReasonsStack
from contest.web.requests import Request
from reasons.day.hours import minute_of
from reasons.models import PairNote, ReasonsDay, Room, SetNote
from reasons.planning.accommodating import minutes_with
from reasons.planning.clock import clock_time
from scoring.core.points import written_hundredths


class Tablet(NamedTuple):
    """An official's tablet: the room and the official, and the way in."""

    room: Room
    official: ReasonsOfficial
    way: WayIn


def tablets(contest: Contest, base: str) -> list[Tablet]:
    """The tablets of every room, from the address by which other devices reach this laptop."""
    codes = tablet_codes(contest)
    return [
        Tablet(room, official, way_in(Duty.ROOM, codes[official.pk], base))
        for room in contest.rooms.prefetch_related("officials")
        for official in room.officials.all()
    ]


def room_page(contest: Contest, room: Room, official: ReasonsOfficial, request: Request) -> dict[str, Any]:
    """What a room's device starts from: numbers only, and nothing that any other official gave."""
    day: ReasonsDay = contest.reasons_day
    args = [contest.pk, room.pk, official.pk]
    return {
        "desk": room_shelf(contest, request),
        "who": request.who,
        "room": room.pk,
        "official": official.pk,
        "components": day.components,
        "low": ReasonsStack.low,
        "now": int(timezone.now().timestamp() * 1000),
        "sets": room_sets(contest, room, official, request.who),
        "addresses": {
            "events": reverse("reasons-room-events", args=args),
            "sets": reverse("reasons-room-sets", args=args),
            "hello": reverse("reasons-hello", args=[contest.pk]),
            "takeBack": "",
            "readings": "",
        },
    }


def room_shelf(contest: Contest, request: Request) -> str:
    """What a room's device keeps unsent events under: not where readings of scores are kept."""
    return f"{shelf_of(request, contest, 'scores')} room"


def room_sets(contest: Contest, room: Room, official: ReasonsOfficial, who: str) -> list[dict[str, Any]]:
    """The sets of a room in the order of time, each with what this official gave, and what `who` wrote.

    How long somebody may speak is told with each set: longer for whoever was granted it, and nothing says why.
    """
    scores = {
        (class_id, contestant_id): points
        for class_id, contestant_id, points in ReasonsScore.objects.filter(official=official).values_list(
            "judging_class_id", "contestant_id", "hundredths"
        )
    }
    notes = {
        (note.judging_class_id, note.contestant_id): note for note in SetNote.objects.filter(official=official, by=who)
    }
    sets: list[dict[str, Any]] = []
    slots = list(room.slots.select_related("judging_class", "contestant").order_by("starts_at", "pk"))
    if not slots:  # nothing is planned yet, nor perhaps the day
        return sets
    minutes = contest.reasons_day.minutes_per_set
    extra = {number: needs.extra_time for number, needs in needs_of(contest).items() if needs.extra_time}
    for slot in slots:
        key = slot.judging_class_id, slot.contestant_id
        points, own = scores.get(key), notes.get(key)
        sets.append(
            {
                "number": slot.contestant.number,
                "classNumber": slot.judging_class.number,
                "className": slot.judging_class.name,
                "minutes": minutes_with(minutes, extra.get(slot.contestant.number, 0)),
                "starts": clock_time(minute_of(contest, slot.starts_at)),
                "state": slot.state,
                "began": _milliseconds(slot.began_at),
                "stopped": _milliseconds(slot.stopped_at),
                "points": None if points is None else written_hundredths(points),
                "note": own.note if own else "",
                "marks": own.marks if own else {},
            }
        )
    return sets


def _milliseconds(when: datetime | None) -> int | None:
    return int(when.timestamp() * 1000) if when else None


class ClassShown(NamedTuple):
    """A class with its notes. `writer` is who wrote them first; `pk` is the class's own. `is_others`: to whoever it is
    shown, it is another official's, and nothing of it is here. `open_key` says why the placing may still change, and is
    empty once it is settled."""

    pk: int
    number: int
    name: str
    official: str
    cuts: str
    writer: str
    pairs: tuple[PairShown, ...]
    is_others: bool = False
    open_key: str = ""

    @property
    def written(self) -> bool:
        return any(pair.note for pair in self.pairs)

    @property
    def fingerprint(self) -> str:
        """Stands for the notes as they are, so that nobody overwrites what they have not seen."""
        return fingerprint([pair.note for pair in self.pairs])

    def to_official(self, name: str) -> ClassShown:
        """As an official may see it: without the placing, which its own official has on paper, and without what
        another has written."""
        is_others = bool(self.writer) and self.writer.casefold() != name.casefold()
        pairs = tuple(PairShown(pair.name, "", Note() if is_others else pair.note) for pair in self.pairs)
        return self._replace(official="", cuts="", open_key="", writer="", pairs=pairs, is_others=is_others)


def classes_shown(contest: Contest, numbers: set[int] | None = None) -> list[ClassShown]:
    """The reasons classes with their placings, cuts and notes, for whoever may see them."""
    rows: defaultdict[int, list[PairNote]] = defaultdict(list)
    for note in PairNote.objects.filter(judging_class__contest=contest).select_related("judging_class"):
        rows[note.judging_class.number].append(note)
    keys = dict(contest.classes.values_list("number", "pk"))
    open_key = open_keys(contest)
    classes = []
    for judged in tallied(contest).record.classes:
        if not judged.reasons or judged.void or (numbers is not None and judged.number not in numbers):
            continue
        official, own = judged.official or "", rows[judged.number]
        notes = notes_in_order(own, len(judged.animals) - 1)
        pairs = pairs_shown(notes, official)
        cuts = ", ".join(map(str, judged.cuts)) if judged.cuts else ""
        writer = own[0].by if own else ""
        shown = ClassShown(keys[judged.number], judged.number, judged.name, official, cuts, writer, pairs)
        classes.append(shown._replace(open_key=_(open_key[judged.number]) if judged.number in open_key else ""))
    return classes
