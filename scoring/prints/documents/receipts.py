"""Receipts for protests: blank, to be filled in by hand, or for those that were noted.

Whose names: that of whoever protests. A receipt is theirs and the superintendent's.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material

A_PAGE = 2500
"""About as many characters of a protest and its decision find room on a page."""


def build(material: Material, choice: Choice) -> dict[str, Any]:
    noted = material.protests if DOCUMENT.order(choice) == "noted" else ()
    receipts: list[dict[str, Any]] = [
        {
            "protest": protest,
            "title": _("Receipt for protest {number} of {all}").format(number=at, all=len(noted)),
            "part": _("Protest {number}").format(number=at),
        }
        for at, protest in enumerate(noted, start=1)
    ]
    if DOCUMENT.order(choice) == "blank":
        receipts = [{"protest": None, "title": _("Receipt for a protest"), "part": ""}]
    return {
        "receipts": receipts,
        "window": material.protest_window,
        "pages": sum(1 + len(protest.text + protest.outcome) // A_PAGE for protest in noted) or 1,
    }


DOCUMENT = Document(
    name="protest-receipts",
    title=gettext_lazy("Receipts for protests"),
    about=gettext_lazy(
        "Who protests against what, who took it and when, what was decided, and the signatures: blank, or of the "
        "protests that were noted under Results."
    ),
    when="during",
    names=gettext_lazy("that of whoever protests"),
    build=build,
    asks=("order",),
    orders={
        "blank": gettext_lazy("one, blank"),
        "noted": gettext_lazy("one for each protest that was noted, filled in"),
    },
    needs=frozenset({"protests"}),
    styles=("receipts",),
)
