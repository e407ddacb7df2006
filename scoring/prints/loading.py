"""Reading from the database what documents are made from."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.utils.timezone import localtime

from contest.helpers.pages import ways_in
from contest.models import Contest, Contestant, Team
from contest.records.loading import ATTEMPTS, ContestChanging
from contest.watch.doubts import doubts_of
from reasons.models import ReasonsDay, Slot
from scoring.prints import material as plain
from scoring.prints.document import Need
from scoring.prints.pictures import picture_of
from scoring.standings import Tallied, tallied

# Where a terminal does not say how other devices reach the laptop.
USUAL_ADDRESS = "http://localhost:8000"


def load_material(contest_id: int, needs: Iterable[Need] = (), address: str = "") -> plain.Material:
    """A contest at one revision, with what a document needs.

    Raises Contest.DoesNotExist, and ContestChanging where the contest changes faster than it can be read.
    """
    for _ in range(ATTEMPTS):
        contest = Contest.objects.get(pk=contest_id)
        shown = tallied(contest)
        material = _material(contest, shown, frozenset(needs), address)
        if Contest.objects.values_list("revision", flat=True).get(pk=contest_id) == shown.revision:
            return material
    raise ContestChanging(f"contest {contest_id} changed during each of {ATTEMPTS} attempts to read it")


def _material(contest: Contest, shown: Tallied, needs: frozenset[Need], address: str) -> plain.Material:
    changed = contest.trail.filter(revision=shown.revision).values_list("at", flat=True).first()
    people = Contestant.objects.filter(contest=contest)
    teams = Team.objects.filter(division__contest=contest).exclude(say_name="")
    day = ReasonsDay.objects.filter(contest=contest).first()
    return plain.Material(
        contest_pk=contest.pk,
        revision=shown.revision,
        as_of=localtime(changed) if changed else None,
        record=shown.record,
        result=shown.result,
        starts_at=contest.starts_at,
        minutes_per_class=contest.minutes_per_class,
        say=dict(people.exclude(say_name="").values_list("number", "say_name")),
        say_teams={(code, name): say for code, name, say in teams.values_list("division__code", "name", "say_name")},
        arrived=frozenset(people.filter(checked_in_at__isnull=False).values_list("number", flat=True)),
        ribbons={
            place: plain.Ribbon(name, colour)
            for place, name, colour in contest.ribbons.values_list("place", "name", "colour")
        },
        award_lists=tuple(
            plain.AwardList(*row) for row in contest.award_lists.values_list("division", "code", "kind", "places")
        ),
        released=contest.releases.order_by("-version").values_list("version", flat=True).first(),
        picture=picture_of(Path(settings.DATA_FOLDER), contest.pk),
        components=tuple((str(name), int(weight)) for name, weight in day.components) if day else (),
        rooms=tuple(_rooms(contest)) if "rooms" in needs else (),
        doubts=tuple(doubts_of(contest)) if "doubts" in needs else (),
        ways_in=tuple(ways_in(contest, address or USUAL_ADDRESS)) if "ways_in" in needs else (),
    )


def _rooms(contest: Contest) -> Iterable[plain.Room]:
    slots: dict[int, list[plain.Slot]] = {}
    rows = Slot.objects.filter(room__contest=contest).values_list(
        "room_id", "contestant__number", "judging_class__number", "starts_at"
    )
    for room, number, class_number, starts in rows:
        slots.setdefault(room, []).append(plain.Slot(number, class_number, localtime(starts)))
    for room in contest.rooms.prefetch_related("officials"):
        officials = tuple(official.name for official in room.officials.all())
        yield plain.Room(room.name, officials, tuple(slots.get(room.pk, ())))
