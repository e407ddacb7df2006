"""What the check-in table has: lists to tick off, and the numbers to wear.

Whose names: the check-in lists bear everybody's, since people are told apart there; they are a working paper of the
table and say that they are not to be posted. The numbers to wear bear nobody's.
"""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.core.record import Contestant
from scoring.prints.changed import Changes
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import PEOPLES_ORDERS, contestants, full_name, stacked

NUMBERS_AT_ONCE = 2


def check_in(material: Material, choice: Choice) -> dict[str, Any]:
    order = CHECK_IN.order(choice)
    everybody = sorted(material.record.contestants, key=ORDERS[order])
    sections: list[dict[str, Any]] = []
    for division in material.record.divisions:
        people = [person for person in everybody if person.division == division.code]
        if people:
            blocks = groupby(people, key=lambda person: person.team) if order == "team" else [("", people)]
            sections.append(
                {
                    "division": division.name,
                    "counted": contestants(len(people)),
                    "absent": sum(not person.present for person in people),
                    "blocks": [[_row(material, person) for person in block] for _, block in blocks],
                }
            )
    return {"sections": sections, "by_team": order == "team", "pages": 1 + len(everybody) // 40}


def _row(material: Material, person: Contestant) -> dict[str, Any]:
    return {
        "number": person.number,
        "name": full_name(person),
        "team": person.team or _("individual"),
        "group": person.group,
        "absent": not person.present,
        "arrived": person.number in material.arrived,
    }


def numbers(material: Material, choice: Choice) -> dict[str, Any]:
    news = Changes(material, choice)
    wearing = [
        {"number": person.number, "digits": len(str(person.number)), "group": person.group}
        for person in sorted(material.present, key=ORDERS[NUMBERS.order(choice)])
        if choice.wants(person.number) and news.keep(str(person.number), person.group)
    ]
    return {
        "said": news.said,
        "sheets": stacked(wearing, NUMBERS_AT_ONCE),
        "pages": -(-len(wearing) // NUMBERS_AT_ONCE),
    }


def _by_name(person: Contestant) -> tuple[Any, ...]:
    return (person.last_name.casefold(), person.first_name.casefold(), person.number)


ORDERS = PEOPLES_ORDERS | {"name": _by_name}

CHECK_IN = Document(
    name="check-in",
    title=gettext_lazy("Check-in lists"),
    about=gettext_lazy("Everybody who is entered, to be ticked off as they arrive."),
    when="before",
    names=gettext_lazy("everybody’s, for the check-in table alone"),
    build=check_in,
    asks=("order",),
    orders={
        "team": gettext_lazy("by team"),
        "number": gettext_lazy("by number"),
        "name": gettext_lazy("by family name"),
        "group": gettext_lazy("by group"),
    },
)
NUMBERS = Document(
    name="numbers",
    title=gettext_lazy("Numbers to wear"),
    about=gettext_lazy("Large numbers, two to a page; the cut stacks come off in order."),
    when="before",
    names=gettext_lazy("numbers only"),
    build=numbers,
    asks=("numbers", "changed", "order"),
    orders={"number": gettext_lazy("by number"), "team": gettext_lazy("by team"), "group": gettext_lazy("by group")},
    styles=("cut",),
)
