"""What everybody gets who takes part: a certificate, and a badge with the name.

Whose names: a certificate is given to the family and bears the name whatever the family says about showing it. A badge
is worn where everybody reads it: it bears no name that the family does not want shown.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.prints.changed import Changes
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.pictures import picture_digest
from scoring.prints.words import PEOPLES_ORDERS, fit, name_or_number, open_name, stacked

BADGES_AT_ONCE = 8


def certificates(material: Material, choice: Choice) -> dict[str, Any]:
    news, seal = Changes(material, choice), picture_digest(material.picture)
    contest_size = fit(material.record.rules.name, (45, 90))
    sheets = []
    for person in sorted(material.present, key=PEOPLES_ORDERS[CERTIFICATES.order(choice)]):
        if not choice.wants(person.number):
            continue
        name = name_or_number(person)
        sheet = {
            "name": name,
            "size": fit(name, (22, 32, 44, 64, 130)),
            "team": person.team,
            "team_size": fit(person.team, (60, 130)),
            "division": material.division_names[person.division],
            "contest_size": contest_size,
        }
        if news.keep(str(person.number), (sheet, seal)):
            sheets.append(sheet)
    return {"sheets": sheets, "pages": len(sheets), "said": news.said}


def badges(material: Material, choice: Choice) -> dict[str, Any]:
    news, made = Changes(material, choice), []
    for person in sorted(material.present, key=PEOPLES_ORDERS[BADGES.order(choice)]):
        name = open_name(person)
        badge = {
            "number": person.number,
            "name": name,
            "size": fit(name, (16, 26, 48)),
            "team": person.team,
            "division": material.division_names[person.division],
            "group": person.group,
        }
        if choice.wants(person.number) and news.keep(str(person.number), badge):
            made.append(badge)
    return {"sheets": stacked(made, BADGES_AT_ONCE), "pages": -(-len(made) // BADGES_AT_ONCE), "said": news.said}


IN_ORDER = {
    "team": gettext_lazy("by team"),
    "number": gettext_lazy("by number"),
    "group": gettext_lazy("by group"),
}
BADGES = Document(
    name="name-badges",
    title=gettext_lazy("Name badges"),
    about=gettext_lazy("Name, number, team and group, eight to a page; the cut stacks come off in order."),
    when="before",
    names=gettext_lazy("given names and family names, but of nobody whose family says no"),
    build=badges,
    asks=("numbers", "changed", "order"),
    orders=IN_ORDER,
    styles=("cut",),
)
CERTIFICATES = Document(
    name="certificates",
    title=gettext_lazy("Certificates of taking part"),
    about=gettext_lazy("One for everybody who was here, with the contest’s own picture."),
    when="before",
    names=gettext_lazy("everybody’s: the sheet is the family’s own"),
    build=certificates,
    asks=("numbers", "changed", "order"),
    orders=IN_ORDER,
    styles=("award",),
)
