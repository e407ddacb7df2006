"""Who goes on to the next level: the first of a list, who stands in for them, and who is passed over.

A list is gone down from its top. Who declined, and who goes with a team already where such places are given to others,
is passed over and the next one moves up; the first `places` of the rest go, and so many `alternates` after them stand
in, in their order. Ties were decided when the list was ranked; one that is still shared at the last place is told.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from scoring.core.record import Contestant, Record
from scoring.core.result import IndividualRow, Standing, TeamRow

State = Literal["goes", "alternate", "declined", "with-team"]
GOES: State = "goes"
ALTERNATE: State = "alternate"
DECLINED: State = "declined"
WITH_TEAM: State = "with-team"


class Wanted(NamedTuple):
    """Of which list how many go on, and how many stand in. With `besides_teams`, whoever goes with a team takes no
    place of a list of individuals."""

    division: str
    code: str
    kind: Literal["individuals", "teams"]
    places: int
    alternates: int = 0
    besides_teams: bool = False


class Row(NamedTuple):
    """One row of a list: `who` is a number or a team, `at` which of those who go or stand in, from 1; 0 for neither.
    `moved_up`: they would not, had nobody been passed over."""

    rank: int
    who: int | str
    total: Fraction
    state: State
    at: int = 0
    moved_up: bool = False


@dataclass(frozen=True, slots=True)
class Chosen:
    """`rows` reach down to the last who stands in. `shared`: the last who goes and the first who does not have one
    rank, so that nothing but the order of numbers or names parts them."""

    wanted: Wanted
    rows: tuple[Row, ...]
    shared: bool = False

    @property
    def going(self) -> list[int | str]:
        return [row.who for row in self.rows if row.state == GOES]

    @property
    def lacking(self) -> int:
        """Places that nobody is left for."""
        return self.wanted.places - len(self.going)


@dataclass(frozen=True, slots=True)
class Declined:
    """Contestants, by number, and teams, by division and name, who do not come."""

    people: frozenset[int] = frozenset()
    teams: frozenset[tuple[str, str]] = frozenset()


def choose(standings: Iterable[Standing], wanted: Sequence[Wanted], record: Record, declined: Declined) -> list[Chosen]:
    """What each of `wanted` comes to, in their order; one whose list there is not is left out."""
    lists = {(standing.division, standing.code): standing for standing in standings}
    teams = [
        _chosen(one, lists[one[:2]].teams, {name for code, name in declined.teams if code == one.division})
        for one in wanted
        if one.kind == "teams" and one[:2] in lists
    ]
    going = {(chosen.wanted.division, who) for chosen in teams for who in chosen.going}
    with_team = {person.number for person in record.contestants if (person.division, person.team) in going}
    people = [
        _chosen(one, lists[one[:2]].individuals, declined.people, with_team if one.besides_teams else ())
        for one in wanted
        if one.kind == "individuals" and one[:2] in lists
    ]
    by_wanted = {chosen.wanted: chosen for chosen in (*teams, *people)}
    return [by_wanted[one] for one in wanted if one in by_wanted]


def entrants(chosen: Iterable[Chosen], record: Record, declined: Declined) -> list[Contestant]:
    """Who is entered at the next level: the members of each team that goes, together, then the individuals.

    Who goes as an individual alone has no team any more. Nobody stands here who declined or was not there.
    """
    here = [person for person in record.contestants if person.present and person.number not in declined.people]
    chosen = list(chosen)
    made: dict[int, Contestant] = {}
    for one in chosen:
        for team in one.going if one.wanted.kind == "teams" else ():
            members = (person for person in here if (person.division, person.team) == (one.wanted.division, team))
            made |= {person.number: person for person in members}
    by_number = {person.number: person for person in here}
    for one in chosen:
        for number in one.going if one.wanted.kind == "individuals" else ():
            if isinstance(number, int) and number not in made and number in by_number:
                made[number] = by_number[number]._replace(team="", role="individual")
    return list(made.values())


def _chosen(
    wanted: Wanted,
    rows: Sequence[IndividualRow | TeamRow],
    declined: Collection[int | str],
    with_team: Collection[int | str] = (),
) -> Chosen:
    made: list[Row] = []
    taken = 0
    edge: list[int] = []  # the ranks of the last who goes and of the first who does not
    for position, row in enumerate(rows):
        who: int | str = row.number if isinstance(row, IndividualRow) else row.team
        if who in declined or who in with_team:
            made.append(Row(row.rank, who, row.total, DECLINED if who in declined else WITH_TEAM))
            continue
        taken += 1
        if taken in (wanted.places, wanted.places + 1):
            edge.append(row.rank)
        if taken <= wanted.places:
            made.append(Row(row.rank, who, row.total, GOES, taken, moved_up=position >= wanted.places))
        elif taken <= wanted.places + wanted.alternates:
            made.append(Row(row.rank, who, row.total, ALTERNATE, taken - wanted.places))
        else:
            break
    while made and made[-1].state in (DECLINED, WITH_TEAM) and taken > wanted.places + wanted.alternates:
        made.pop()  # passed over after the last place that matters
    return Chosen(wanted, tuple(made), shared=len(edge) == 2 and edge[0] == edge[1])
