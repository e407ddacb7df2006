"""The helpers' join sheet: for each duty its code, its address and a QR code that leads in.

Whose names: nobody's. Whoever has the sheet can come in, so it says where it may hang.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material


def build(material: Material, choice: Choice) -> dict[str, Any]:
    return {
        "ways_in": [{"way": way, "address": way.address.split("?")[0]} for way in material.ways_in],
        "pages": len(material.ways_in),
    }


DOCUMENT = Document(
    name="join-sheet",
    title=gettext_lazy("Helpers’ join sheets"),
    about=gettext_lazy("A page for each duty, with its code and a QR code that leads in."),
    when="before",
    names=gettext_lazy("nobody’s"),
    build=build,
    asks=("address",),
    needs=frozenset({"ways_in"}),
)
