"""Teaching material: how a set of reasons is built, and sheets to take notes on. Whose names: nobody's."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material


def build(material: Material, choice: Choice) -> dict[str, Any]:
    """No placing is on them: they lie about while the class is still judged."""
    classes = [c for c in material.reasons_classes if not choice.classes or c.number in choice.classes]
    return {"classes": classes, "pages": 1 + len(classes)}


DOCUMENT = Document(
    name="practice",
    title=gettext_lazy("Practice sheets for reasons"),
    about=gettext_lazy("How a set of reasons is built, and for each reasons class a sheet to take notes on."),
    when="before",
    names=gettext_lazy("nobody’s"),
    build=build,
    asks=("classes",),
    styles=("practice",),
)
