"""The slips that are due: how far each is, for whoever asks, and how many there are of each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db.models import Q

from contest.models import Contest, Contestant, State
from contest.slips.slip import Slip, of_contest

OWNERS = ("contestant", "team")


class Standing(NamedTuple):
    """How far one slip is. `state` is None while nobody has read it; `mine` if whoever asks has, `decided` if the
    superintendent has."""

    state: str | None = None
    value: Any = None
    mine: bool = False
    decided: bool = False


UNREAD = Standing()


class Due(NamedTuple):
    """One slip that is due from a contestant or a team, whose key is `owner`, as far as it is known.

    `number` is what is typed to choose it: the contestant's or, as teams have none, the team's place in the list. Only
    a team has a `name`. What somebody absent handed in all the same is doubtful until the superintendent has decided
    about it, and nobody's to read.
    """

    owner: int
    number: int
    group: str = ""
    present: bool = True
    state: str | None = None
    mine: bool = False
    name: str = ""
    division: str = ""

    @classmethod
    def of_team(cls, pk: int, known: Mapping[int, Standing], place: int = 0, name: str = "", division: str = "") -> Due:
        standing = known.get(pk, UNREAD)
        return cls(pk, place, state=standing.state, mine=standing.mine, name=name, division=division)

    @property
    def of(self) -> int:
        """Whose it is, as a page says it: a contestant's number, a team's key."""
        return self.owner if self.name else self.number


class Person(NamedTuple):
    """A contestant, as far as it matters to what is due."""

    pk: int
    number: int
    group: str
    division_id: int
    team_id: int | None
    present: bool


@dataclass(frozen=True, kw_only=True)
class Count:
    """How many slips are `due`, and how many of them nobody has `unread`, are read `once`, `settled`, `doubtful`;
    `yours` are those that whoever asks has still to read."""

    due: int
    unread: int
    once: int
    settled: int
    doubtful: int
    yours: int

    @property
    def read(self) -> int:
        return self.due - self.unread

    @property
    def done(self) -> bool:
        """Nobody has anything to read of them any more."""
        return not self.unread and not self.once


def counted(contest: Contest, due: Sequence[Due]) -> dict[str, Any]:
    """The fields of a `Count`."""

    def having(state: str | None) -> int:
        return sum(slip.state == state for slip in due)

    states = {"once": State.ONCE, "settled": State.SETTLED, "doubtful": State.DOUBT}
    of_state = {name: having(state) for name, state in states.items()}
    yours = len(left_to_read(contest, due))
    return {"due": len(due), "unread": having(None), "yours": yours, **of_state}


def left_to_read(contest: Contest, due: Iterable[Due]) -> list[Due]:
    """Those slips that whoever they were looked up for has still to read.

    Nobody reads one twice, unless the contest allows it: then everybody may read all, but every one once first.
    """
    unsettled = [slip for slip in due if slip.present and slip.state in (None, State.ONCE)]
    if contest.same_reader_twice:
        return [slip for slip in unsettled if slip.state is None] or unsettled
    return [slip for slip in unsettled if not slip.mine]


def people_of(contest: Contest) -> list[Person]:
    """The contestants in ascending order of their numbers."""
    people = Contestant.objects.filter(contest=contest).order_by("number")
    return [Person._make(row) for row in people.values_list(*Person._fields)]


def slips_due(
    kind: type[Slip], people: Iterable[Person], divisions: Container[int], known: Mapping[int, Standing]
) -> list[Due]:
    """The slips that are due from people of some divisions, of whose slips so much is known: from everybody present
    and, where the kind keeps strays, from the absent who handed one in."""
    due = []
    for person in people:
        if person.division_id not in divisions:
            continue
        standing = known.get(person.pk, UNREAD)
        if person.present or (kind.keeps_strays and standing.value):
            state = standing.state if person.present or standing.decided else State.DOUBT
            due.append(Due(person.pk, person.number, person.group, person.present, state, standing.mine))
    return due


def standings(
    kind: type[Slip], contest: Contest, who: str, **within: Any
) -> defaultdict[tuple[int, ...], dict[int, Standing]]:
    """What is known of a contest's slips of a kind, by what they are of (the keys of `about` but whose they are), then
    by whose they are; of what is left out nothing is. Always the same three queries, however much was read."""
    stack = [f"{name}_id" for name in kind.about if name not in OWNERS]
    owners = [f"{name}_id" for name in kind.about if name in OWNERS]
    known, width, last = [*stack, *owners], len(stack), len(stack) + len(owners) - 1

    def place(row: Sequence[Any]) -> tuple[tuple[int, ...], int]:
        return tuple(row[:width]), row[width] or row[last]

    readings = of_contest(contest, kind.readings).filter(**within, withdrawn_at__isnull=True).order_by()
    me = [by for by in readings.values_list("by", flat=True).distinct() if by.casefold() == who.casefold()]
    mine, decided = set(), set()
    for row in readings.filter(Q(by__in=me) | Q(decides=True)).values_list(*known, "by", "decides"):
        if row[-2] in me:
            mine.add(place(row))
        if row[-1]:
            decided.add(place(row))
    found: defaultdict[tuple[int, ...], dict[int, Standing]] = defaultdict(dict)
    for row in of_contest(contest, kind.results).filter(**within).values_list(*known, "state", kind.value):
        of, owner = here = place(row)
        found[of][owner] = Standing(row[-2], row[-1], here in mine, here in decided)
    return found
