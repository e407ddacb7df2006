"""What a family is told of each class beside its score: what the official noted, and what most of the division did.

Made of what was announced, and told after it alone: notes give the placing away.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from contest.book.pair_notes import Note
from contest.models import Contest
from contest.web.revisions import once_a_version
from reasons.day.pages import classes_shown
from scoring.announced.released import Released
from scoring.core.common import had_over, most_did, placings_of
from scoring.core.explain import noted, told_to
from scoring.core.placing import lost_by
from scoring.core.record import JudgingClass
from scoring.standings.sheet_lines import ClassLine, ContestantSheet, ToldPair


def telling_of(contest: Contest, announced: Released) -> Telling:
    """Made once for each state of the contest: hundreds of families open their sheets at the same minute."""
    version = f"{contest.revision}-{announced.version}"
    return once_a_version(f"telling-{contest.pk}", version, lambda: Telling(contest, announced))


class Telling:
    """Serves the sheets of one contest; what several of them need is worked out once."""

    def __init__(self, contest: Contest, announced: Released) -> None:
        self._classes = {judged.number: judged for judged in announced.record.classes}
        divisions = {person.number: person.division for person in announced.record.contestants if person.present}
        cards: dict[tuple[str, int], list[str]] = {}
        for card in announced.record.cards:
            if card.number in divisions:
                cards.setdefault((divisions[card.number], card.class_number), []).append(card.placing)
        self._placings = {where: placings_of(placed) for where, placed in cards.items()}
        self.notes: dict[int, list[Note]] = {
            shown.number: [pair.note for pair in shown.pairs]
            for shown in classes_shown(contest)
            # Notes are on the pairs of the key as it is now: of another one they would tell something else.
            if shown.number in self._classes and shown.official == self._classes[shown.number].official
        }

    def told(self, sheet: ContestantSheet | None) -> ContestantSheet | None:
        """A sheet with all that is told beside its scores."""
        if sheet is None:
            return None
        return replace(sheet, classes=tuple(self._class(sheet.division, line) for line in sheet.classes))

    def _class(self, division: str, line: ClassLine) -> ClassLine:
        judged = self._classes[line.number]
        if line.state or not judged.official or not judged.cuts:
            return line
        placings = self._placings.get((division, line.number), Counter())
        pairs: tuple[ToldPair, ...] = ()
        if line.placed:
            lost = lost_by(judged.official, judged.cuts, line.card)
            pairs = tuple(
                ToldPair(words, self._note(judged, pair.above, pair.below), had_over(placings, pair.above, pair.below))
                for pair, words in zip(lost, told_to(judged.official, judged.cuts, line.card), strict=True)
            )
        return replace(line, told=pairs, most=most_did(placings))

    def _note(self, judged: JudgingClass, above: str, below: str) -> str:
        """What the official noted on a pair of neighbours; empty for others."""
        place = (judged.official or "").find(above + below)
        notes = self.notes.get(judged.number, [])
        if place < 0 or place >= len(notes):
            return ""
        return noted(*notes[place])
