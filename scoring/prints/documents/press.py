"""Champions for the press: who is first in each list, on one page.

Whose names: given names and family names, but of nobody whose family does not want the name shown; they are numbers.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.documents.awards import Winner, awards_of
from scoring.prints.material import Material
from scoring.prints.words import fit, open_name

A_LINE = 72
"""Letters of a champion that stand on a line, at the usual size."""
A_LIST = 38
"""And of a list."""
CLOSE = (24, 36)
"""Lines that fit on the page at each size but the smallest."""
MOST = 56
"""With more lines than that, teams come without their members."""


def build(material: Material, choice: Choice) -> dict[str, Any]:
    firsts = [
        {
            "list": award.title,
            "of": award.of,
            "who": _who(winner),
            "team": winner.team if winner.person else "",
            "members": [_member(person) for person in winner.members],
            "shared": winner.shared,
            "total": winner.total,
        }
        for award in awards_of(material, choice)
        for winner in award.winners
        if winner.rank == 1
    ]
    if _lines(firsts) > MOST:
        for row in firsts:
            row["members"] = []
    return {"firsts": firsts, "close": fit(" " * _lines(firsts), CLOSE), "pages": 1}


def _lines(firsts: list[dict[str, Any]]) -> int:
    champions = (len(f"{row['who']}, {row['team']} {', '.join(row['members'])}") // A_LINE for row in firsts)
    lists = (len(f"{row['list']}, {row['of']}") // A_LIST for row in firsts)
    return len(firsts) + sum(map(max, champions, lists))


def _who(winner: Winner) -> str:
    if winner.person is None:
        return winner.team
    return open_name(winner.person) or _("Contestant {number}").format(number=winner.person.number)


def _member(person: Any) -> str:
    return open_name(person) or _("number {number}").format(number=person.number)


DOCUMENT = Document(
    name="champions",
    title=gettext_lazy("Champions for the press"),
    about=gettext_lazy("Who is first in each list, individuals and teams, on one page."),
    when="after",
    names=gettext_lazy("given names and family names, but of nobody whose family says no"),
    build=build,
    asks=("lists", "kinds"),
)
