"""What decided each pair of a class, written by the class's official so that every room scores against the same facts.

Notes give the placing away. So an official sees the notes of a class that nobody else has written; the superintendent
sees and may change all of them, and each room those of its classes where it may see the placing.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from contest.changes import changes, take_turn
from contest.models import Contest, JudgingClass, Touches
from contest.reading import NotPossible
from contest.trail import record_change
from reasons.models import PairNote
from scoring.placing import PAIR_NAMES
from scoring.standings import tallied

FIELDS = ("decided_by", "grants", "faults")
Note = dict[str, str]
"""What is noted on a pair, by the names in FIELDS."""


class Elsewhere(NotPossible):
    """Raised where somebody else wrote, or has changed, the notes since whoever saves them saw them."""


class PairShown(NamedTuple):
    """One pair of a class: its name, its animals where they may be seen, and what decided it."""

    name: str
    animals: str
    note: Note


class ClassShown(NamedTuple):
    """A class with its notes. `writer` is who wrote them first; `pk` is the class's own. `is_others`: to whoever it is
    shown, it is another official's, and nothing of it is here."""

    pk: int
    number: int
    name: str
    official: str
    cuts: str
    writer: str
    pairs: tuple[PairShown, ...]
    is_others: bool = False

    @property
    def written(self) -> bool:
        return any(any(pair.note.values()) for pair in self.pairs)

    @property
    def seen(self) -> str:
        """Stands for the notes as they are, so that nobody overwrites what they have not seen."""
        return seen([pair.note for pair in self.pairs])

    def to_official(self, name: str) -> ClassShown:
        """As an official may see it: without the placing, which its own official has on paper, and without what
        another has written."""
        is_others = bool(self.writer) and self.writer.casefold() != name.casefold()
        nothing = dict.fromkeys(FIELDS, "")
        pairs = tuple(PairShown(pair.name, "", nothing if is_others else pair.note) for pair in self.pairs)
        return self._replace(official="", cuts="", writer="", pairs=pairs, is_others=is_others)


def seen(notes: Sequence[Note]) -> str:
    return hashlib.sha256(json.dumps([[note[name] for name in FIELDS] for note in notes]).encode()).hexdigest()[:16]


def classes_shown(contest: Contest, numbers: set[int] | None = None) -> list[ClassShown]:
    """The reasons classes with their placings, cuts and notes, for whoever may see them."""
    notes: defaultdict[int, dict[int, PairNote]] = defaultdict(dict)
    for note in PairNote.objects.filter(judging_class__contest=contest).select_related("judging_class"):
        notes[note.judging_class.number][note.pair] = note
    keys = dict(contest.classes.values_list("number", "pk"))
    found = []
    for judged in tallied(contest).record.classes:
        if not judged.reasons or judged.void or (numbers is not None and judged.number not in numbers):
            continue
        official = judged.official or ""
        own = notes[judged.number]
        pairs = tuple(
            PairShown(
                name,
                f"{official[place - 1]} over {official[place]}" if official else "",
                {field: getattr(own.get(place), field, "") for field in FIELDS},
            )
            for place, name in enumerate(PAIR_NAMES, start=1)
        )
        cuts = ", ".join(map(str, judged.cuts)) if judged.cuts else ""
        writer = own[min(own)].by if own else ""
        found.append(ClassShown(keys[judged.number], judged.number, judged.name, official, cuts, writer, pairs))
    return found


@changes
def write_notes(
    judging_class: JudgingClass, notes: Sequence[Note], by: str, was: str, by_superintendent: bool = False
) -> None:
    """Keep what decided each of a class's three pairs. `was` is the `seen` of what whoever writes had before them.

    The class becomes that of the official who writes first. Raises Elsewhere for anybody else but the superintendent,
    and where the notes are not what `was` says.
    """
    contest = judging_class.contest
    take_turn(contest.pk)
    rows = {note.pair: note for note in PairNote.objects.filter(judging_class=judging_class)}
    writer = rows[min(rows)].by if rows else by
    if writer.casefold() != by.casefold() and not by_superintendent:
        raise Elsewhere("somebody else has written the notes on this class; ask the superintendent")
    now = [{name: getattr(rows.get(pair), name, "") for name in FIELDS} for pair in (1, 2, 3)]
    if seen(now) != was:
        raise Elsewhere("the notes were changed meanwhile")
    for pair, note in enumerate(notes, start=1):
        PairNote.objects.update_or_create(judging_class=judging_class, pair=pair, defaults={**note, "by": writer})
    what = f"notes on the pairs of class {judging_class.number} written"
    record_change(contest, by, what, before=now, after=list(notes), touches=Touches.NOTHING)
