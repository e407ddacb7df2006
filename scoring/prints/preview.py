"""What of a document a browser is shown: as much as a page can hold. The whole of it is made as a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from scoring.core.explain import counted
from scoring.core.result import Standing
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material

PEOPLE = 6
ROWS = 1500
DOUBTS = 100
ROOMS = 6


def to_look_at(document: Document, material: Material, choice: Choice) -> tuple[Material, Choice, str]:
    """The document's material and choice, cut to what a browser shows, and what to say about it; empty where that is
    all of it."""
    said = []
    if "numbers" in document.asks and "places" not in document.asks:  # where there are places, few have one
        wanted = [person.number for person in material.present if choice.wants(person.number)]
        if len(wanted) > PEOPLE:
            choice = replace(choice, numbers=tuple(wanted[:PEOPLE]))
            said.append(f"the first {PEOPLE} of {counted(len(wanted), 'contestant')}")
    if "lists" in document.asks:
        lists = [s for s in material.result.standings if not choice.lists or _name(s) in choice.lists]
        shown = _that_fit(lists)
        if len(shown) < len(lists):
            choice = replace(choice, lists=tuple(map(_name, shown)))
            said.append(f"{counted(len(shown), 'list')} of {len(lists)}")
    if len(material.rooms) > ROOMS:
        said.append(f"the first {ROOMS} of {counted(len(material.rooms), 'room')}")
        material = replace(material, rooms=material.rooms[:ROOMS])
    if len(material.doubts) > DOUBTS:
        said.append(f"the first {DOUBTS} of {counted(len(material.doubts), 'doubt')}")
        material = replace(material, doubts=material.doubts[:DOUBTS])
    return material, choice, " and ".join(said)


def _that_fit(lists: Sequence[Standing]) -> list[Standing]:
    """The first lists, one at least, as far as their rows fit on a page."""
    rows = 0
    shown: list[Any] = []
    for standing in lists:
        rows += len(standing.individuals) + len(standing.teams)
        if shown and rows > ROWS:
            break
        shown.append(standing)
    return shown


def _name(standing: Standing) -> str:
    return f"{standing.division}/{standing.code}"
