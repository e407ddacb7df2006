"""Notes on a class in the trade's layout: a column an animal, and a row for each thing that is looked for."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

ROWS: dict[str, Promise | str] = {
    "know": _("How to know it again"),
    "good": _("Good"),
    "faults": _("Faults"),
}
"""What is noted of each animal, by its code."""


def field_name(animal: str, row: str) -> str:
    """What the field of a note is called in a form."""
    return f"note-{animal}-{row}"
