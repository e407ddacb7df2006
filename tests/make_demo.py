"""Makes the demo contest, `fixtures/demo`, always to the same bytes: `python -m tests.make_demo`."""

from __future__ import annotations

from pathlib import Path

from contest.book import write_book
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, Card, Contestant, Mark, ReasonsScore, Record
from tests.demo_people import COUNTED, Dice, Person
from tests.demo_setting import (
    ABSENT,
    BASE_SKILL,
    CATEGORIES,
    CLASSES,
    DIVISIONS,
    ENTRIES,
    FIRST_NUMBER,
    INDIVIDUAL_TIES,
    NAME_NOT_SHOWN,
    PARTS,
    RULES,
    TEAM_TIES,
)
from tests.demo_ties import Team, bring_about_individual_ties, bring_about_team_ties

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "demo"
SEED = 36  # found by trying: with it every tie asked for comes about, and the steps left to chance decide too
GROUPS = "ABCD"
MISSING, UNREADABLE_CARDS, UNSETTLED = 7, 6, 6


def demo_record() -> Record:
    dice = Dice(SEED)
    people = _people(dice)
    present = {person.number: person for person in people if person.contestant.present}
    for person in present.values():
        person.fill_in(dice)
    _spoil_cards(list(present.values()), dice)
    teams = _teams(list(present.values()), dice)
    bring_about_team_ties(teams, dice)
    bring_about_individual_ties(present, dice)
    return Record(
        RULES,
        DIVISIONS,
        CATEGORIES,
        CLASSES,
        PARTS,
        INDIVIDUAL_TIES,
        TEAM_TIES,
        tuple(person.contestant for person in people),
        _read_cards(present, dice),
        tuple(
            ReasonsScore(class_number, person.number, official, score)
            for judged in CLASSES
            for person in present.values()
            for (class_number, official), score in person.reasons.items()
            if class_number == judged.number
        ),
        _marks(present, teams),
    )


def _people(dice: Dice) -> list[Person]:
    """Everybody who is entered, by number: in each division the teams one after the other, then the individuals."""
    people: list[Person] = []
    next_number = dict(FIRST_NUMBER)
    turn = 0
    for division, team, strength, names in ENTRIES:
        for name in names:
            first, last = name.split(" | ")
            contestant = Contestant(
                number=next_number[division],
                division=division,
                team=team,
                first_name=first,
                last_name=last,
                role="member" if team else "individual",
                # In turn, so that the groups are even and team-mates walk apart.
                group=GROUPS[turn % len(GROUPS)],
                show_name=name not in NAME_NOT_SHOWN,
                present=name not in ABSENT,
            )
            skill = BASE_SKILL[division] + strength + 0.1 * dice.bell()
            people.append(Person(contestant, min(max(skill, 0.15), 0.9)))
            next_number[division] += 1
            turn += 1
    return people


def _spoil_cards(present: list[Person], dice: Dice) -> None:
    """A few cards that were not handed in or cannot be read, at most one a contestant."""
    spoiled = dice.sample(present, MISSING + UNREADABLE_CARDS)
    for turn, person in enumerate(spoiled):
        class_number = dice.choice([number for number in person.cards if number in COUNTED])
        person.cards[class_number] = NO_CARD if turn < MISSING else UNREADABLE


def _teams(present: list[Person], dice: Dice) -> dict[tuple[str, str], Team]:
    teams: dict[tuple[str, str], Team] = {}
    for person in present:
        key = person.contestant.division, person.contestant.team
        if key[1]:
            teams.setdefault(key, Team(*key, members=[])).members.append(person)
    for team in teams.values():
        mean_skill = sum(person.skill for person in team.members) / len(team.members)
        points = 16 + 22 * mean_skill + 2.5 * dice.bell()
        team.fleece = min(max(round(points), 0), 40) * HUNDREDTHS
    return teams


def _read_cards(present: dict[int, Person], dice: Dice) -> tuple[Card, ...]:
    """The cards by class and number, each read twice; in a few the second reader swapped two neighbouring animals."""
    cards = [
        Card(judged.number, person.number, placing, placing or None)
        for judged in CLASSES
        for person in present.values()
        if (placing := person.cards.get(judged.number)) is not None
    ]
    readable = [turn for turn, card in enumerate(cards) if card.placing not in (NO_CARD, UNREADABLE)]
    for turn in dice.sample(readable, UNSETTLED):
        card = cards[turn]
        at = dice.below(3)
        misread = card.placing[:at] + card.placing[at + 1] + card.placing[at] + card.placing[at + 2 :]
        cards[turn] = Card(card.class_number, card.number, card.placing, misread)
    return tuple(cards)


def _marks(present: dict[int, Person], teams: dict[tuple[str, str], Team]) -> tuple[Mark, ...]:
    marks = [
        Mark(part.code, person.marks[part.code], number=person.number)
        for part in PARTS
        for person in present.values()
        if part.code in person.marks
    ]
    fleece = (Mark("FLEECE", team.fleece, division=team.division, team=team.name) for team in teams.values())
    return (*marks, *fleece)


if __name__ == "__main__":
    write_book(demo_record(), FOLDER)
