"""On to the next level: who goes, who stands in and who declined, list by list.

Whose names: given names and family names, but of nobody whose family does not want the name shown; they are numbers.
Why somebody declined stands on no paper.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.next_level.words import going_in_words, sections
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import open_name


def build(material: Material, choice: Choice) -> dict[str, Any]:
    chosen = material.next_level
    shown = sections(chosen, open_name) if chosen else []
    return {
        "sections": shown,
        "going": going_in_words(chosen) if chosen and chosen.people else "",
        "pages": 1 + sum(len(section.lines) + 4 for section in shown) // 42,
    }


DOCUMENT = Document(
    name="next-level",
    title=gettext_lazy("On to the next level"),
    about=gettext_lazy("Who goes on, who stands in and who declined, list by list, as chosen under Results."),
    when="after",
    names=gettext_lazy("given names and family names, but of nobody whose family says no"),
    build=build,
    needs=frozenset({"next_level"}),
)
