"""What of a document a browser is shown: as much as a page can hold. The whole of it is made as a file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from scoring.core.explain import listed
from scoring.core.points import in_thousands
from scoring.core.record import JudgingClass
from scoring.core.result import Standing
from scoring.prints.choice import Choice
from scoring.prints.choosing import with_members
from scoring.prints.document import Document
from scoring.prints.documents import covers
from scoring.prints.material import Material
from scoring.prints.words import contestants

PEOPLE = 6
ROWS = 1500
DOUBTS = 100
ROOMS = 6
STACKS = 60
SPARES = 12


def to_look_at(document: Document, material: Material, choice: Choice) -> tuple[Material, Choice, str]:
    """The document's material and choice, cut to what a browser shows, and what to say about it; empty where that is
    all of it. Raises WrongChoice."""
    said = []
    choice = replace(with_members(material, choice), changed=False)
    chosen_or_all = choice.numbers or not document.blank_for_nobody
    if "numbers" in document.asks and "places" not in document.asks and chosen_or_all:
        # Where there are places, few have one.
        wanted = [person.number for person in material.present if choice.wants(person.number)]
        if len(wanted) > PEOPLE:
            choice = replace(choice, numbers=tuple(wanted[:PEOPLE]))
            said.append(_("the first {count} of {all}").format(count=PEOPLE, all=contestants(len(wanted))))
    if "lists" in document.asks:
        lists = [s for s in material.result.standings if choice.wants_list(s)]
        shown = _that_fit(lists)
        if len(shown) < len(lists):
            choice = replace(choice, lists=tuple(map(_name, shown)))
            words = ngettext("{count} list of {all}", "{count} lists of {all}", len(shown))
            said.append(words.format(count=len(shown), all=len(lists)))
    if document is covers.DOCUMENT:
        of_class = Counter(of.number for of, *_ in covers.stacks_of(material, choice) if isinstance(of, JudgingClass))
        before = list(accumulate(of_class.values()))
        shown_of = [number for number, stacks in zip(of_class, before, strict=True) if stacks <= STACKS]
        if len(shown_of) < len(of_class):
            choice = replace(choice, classes=tuple(shown_of or [*of_class][:1]))
            words = ngettext("{count} class of {all}", "{count} classes of {all}", len(choice.classes))
            said.append(words.format(count=len(choice.classes), all=len(of_class)))
    if "spares" in document.asks and choice.spares > SPARES:
        words = ngettext("the first {first} of {count} spare", "the first {first} of {count} spares", choice.spares)
        said.append(words.format(first=SPARES, count=choice.spares))
        choice = replace(choice, spares=SPARES)
    if len(material.rooms) > ROOMS:
        words = ngettext("the first {first} of {count} room", "the first {first} of {count} rooms", len(material.rooms))
        said.append(words.format(first=ROOMS, count=len(material.rooms)))
        material = replace(material, rooms=material.rooms[:ROOMS])
    if len(material.doubts) > DOUBTS:
        count = len(material.doubts)
        words = ngettext("the first {first} of {count} doubt", "the first {first} of {count} doubts", count)
        said.append(words.format(first=DOUBTS, count=in_thousands(count)))
        material = replace(material, doubts=material.doubts[:DOUBTS])
    return material, choice, listed(said)


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
