"""What the check-in table has: lists to tick off, and the numbers to wear.

Whose names: the check-in lists bear everybody's, since people are told apart there; they are a working paper of the
table and say that they are not to be posted. The numbers to wear bear nobody's.
"""

from __future__ import annotations

from typing import Any

from contest.watch.progress import group_order
from scoring.explain import counted
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import full_name, stacked
from scoring.record import Contestant

NUMBERS_AT_ONCE = 2


def check_in(material: Material, choice: Choice) -> dict[str, Any]:
    everybody = sorted(material.record.contestants, key=lambda person: person.number)
    if DOCUMENT_ORDERS[CHECK_IN.order(choice)]:
        everybody.sort(key=DOCUMENT_ORDERS[CHECK_IN.order(choice)])
    by_team = CHECK_IN.order(choice) == "team"
    sections: list[dict[str, Any]] = []
    for division in material.record.divisions:
        people = [person for person in everybody if person.division == division.code]
        if people:
            sections.append(
                {
                    "division": division.name,
                    "counted": counted(len(people), "contestant"),
                    "rows": [
                        {
                            "number": person.number,
                            "name": full_name(person),
                            "team": person.team or "individual",
                            "first": not at or people[at - 1].team != person.team,
                            "group": person.group,
                            "absent": not person.present,
                            "arrived": person.number in material.arrived,
                        }
                        for at, person in enumerate(people)
                    ],
                }
            )
    return {"sections": sections, "by_team": by_team, "pages": 1 + len(everybody) // 40}


def numbers(material: Material, choice: Choice) -> dict[str, Any]:
    wearing = [
        {"number": person.number, "digits": len(str(person.number)), "group": person.group}
        for person in material.present
        if choice.wants(person.number)
    ]
    return {"sheets": stacked(wearing, NUMBERS_AT_ONCE), "pages": -(-len(wearing) // NUMBERS_AT_ONCE)}


def _by_team(person: Contestant) -> tuple:
    return (not person.team, person.team.casefold(), person.number)


def _by_name(person: Contestant) -> tuple:
    return (person.last_name.casefold(), person.first_name.casefold(), person.number)


def _by_group(person: Contestant) -> tuple:
    return (group_order(person.group), person.number)


DOCUMENT_ORDERS: dict[str, Any] = {"team": _by_team, "number": None, "name": _by_name, "group": _by_group}

CHECK_IN = Document(
    name="check-in",
    title="Check-in lists",
    about="Everybody who is entered, to be ticked off as they arrive.",
    when="before",
    names="everybody’s, for the check-in table alone",
    build=check_in,
    asks=("order",),
    orders={"team": "by team", "number": "by number", "name": "by family name", "group": "by group"},
)
NUMBERS = Document(
    name="numbers",
    title="Numbers to wear",
    about="Large numbers, two to a page.",
    when="before",
    names="numbers only",
    build=numbers,
    asks=("numbers",),
    styles=("cut",),
)
