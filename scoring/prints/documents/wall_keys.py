"""The keys of all classes on one sheet, to be posted.

Whose names: nobody's. Only what everybody may know by now stands on it: before the release the keys that are shown for
a critique, after it those that were announced.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.utils.translation import gettext_lazy

from contest.overview.pages import class_entries
from scoring.core.questions import in_fives
from scoring.prints.answers import Answers
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material, PostedKey
from scoring.prints.words import fit

NOT_YET = PostedKey("", None)


def build(material: Material, choice: Choice) -> dict[str, Any]:
    posted = material.posted_keys
    shown = []
    for judged in material.record.classes:
        key = NOT_YET if judged.void else posted.get(judged.number, NOT_YET)
        shown.append(replace(judged, official=key.official or None, cuts=key.cuts))
    still_open = {number: key.open for number, key in posted.items() if key.open}
    entries: list[dict[str, Any]] = [
        {"judged": entry, "size": fit(entry.name, (48,)), "corrected": posted.get(entry.number, NOT_YET).corrected}
        for entry in class_entries(replace(material.record, classes=tuple(shown), cards=()), still_open, {})
        if (entry.places or entry.key) and (not choice.classes or entry.number in choice.classes)
    ]
    valued = material.released is not None and not choice.classes
    parts = [
        {"name": part.name, "worths": list(zip(part.animals, part.values, strict=True))}
        for part in material.record.parts
        if valued and part.values is not None
    ]
    answers = Answers(material)
    asked = [
        {"name": part.name, "rows": _in_tens(found.questions.key or "")}
        for part in material.record.parts
        if valued and (found := answers.as_scored(part.code))
    ]
    return {
        "classes": entries if any(entry["judged"].key for entry in entries) or parts or asked else [],
        "parts": parts,
        "asked": asked,
        "released": material.released is not None,
        "held_back": material.held_back,
        "pages": 1 + len(entries) // 14,
    }


def _in_tens(key: str) -> list[tuple[str, str]]:
    """Ten answers a line, with the numbers of the first and last."""
    lines = [(at, key[at : at + 10]) for at in range(0, len(key), 10)]
    return [(f"{at + 1}–{at + len(line)}", in_fives(line)) for at, line in lines]


DOCUMENT = Document(
    name="keys",
    title=gettext_lazy("Keys of all classes"),
    about=gettext_lazy(
        "Official placings and cuts on one sheet for the wall, what keeping each animal was worth, and answer keys: "
        "those that were released, before that the keys that are shown for a critique, and no others."
    ),
    when="after",
    names=gettext_lazy("nobody’s"),
    build=build,
    asks=("classes",),
    needs=frozenset({"keys", "answers"}),
)
