"""Who of a contest or practice is which member of the club: proposed by name, said by the coach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from contest.entries.alike import may_be_one
from scoring.core.people import fold
from scoring.models import SeasonMember, SeasonSource
from scoring.season.arriving import Arrived, Person

MOST_NEAR = 3


@dataclass(frozen=True, slots=True)
class Proposal:
    """For a member, who it is by the name or was said to be before, and who it may be besides."""

    member: SeasonMember
    person: Person | None
    near: tuple[Person, ...]
    said_before: bool


def proposals(members: Iterable[SeasonMember], arrived: Arrived, before: SeasonSource | None) -> list[Proposal]:
    """A proposal for each member. Whoever two members or two people could be by their names alone is only shown as
    near. `before` is the source that this one would take the place of, whose entries were confirmed."""
    said = dict(before.entries.values_list("member", "number")) if before else {}
    people = {person.number: person for person in arrived.people}
    named = list(members)
    made = []
    for member in named:
        was = people.get(said.get(member.pk, 0))
        alike = [person for person in arrived.people if member.name and fold(person.name) == fold(member.name)]
        shared = sum(fold(other.name) == fold(member.name) for other in named) > 1
        sure = alike[0] if len(alike) == 1 and not shared else None
        near = [person for person in arrived.people if person not in alike and _near(member.name, person.name)]
        others = tuple([*(alike if sure is None else []), *near][:MOST_NEAR])
        made.append(Proposal(member, was or sure, others, was is not None))
    return made


def _near(one: str, other: str) -> bool:
    return bool(one and other) and may_be_one(_split(one), _split(other))


def _split(name: str) -> tuple[str, str]:
    first, _space, last = name.rpartition(" ")
    return (first, last) if first else (last, "")


def source_before(season_pk: int, arrived: Arrived) -> SeasonSource | None:
    """The source of the season that this one is, or is a corrected book of: of the same digest, or a contest of the
    same name and date."""
    rows = SeasonSource.objects.filter(season=season_pk)
    same = rows.filter(digest=arrived.digest).first()
    if same or arrived.kind != SeasonSource.Kind.CONTEST:
        return same
    of_day = rows.filter(kind=arrived.kind, held_on=arrived.held_on) if arrived.held_on else ()
    return next((row for row in of_day if fold(row.name) == fold(arrived.name)), None)
