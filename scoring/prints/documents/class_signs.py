"""Class signs: what stands at each ring, with how to behave there.

Whose names: nobody's.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy, ngettext

from scoring.core.explain import listed
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import CAUTIONS, WHO_DECIDES, fit, handled, stacked

AT_ONCE = 2


def build(material: Material, choice: Choice) -> dict[str, Any]:
    divisions = material.division_names
    signs = [
        {
            "number": judged.number,
            "name": judged.name,
            "size": fit(judged.name, (36, 80)),
            "judged_by": listed(divisions[code] for code in judged.divisions),
            "minutes": ngettext("{count} minute.", "{count} minutes.", minutes).format(count=minutes),
            "handled": handled(material.handling.get(judged.number, "")),
        }
        for judged in material.record.classes
        if not judged.void and (not choice.classes or judged.number in choice.classes)
        for minutes in (material.minutes_of(judged),)
    ]
    return {
        "sheets": stacked(signs, AT_ONCE),
        "cautions": CAUTIONS,
        "who_decides": WHO_DECIDES,
        "pages": -(-len(signs) // AT_ONCE),
    }


DOCUMENT = Document(
    name="class-signs",
    title=gettext_lazy("Class signs"),
    about=gettext_lazy(
        "Two to a page, to be hung up at each ring: the class, how long it takes, and whether animals are handled."
    ),
    when="before",
    names=gettext_lazy("nobody’s"),
    build=build,
    asks=("classes",),
    styles=("cut",),
)
