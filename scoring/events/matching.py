"""Who is one person in several contests of a day: proposed where names are nearly alike, said so or not, taken back."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple
from uuid import uuid4

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.entries.across import Attending, people_of
from contest.entries.alike import pairs
from contest.models import Contestant, Event, EventContest, EventPerson
from contest.trail import note, sentence
from scoring.core.people import fold


class Near(NamedTuple):
    """Two people of the day who may be one."""

    one: Attending
    other: Attending

    @property
    def pks(self) -> list[int]:
        return [entry.pk for who in self for entry in who.entries]


def proposals(people: Sequence[Attending]) -> list[Near]:
    """Those who may be one: names nearly alike, of one team or one of them in none, and in no contest both. Nobody is
    proposed of whom it was said already that they are two."""
    named = [who for who in people if who.name]
    made = []
    for first, second in pairs([_split(who) for who in named]):
        one, other = named[first], named[second]
        teams = {fold(one.team), fold(other.team)} - {""}
        both = {entry.contest.pk for entry in one.entries} & {entry.contest.pk for entry in other.entries}
        if len(teams) <= 1 and not both and not (one.said and other.said):
            made.append(Near(one, other))
    return made


def _split(who: Attending) -> tuple[str, str]:
    first, _space, last = who.name.rpartition(" ")
    return (first, last) if first else (last, "")


@changes
def say_one(event: Event, contestants: Collection[int], by: str) -> None:
    """Say that these contestants are one person. Raises NotPossible where two of them are in one contest."""
    rows = _rows(event, contestants)
    if len({row.contest_id for row in rows}) < len(rows):
        raise NotPossible(_("nobody is in one contest twice"))
    _say(event, [rows])
    _note(event, by, "event_person_joined", rows)


@changes
def say_two(event: Event, one: Collection[int], other: Collection[int], by: str) -> None:
    """Say that these contestants are two people, however they are called."""
    rows = [_rows(event, one), _rows(event, other)]
    _say(event, rows)
    _note(event, by, "event_person_parted", [*rows[0], *rows[1]])


@changes
def take_back(event: Event, contestants: Collection[int], by: str) -> None:
    """Take back what was said of these contestants: they are known by their names again."""
    rows = _rows(event, contestants)
    if not EventPerson.objects.filter(contestant__in=rows).delete()[0]:
        raise NotPossible(_("nothing was said of them"))
    _note(event, by, "event_person_forgotten", rows)


def people(event: Event) -> list[Attending]:
    return people_of(event.contests())


def _rows(event: Event, contestants: Collection[int]) -> list[Contestant]:
    rows = list(Contestant.objects.filter(pk__in=contestants, contest__event_place__event=event).order_by("pk"))
    for contest in sorted({row.contest_id for row in rows}):
        take_turn(contest)
    if not rows or len(rows) < len(set(contestants)):
        raise NotPossible(_("somebody of them is not in a contest of this day"))
    return rows


def _say(event: Event, people: Sequence[Sequence[Contestant]]) -> None:
    places = dict(EventContest.objects.filter(event=event).values_list("contest", "pk"))
    EventPerson.objects.filter(contestant__in=[row for rows in people for row in rows]).delete()
    for rows in people:
        together = uuid4()
        EventPerson.objects.bulk_create(
            EventPerson(place_id=places[row.contest_id], contestant=row, together=together) for row in rows
        )


def _note(event: Event, by: str, what: str, rows: Sequence[Contestant]) -> None:
    note(by, sentence(what, event=event.name), after=[[row.contest_id, row.number] for row in rows])
