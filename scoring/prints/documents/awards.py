"""Everything about the awards: who gets which ribbon, labels for the ribbons, award sheets, and what is announced.

Whose names: an award sheet is given to the family and bears the name whatever the family says about showing it.
The ribbons list lies on the table, labels hang on ribbons and a script is read aloud: they name nobody whose family
does not want the name shown, and say the number instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from scoring.core.explain import how_ties_fell, standardised_note
from scoring.core.points import figure
from scoring.core.ranking import SHARED
from scoring.core.record import Contestant
from scoring.core.result import IndividualRow, Standing, TeamRow
from scoring.core.sets import plain_division
from scoring.core.standardising import is_standardising
from scoring.prints.changed import Changes
from scoring.prints.choice import INDIVIDUALS, LABELS, TEAMS, Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.pictures import picture_digest
from scoring.prints.words import (
    KINDS_OF_PLACES,
    chosen_lists,
    contestants,
    fit,
    in_groups,
    list_title,
    name_or_number,
    open_name,
    ordinal,
    people_of,
    teams,
)
from scoring.standings.listing import is_standardised

USUAL_PLACES = 10
SHORT = 12
"""Rows that stay together on a page."""
PER_SHEET = {"a4-24": 24, "a4-21": 21, "a4-14": 14, "letter-30": 30, "letter-10": 10}
USUAL_LABELS = {"a4": "a4-24", "letter": "letter-30"}


@dataclass(frozen=True, slots=True)
class Winner:
    """Who has a place in a list: a contestant, or a team with the members who count."""

    rank: int
    place: str
    colour: str
    shared: bool
    total: str
    note: str
    team: str
    person: Contestant | None = None
    members: tuple[Contestant, ...] = ()

    @property
    def place_words(self) -> str:
        return _("{place}, shared").format(place=self.place) if self.shared else self.place


@dataclass(frozen=True, slots=True)
class Award:
    """One list that awards are given for. `standardised` says so where standardised reasons count in it."""

    title: str
    division: str
    kind: str
    winners: tuple[Winner, ...]
    standardised: str = ""

    @property
    def of(self) -> str:
        """Whom it lists, for people to read."""
        return str(KINDS_OF_PLACES[self.kind])


def awards_of(material: Material, choice: Choice) -> list[Award]:
    """The lists that awards are given for, each with its first places.

    In the contest's own order of them where it has one, unless lists were chosen; else in the order of its lists.
    Whoever shares the last place has it too, so there may be more winners than places.
    """
    awards = [
        _award(material, standing, kind, places)
        for standing, kind, places in _lists(material, choice)
        if choice.of_kind(kind)
    ]
    return [award for award in awards if award.winners]


def _lists(material: Material, choice: Choice) -> list[tuple[Standing, str, int]]:
    chosen = chosen_lists(material, choice)
    if material.award_lists and not choice.lists:
        by_name = {(standing.division, standing.code): standing for standing in chosen}
        return [
            (by_name[award.division, award.code], award.kind, choice.places or award.places)
            for award in material.award_lists
            if (award.division, award.code) in by_name
        ]
    return [
        (standing, kind, choice.places or max(material.ribbons_of(standing.division), default=USUAL_PLACES))
        for standing in chosen
        for kind in (INDIVIDUALS, TEAMS)
    ]


def _award(material: Material, standing: Standing, kind: str, places: int) -> Award:
    people = people_of(material)
    ties = how_ties_fell(material.record, material.result, standing)[kind == TEAMS]
    winners, ribbons = [], material.ribbons_of(standing.division)
    place = pgettext("an ordinal in figures", "{ordinal} place")
    rows: Sequence[IndividualRow | TeamRow] = standing.individuals if kind == INDIVIDUALS else standing.teams
    for row, tie in zip(rows, ties, strict=True):
        if row.rank > places:
            break
        ribbon = ribbons.get(row.rank)
        person = people[row.number] if isinstance(row, IndividualRow) else None
        counting = row.counting if isinstance(row, TeamRow) else ()
        winners.append(
            Winner(
                rank=row.rank,
                place=ribbon.name if ribbon else place.format(ordinal=ordinal(row.rank)),
                colour=ribbon.colour if ribbon else "",
                shared=row.tie == SHARED,
                total=figure(row.total),
                note=tie,
                team=row.team,
                person=person,
                members=tuple(people[number] for number in counting),
            )
        )
    note = standardised_note() if is_standardised(material.record, standing) else ""
    return Award(list_title(material, standing), standing.division, kind, tuple(winners), note)


def ribbons(material: Material, choice: Choice) -> dict[str, Any]:
    """List by list, or ribbon by ribbon as they lie on the table; each in the order of the table of ribbons."""
    by_ribbon = RIBBONS.order(choice) == "ribbon"
    places = _given(material, choice, RIBBONS)
    sections: dict[Any, dict[str, Any]] = {}
    for award, winner in places:
        key = (winner.place, winner.colour) if by_ribbon else (award.title, award.kind)
        title, beside = (winner.place, winner.colour) if by_ribbon else (award.title, award.of)
        section = sections.setdefault(key, {"title": title, "beside": beside, "rows": [], "kinds": set()})
        section["kinds"].add(award.kind)
        section["rows"].append(
            {
                "place": winner.place_words,
                "colour": winner.colour,
                "list": award.title,
                "kind": award.of,
                "shared": winner.shared,
                "number": winner.person.number if winner.person else "",
                "who": open_name(winner.person) if winner.person else winner.team,
                "team": winner.team if winner.person else _numbers(winner),
                "total": winner.total,
            }
        )
    for section in sections.values():
        section["colours"] = not by_ribbon and any(row["colour"] for row in section["rows"])
        section["short"] = len(section["rows"]) <= SHORT
        section["teams_only"] = section["kinds"] == {TEAMS}
    needed = Counter((winner.rank, winner.place, winner.colour) for _, winner in places)
    return {
        "sections": list(sections.values()),
        "by_ribbon": by_ribbon,
        "needed": [(place, colour, number) for (_, place, colour), number in sorted(needed.items())],
        "pages": 1 + (len(places) + 4 * len(sections)) // 40,
    }


def ribbon_labels(material: Material, choice: Choice) -> dict[str, Any]:
    grid = choice.labels if choice.labels in LABELS else USUAL_LABELS[choice.paper]
    labels: list[dict[str, Any] | None] = [None] * choice.skip
    labels += [_label(award, winner) for award, winner in _given(material, choice, RIBBON_LABELS)]
    return {
        "sheets": in_groups(labels, PER_SHEET[grid]),
        "grid": grid,
        "right": choice.right,
        "down": choice.down,
        "paper": grid.split("-")[0],
        "pages": -(-len(labels) // PER_SHEET[grid]),
    }


def _label(award: Award, winner: Winner) -> dict[str, Any]:
    who = open_name(winner.person) if winner.person else winner.team
    return {
        "place": winner.place_words,
        "place_size": fit(f"{winner.place_words} {winner.colour}".strip(), (16, 24)),
        "colour": winner.colour,
        "list": award.title,
        "kind": award.of,
        "number": winner.person.number if winner.person else "",
        "who": who,
        "size": fit(who, (20, 28, 44)),
    }


def _given(material: Material, choice: Choice, document: Document) -> list[tuple[Award, Winner]]:
    """Every ribbon that is given, list by list or ribbon by ribbon."""
    places = [(award, winner) for award in awards_of(material, choice) for winner in award.winners]
    if document.order(choice) == "ribbon":
        places.sort(key=lambda place: place[1].rank)
    return places


def award_sheets(material: Material, choice: Choice) -> dict[str, Any]:
    points = _("{total} points, provisional") if material.released is None else _("{total} points")
    contest_size = fit(material.record.rules.name, (45, 90))
    news, seal = Changes(material, choice), picture_digest(material.picture)
    sheets: list[dict[str, Any]] = [
        {
            "contest_size": contest_size,
            "name": name,
            "size": fit(name, (22, 32, 44, 64, 130)),
            "of": of,
            "of_size": fit(", ".join(of), (60, 130, 300)),
            "number": winner.person.number if winner.person else 0,
            "place": winner.place,
            "place_size": fit(winner.place, (24,)),
            "shared": winner.shared,
            "list": award.title,
            "list_size": fit(award.title, (60, 130)),
            "kind": award.kind,
            "points": points.format(total=winner.total),
            "standardised": award.standardised,
            "rank": winner.rank,
        }
        for award in awards_of(material, choice)
        for winner in award.winners
        if _wanted(winner, choice)
        for name, of in (_named(winner),)
    ]
    sheets = [
        sheet
        for sheet in sheets
        if news.keep(f"{sheet['list']}/{sheet['kind']}/{sheet['number'] or sheet['name']}", (sheet, seal))
    ]
    for sheet in sheets:
        sheet["roomy"] = not any(sheet[part] for part in ("contest_size", "size", "of_size", "place_size", "list_size"))
    if AWARD_SHEETS.order(choice) == "place":
        sheets.sort(key=lambda sheet: -sheet["rank"])
    return {"said": news.said, "sheets": sheets, "pages": len(sheets)}


def script(material: Material, choice: Choice) -> dict[str, Any]:
    """From the last place to the first, as awards are read."""
    sections: list[dict[str, Any]] = []
    for award in awards_of(material, choice):
        said = []
        for winner in reversed(award.winners):
            name = open_name(winner.person) if winner.person else winner.team
            key = (plain_division(award.division), winner.team)
            said.append(
                {
                    "place": winner.place,
                    "shared": winner.shared,
                    "number": winner.person.number if winner.person else "",
                    "name": name,
                    "say": (material.say.get(winner.person.number, "") if name else "")
                    if winner.person
                    else material.say_teams.get(key, ""),
                    "of": [(winner.team, material.say_teams.get(key, ""))] if winner.person and winner.team else [],
                    "members": [
                        (
                            _("number {number}").format(number=person.number),
                            open_name(person),
                            material.say.get(person.number, ""),
                        )
                        for person in winner.members
                    ],
                    "total": winner.total,
                    "note": winner.note,
                }
            )
        sections.append(
            {
                "title": award.title,
                "kind": award.of,
                "counted": teams(len(said)) if award.kind == TEAMS else contestants(len(said)),
                "short": len(said) <= SHORT,
                "rows": said,
            }
        )
    return {
        "sections": sections,
        "pages": max(1, sum(len(section["rows"]) + 1 for section in sections) // 11),
        "standardised": is_standardising(material.record),
    }


def _wanted(winner: Winner, choice: Choice) -> bool:
    if winner.person:
        return choice.wants(winner.person.number)
    return not choice.numbers or any(choice.wants(person.number) for person in winner.members)


def _named(winner: Winner) -> tuple[str, list[str]]:
    """Who gets the sheet, and what they are of: a contestant of a team, or a team of its members."""
    if winner.person:
        return name_or_number(winner.person), [winner.team] if winner.team else []
    return winner.team, [name_or_number(person) for person in winner.members]


def _numbers(winner: Winner) -> str:
    return ", ".join(str(person.number) for person in winner.members)


ORDERS = {"list": gettext_lazy("list by list"), "ribbon": gettext_lazy("ribbon by ribbon, as they lie on the table")}

RIBBONS = Document(
    name="ribbons",
    title=gettext_lazy("Ribbons list"),
    about=gettext_lazy("Who gets which place in which list, and how many ribbons of each kind are needed."),
    when="after",
    names=gettext_lazy("given names and family names, but of nobody whose family says no"),
    build=ribbons,
    asks=("lists", "kinds", "places", "order"),
    orders=ORDERS,
)
RIBBON_LABELS = Document(
    name="ribbon-labels",
    title=gettext_lazy("Labels for ribbons"),
    about=gettext_lazy("Peel-off labels, one a ribbon."),
    when="after",
    names=gettext_lazy("given names and family names, but of nobody whose family says no"),
    build=ribbon_labels,
    asks=("lists", "kinds", "places", "order", "labels", "skip", "right", "down"),
    orders=ORDERS,
    styles=("labels",),
)
AWARD_SHEETS = Document(
    name="award-sheets",
    title=gettext_lazy("Award sheets"),
    about=gettext_lazy(
        "A certificate for each place, with the contest’s own picture; all of them, or for some numbers."
    ),
    when="after",
    names=gettext_lazy("everybody’s: the sheet is the family’s own"),
    build=award_sheets,
    asks=("lists", "kinds", "places", "numbers", "changed", "order"),
    orders={
        "list": gettext_lazy("list by list, the first place first"),
        "place": gettext_lazy("the last places of all lists first"),
    },
    styles=("award",),
)
SCRIPT = Document(
    name="script",
    title=gettext_lazy("Announcer’s script"),
    about=gettext_lazy("Every list from its last place to its first, with names as they are said."),
    when="after",
    names=gettext_lazy("given names and family names, but of nobody whose family says no"),
    build=script,
    asks=("lists", "kinds", "places"),
)
