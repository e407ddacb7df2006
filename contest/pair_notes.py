"""Notes on the pairs of a class, typed and read in one way by a contest's reasons rooms and by a practice."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.book.pair_notes import LONGEST_NOTE, Note
from contest.models.pair_notes import NotedPair
from scoring.core.placing import cut_names


class NotesForm(forms.Form):
    """What decided one pair."""

    decided_by = forms.CharField(required=False, max_length=LONGEST_NOTE, label=gettext_lazy("What decided it"))
    grants = forms.CharField(required=False, max_length=LONGEST_NOTE, label=gettext_lazy("Grant the lower animal"))
    faults = forms.CharField(required=False, max_length=LONGEST_NOTE, label=gettext_lazy("Fault the lower animal"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.widget = forms.Textarea(attrs={"rows": 3})


def forms_of(notes: Sequence[Note], data: QueryDict | None) -> list[NotesForm]:
    """A form for each pair of a class, the top one first, called by the pairs' names; `notes` are what is saved."""
    names = cut_names(len(notes) + 1)
    return [NotesForm(data, prefix=name, initial=note._asdict()) for name, note in zip(names, notes, strict=True)]


def notes_in_order(rows: Iterable[NotedPair], pairs: int) -> list[Note]:
    """The note on each of so many pairs, an empty one where there is none."""
    own = {row.pair: note_of(row) for row in rows}
    return [own.get(pair, Note()) for pair in range(1, pairs + 1)]


def note_of(row: NotedPair) -> Note:
    return Note(row.decided_by, row.grants, row.faults)


class PairShown(NamedTuple):
    """One pair of a class: its name, its animals where they may be seen, and what decided it."""

    name: str
    animals: str
    note: Note


def pairs_shown(notes: Sequence[Note], official: str) -> tuple[PairShown, ...]:
    """Each pair of a class with its note; `official` is how it was placed, empty where that may not be seen."""
    said, names = _("{upper} over {lower}"), cut_names(len(notes) + 1)
    animals = [said.format(upper=upper, lower=lower) for upper, lower in pairwise(official)] or [""] * len(notes)
    return tuple(map(PairShown, names, animals, notes))


def fingerprint(notes: Sequence[Note]) -> str:
    """Stands for the notes on a class's pairs as somebody saw them."""
    return hashlib.sha256(json.dumps(notes).encode()).hexdigest()[:16]
