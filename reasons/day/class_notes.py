"""What decided each pair of a class, written by the class's official so that every room scores against the same facts.

Notes give the placing away. So an official sees the notes of a class that nobody else has written; the superintendent
sees and may change all of them, and each room those of its classes where it may see the placing.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from contest.book.pair_notes import Note
from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import JudgingClass, Touches
from contest.pair_notes import fingerprint, notes_in_order
from contest.trail import record_change, sentence
from reasons.models import PairNote


class Elsewhere(NotPossible):
    """Raised where somebody else wrote, or has changed, the notes since whoever saves them saw them."""


@changes
def write_notes(
    judging_class: JudgingClass, notes: Sequence[Note], by: str, was: str, by_superintendent: bool = False
) -> None:
    """Keep what decided each of a class's pairs. `was` is the fingerprint of what whoever writes had before them.

    The class becomes that of the official who writes first. Raises Elsewhere for anybody else but the superintendent,
    where the notes are not what `was` says, and where the class has not as many pairs.
    """
    contest = judging_class.contest
    take_turn(contest.pk)
    judging_class.refresh_from_db(fields=["animals"])
    if len(notes) != len(judging_class.animals) - 1:
        raise Elsewhere(_("the class has other animals by now"))
    rows = list(PairNote.objects.filter(judging_class=judging_class))
    writer = rows[0].by if rows else by
    if writer.casefold() != by.casefold() and not by_superintendent:
        raise Elsewhere(_("somebody else has written the notes on this class; ask the superintendent"))
    now = notes_in_order(rows, len(notes))
    if fingerprint(now) != was:
        raise Elsewhere(_("the notes were changed meanwhile"))
    for pair, note in enumerate(notes, start=1):
        defaults = {**note._asdict(), "by": writer}
        PairNote.objects.update_or_create(judging_class=judging_class, pair=pair, defaults=defaults)
    said = sentence("pair_notes_written", judged=judging_class.number)
    before, after = ([note._asdict() for note in some] for some in (now, notes))
    record_change(contest, by, said, before=before, after=after, touches=Touches.NOTHING)
