"""What the officials of committees handed in, side by side, for the record.

Whose names: those of the officials, and no contestant's.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.core.committee import Comparison, compared
from scoring.core.committee_words import agreement_in_words
from scoring.core.points import figure
from scoring.core.record import JudgingClass
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material


def build(material: Material, choice: Choice) -> dict[str, Any]:
    found = compared(material.record)
    classes = [
        _class(material, judged, found[judged.number])
        for judged in material.placed_classes
        if judged.number in found and (not choice.classes or judged.number in choice.classes)
    ]
    return {"classes": classes, "pages": max(len(classes), 1)}


def _class(material: Material, judged: JudgingClass, shown: Comparison) -> dict[str, Any]:
    proposal = shown.proposal
    return {
        "number": judged.number,
        "name": judged.name,
        "keys": [(key.official, _as_written(key.placing), _cuts(key.cuts)) for key in shown.keys],
        "words": agreement_in_words(shown.agreement),
        "proposal": (_as_written(proposal.placing), _cuts(proposal.cuts)),
        "total": proposal.total,
        "losses": [
            (key.official, [figure(points) for points in losses])
            for key, losses in zip(shown.keys, shown.losses, strict=True)
        ],
        "by_proposal": [figure(points) for points in shown.by_proposal],
        "pairs": [
            (f"{pair.above} – {pair.below}", [figure(points) for points in pair.said], pair.is_agreed)
            for pair in shown.pairs
        ],
        "agreed": (_as_written(judged.official), _cuts(judged.cuts)) if judged.official and judged.cuts else None,
        "agreed_by": material.agreed_by.get(judged.number, ()),
    }


def _as_written(placing: str) -> str:
    return "–".join(placing)


def _cuts(cuts: tuple[int, ...]) -> str:
    return ", ".join(map(str, cuts))


DOCUMENT = Document(
    name="committees",
    title=gettext_lazy("Committees side by side"),
    about=gettext_lazy(
        "What each official of a committee handed in, how far apart they were, and the key they agreed on: for the "
        "record."
    ),
    when="during",
    names=gettext_lazy("the officials’ of committees"),
    build=build,
    asks=("classes",),
    needs=frozenset({"committees"}),
)
