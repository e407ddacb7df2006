"""Which names no font here can draw, and on which documents that would show: told before anything is printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from django.utils.html import escape
from django.utils.translation import gettext as _

from scoring.core.explain import listed, some_of
from scoring.core.tally import tally
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.fonts import LEFT_OUT, packages_for, undrawn
from scoring.prints.material import Material
from scoring.prints.rendering import html_of
from scoring.prints.words import full_name


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Names that cannot be drawn as they are, the titles of the documents they stand on, and the packages of fonts
    that have their letters."""

    names: tuple[str, ...]
    documents: tuple[str, ...]
    packages: tuple[str, ...]

    @property
    def which(self) -> str:
        return some_of(self.names)

    @property
    def said(self) -> str:
        """All of it in one sentence or two, for a terminal."""
        words = _("No font here can draw {names}: where it stands on {documents}, “{mark}” is printed. {remedy}")
        return words.format(names=self.which, documents=self.where, mark=self.mark, remedy=self.remedy)

    @property
    def where(self) -> str:
        return listed(list(self.documents))

    @property
    def remedy(self) -> str:
        words = _("Install {packages} (Debian’s names), or any font that has these letters.")
        return words.format(packages=listed(list(self.packages)))

    @property
    def mark(self) -> str:
        return LEFT_OUT


def left_out(material: Material) -> LeftOut | None:
    """What of a contest's names cannot be drawn, on any document; None where all can."""
    letters = undrawn(" ".join(name for name, _number in _names(material)))
    if not letters:
        return None
    few = _only_those(material, letters)
    shown = (document for document in DOCUMENTS.values() if letters & set(_whole(document, few)))
    return _told(material, letters, tuple(str(document.title) for document in shown))


def left_out_of(document: Document, material: Material, choice: Choice) -> LeftOut | None:
    """What of the names on one document, as it was chosen, cannot be drawn; None where all can.

    Raises WrongChoice.
    """
    if not undrawn(" ".join(name for name, _number in _names(material))):
        return None
    page = html_of(document, material, choice, as_named=True)[0]
    return _told(material, undrawn(page), (str(document.title),), page)


def _told(material: Material, letters: frozenset[str], documents: tuple[str, ...], page: str = "") -> LeftOut | None:
    names = dict.fromkeys(
        _("{name} (number {number})").format(name=name, number=number) if number else name
        for name, number in _names(material)
        if letters & set(name) and (not page or escape(name) in page)
    )
    return LeftOut(tuple(names), documents, tuple(packages_for(letters))) if names else None


def _whole(document: Document, material: Material) -> str:
    return html_of(document, material, Choice(), as_named=True)[0]


def _names(material: Material) -> Iterator[tuple[str, int]]:
    """Everything that somebody named, and the number of whom has it; 0 for what has none."""
    record = material.record
    tables = (material.ribbons, *material.ribbons_of_sets.values())
    ribbons = [ribbon for table in tables for ribbon in table.values()]
    for person in record.contestants:
        yield full_name(person), person.number
    for text in (
        *(person.team for person in record.contestants),
        record.rules.name,
        record.rules.place,
        *(division.name for division in record.divisions),
        *(category.name for category in record.categories),
        *(judged.name for judged in record.classes),
        *(part.name for part in record.parts),
        *material.officials,
        *(room.name for room in material.rooms),
        *(official for room in material.rooms for official in room.officials),
        *(text for ribbon in ribbons for text in (ribbon.name, ribbon.colour)),
        *(of.name for of in record.sets),
        *(member.team for member in record.members),
        *material.say.values(),
        *material.say_teams.values(),
    ):
        yield text, 0


def _only_those(material: Material, letters: frozenset[str]) -> Material:
    """The contest with none but the people whose name or team cannot be drawn: what they stand on is soon made."""
    record = material.record
    people = tuple(
        person
        for person in record.contestants
        if letters & set(full_name(person) + person.team + material.say.get(person.number, ""))
    )
    numbers = {person.number for person in people}
    few = replace(
        record,
        contestants=people,
        cards=tuple(card for card in record.cards if card.number in numbers),
        reasons=tuple(score for score in record.reasons if score.number in numbers),
        marks=tuple(mark for mark in record.marks if mark.number in numbers),
        choices=tuple(choice for choice in record.choices if choice.number in numbers),
        decided=(),
    )
    return replace(material, record=few, result=tally(few), arrived=material.arrived & numbers)
