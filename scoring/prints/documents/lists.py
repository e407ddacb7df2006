"""Standings and results: the lists, with ranks, totals and what decided a tie.

Whose names: what the contest shows in public (numbers, initials or names), and nobody's whose family says no. These
lists are posted.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.core.explain import standardised_note
from scoring.core.standardising import is_standardising
from scoring.prints.choice import INDIVIDUALS, TEAMS, Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import chosen_lists, contestants, list_title, ordinal
from scoring.prints.words import teams as teams_counted
from scoring.standings.rows import individual_rows, provisional, team_rows

SHORT = 20
"""Rows of a list that shares a page with others, whole; longer ones begin on their own."""


def standings(material: Material, choice: Choice) -> dict[str, Any]:
    """The lists as they stand, whatever is still open."""
    return {**_lists(material, choice), "standing": True, "release": ""}


def results(material: Material, choice: Choice) -> dict[str, Any]:
    release = material.released
    return {
        **_lists(material, choice),
        "standing": False,
        "release": "" if release is None else _release(release),
    }


def _release(number: int) -> str:
    if number == 1:
        return _("released")
    return _("{ordinal} release, corrected").format(ordinal=ordinal(number), number=number)


def _lists(material: Material, choice: Choice) -> dict[str, Any]:
    record, result = material.record, material.result
    sections: list[dict[str, Any]] = []
    for standing in chosen_lists(material, choice):
        people = individual_rows(record, result, standing) if choice.of_kind(INDIVIDUALS) else []
        teams = team_rows(record, result, standing) if choice.of_kind(TEAMS) else []
        # A column that would be empty in every row is left out.
        names, in_teams, notes = (any(row[column] for row in people) for column in (2, 3, 5))
        sections.append(
            {
                "title": list_title(material, standing),
                "individuals": people,
                "individuals_counted": contestants(len(people)),
                "names": names,
                "in_teams": in_teams,
                "notes": notes,
                "teams": teams,
                "teams_counted": teams_counted(len(teams)),
                "team_notes": any(row[4] for row in teams),
                "short": len(people) + len(teams) <= SHORT,
                "provisional": provisional(record, result, standing.division),
            }
        )
    if not choice.lists:
        sections = [section for section in sections if section["individuals"] or section["teams"]]
    rows = sum(len(section["individuals"]) + len(section["teams"]) for section in sections)
    return {
        "sections": sections,
        "standardised": standardised_note() if is_standardising(record) else "",
        "pages": len(sections) + rows // 42,
    }


STANDINGS = Document(
    name="standings",
    title=gettext_lazy("Standings"),
    about=gettext_lazy("The lists as they are now, marked provisional."),
    when="during",
    names=gettext_lazy("as the contest shows people"),
    build=standings,
    asks=("lists", "kinds"),
)
RESULTS = Document(
    name="results",
    title=gettext_lazy("Results"),
    about=gettext_lazy("Every list with its ranks, totals and what decided a tie, to be posted."),
    when="after",
    names=gettext_lazy("as the contest shows people"),
    build=results,
    asks=("lists", "kinds", "address"),
    needs=frozenset({"public"}),
)
