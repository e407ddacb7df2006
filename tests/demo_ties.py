"""Bringing about ties in the demo, so that every step of both tie orders decides one.

Left to chance, contestants tie often but never deep into a tie order, and teams hardly ever. So for each tie wanted,
one of the two (the mover) hands in its paper again, one card, set or mark at a time, always drawn from its own skill,
until it is level with the other on everything before the wanted step, and on that step no longer. Every single card,
set and mark is as likely as any other drawn; only that they meet is no accident.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from scoring.core.ranking import SHARED
from tests.demo_people import UNITS, Dice, Person, individual_key, list_value
from tests.demo_setting import DIVISIONS, INDIVIDUAL_TIES, TEAM_TIES

Key = list[int]
_PATIENCE = 20_000


@dataclass
class Team:
    """The present members of a team and its mark at the fleece table, in hundredths."""

    division: str
    name: str
    members: list[Person]
    fleece: int = 0

    def key(self, code: str) -> Key:
        """What the list `code` ranks the team by: its value there, then every step of the team tie order."""
        most = next(division.team_counting for division in DIVISIONS if division.code == self.division)
        fixed = next(division.counting_members for division in DIVISIONS if division.code == self.division) == "fixed"
        values = {person.number: person.values() for person in self.members}
        chosen_by = "overall" if fixed else code
        order = sorted(values, key=lambda n: (*(-value for value in individual_key(values[n], chosen_by)), n))
        counting, left_out = order[:most], order[most:]

        def step_value(step: str) -> int:
            if step == "left-out":
                return max((values[number]["total"] for number in left_out), default=0)
            if step == "part:FLEECE":
                return 2 * self.fleece
            own = 2 * self.fleece if step in ("total", "category:BRD") else 0
            return own + sum(values[number][step] for number in counting)

        return [step_value(step) for step in (list_value(code), *TEAM_TIES)]


class IndividualTie(NamedTuple):
    mover: int
    code: str
    step: str


class TeamTie(NamedTuple):
    division: str
    mover: str
    anchor: str
    code: str
    step: str


TEAM_TIES_WANTED = (
    TeamTie("SR", "Cobblewick", "Ockerby Fold", "overall", "reasons"),
    TeamTie("SR", "Tarrowdale", "Wrenwater", "reasons", "part:FLEECE"),
    TeamTie("SR", "Quillet Moor", "Sallowmead", "overall", "category:BRD"),
    TeamTie("IN", "Wrenwater", "Tarrowdale", "reasons", "class:4"),
    TeamTie("IN", "Old Mardle", "Wrenwater", "MKT", "placing"),
    TeamTie("JR", "Ockerby Fold", "Cobblewick", "overall", "left-out"),
    TeamTie("JR", "Sallowmead", "Tarrowdale", "placing", "total"),
    TeamTie("JR", "Hobbin Bridge", "Sallowmead", "MKT", "best-class"),
)

# The movers are in none of the teams above, so that no team tie comes undone. The earlier steps decide by themselves.
INDIVIDUAL_TIES_WANTED = (
    IndividualTie(325, "overall", "best-class"),
    IndividualTie(215, "placing", "total"),
    IndividualTie(214, "overall", "category:BRD"),
    IndividualTie(326, "overall", SHARED),
)


def bring_about_team_ties(teams: dict[tuple[str, str], Team], dice: Dice) -> None:
    for tie in TEAM_TIES_WANTED:
        mover, anchor = teams[tie.division, tie.mover], teams[tie.division, tie.anchor]
        deep = TEAM_TIES.index(tie.step)
        if deep > TEAM_TIES.index("part:FLEECE"):
            mover.fleece = anchor.fleece  # a single number: it has to be the same, whatever the cards
        if not _level(mover.members, partial(mover.key, tie.code), anchor.key(tie.code), deep, dice):
            raise AssertionError(f"it did not come about: {tie}")


def bring_about_individual_ties(people: dict[int, Person], dice: Dice) -> None:
    movers = [tie.mover for tie in INDIVIDUAL_TIES_WANTED]
    for tie in INDIVIDUAL_TIES_WANTED:
        mover = people[tie.mover]
        redrawn = partial(_key, mover, tie.code)
        rivals = [
            person
            for number, person in people.items()
            if person.contestant.division == mover.contestant.division and number not in movers
        ]
        deep = len(INDIVIDUAL_TIES) if tie.step == SHARED else INDIVIDUAL_TIES.index(tie.step)
        # The nearest rival may be out of reach, with a missing card or a perfect one where the step must differ.
        nearest_first = _nearest_first(rivals, mover.values()["total"])
        if not any(_level([mover], redrawn, _key(rival, tie.code), deep, dice) for rival in nearest_first):
            raise AssertionError(f"it did not come about: {tie}")


def _nearest_first(rivals: list[Person], total: int) -> list[Person]:
    return sorted(rivals, key=lambda rival: (abs(rival.values()["total"] - total), rival.number))


def _key(person: Person, code: str) -> Key:
    return individual_key(person.values(), code)


def _level(people: list[Person], key: Callable[[], Key], goal: Key, deep: int, dice: Dice) -> bool:
    """Redraw until `key` equals `goal` in the list's value and the first `deep` steps, and differs in the next.

    A redrawn paper is kept where it comes nearer, is as near, or is farther by a little: without the last, the search
    would stop at the first paper that no single redraw can better. False where patience ran out.
    """
    until = deep + 1  # the list's value comes before the steps
    now = _distance(key(), goal, until)
    for _ in range(_PATIENCE):
        if now == 0 and (until == len(goal) or key()[until] != goal[until]):
            return True
        person = dice.choice(people)
        before = dict(person.cards), dict(person.reasons), dict(person.marks)
        person.redraw_one(dice)
        then = _distance(key(), goal, until)
        if then <= now + dice.roll() ** 4 * 6 * UNITS:
            now = then
        else:
            person.cards, person.reasons, person.marks = before
    return False


def _distance(mine: Key, theirs: Key, until: int) -> int:
    return sum(abs(mine[position] - theirs[position]) for position in range(until))
