"""A practice under way: members hand in, and the coach goes from step to step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.book.pair_notes import Note
from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.keys import LARGEST_CUT
from contest.models import PracticeClass, PracticeMember, PracticeNote, PracticePlacing
from contest.pair_notes import fingerprint, notes_in_order
from contest.practice.making import moved_on, take_practice
from scoring.core.placing import why_not_a_placing, why_not_cuts

Step = PracticeClass.Step
Notes = Mapping[str, Mapping[str, str]]
"""By animal and row, what somebody noted."""


@changes
def go_to(judged: PracticeClass, shown: int, step: int) -> None:
    """Show the next step of a class, or the one before; `shown` is the one that the coach saw.

    Raises NotPossible, in words for the coach.
    """
    take_practice(judged.practice_id)
    judged.refresh_from_db()
    if judged.step == step:
        return
    if judged.step != shown:
        raise NotPossible(_("another device has gone on meanwhile; look where the practice is now"))
    if step not in Step.values or abs(step - shown) != 1:
        raise NotPossible(_("the answer is given one step at a time"))
    if step == Step.JOINING:
        raise NotPossible(_("the class has begun"))
    if step >= Step.OFFICIAL and not judged.official:
        raise NotPossible(_("first type the official placing and its cuts"))
    if step == Step.REASONS and not judged.pair_notes.exists():
        raise NotPossible(_("first write notes on the pairs"))
    began = {} if judged.began_at else {"began_at": timezone.now()}
    PracticeClass.objects.filter(pk=judged.pk).update(step=step, **began)
    moved_on(judged.practice)


@changes
def set_key(judged: PracticeClass, official: str, cuts: Sequence[int]) -> None:
    """Say how the officials placed a class, and its cuts; another one takes its place, and everything is scored anew.

    Raises NotPossible, in words for whoever typed it, where they cannot be.
    """
    take_practice(judged.practice_id)
    if problem := why_not_a_placing(official, judged.animals) or why_not_cuts(cuts, len(judged.animals)):
        raise NotPossible(problem)
    if max(cuts) > LARGEST_CUT:
        raise NotPossible(_("a cut of {points} cannot be meant").format(points=max(cuts)))
    PracticeClass.objects.filter(pk=judged.pk).update(official=official, cuts=tuple(cuts))
    moved_on(judged.practice)


@changes
def write_pair_notes(judged: PracticeClass, notes: Sequence[Note], was: str) -> None:
    """Keep what decided each pair of a class, the top one first; `was` is the fingerprint of what the coach saw.

    Raises NotPossible where another device has changed them meanwhile.
    """
    take_practice(judged.practice_id)
    if fingerprint(pair_notes_of(judged)) != was:
        raise NotPossible(_("the notes were changed meanwhile"))
    judged.pair_notes.all().delete()
    rows = [PracticeNote(judging_class=judged, pair=at, **note._asdict()) for at, note in enumerate(notes, 1) if note]
    PracticeNote.objects.bulk_create(rows)
    moved_on(judged.practice)


def pair_notes_of(judged: PracticeClass) -> list[Note]:
    """The note on each pair of a class, an empty one where there is none."""
    return notes_in_order(judged.pair_notes.all(), len(judged.animals) - 1)


@changes
def hand_in(member: PracticeMember, number: int, placing: str, notes: Notes) -> PracticePlacing:
    """Keep how a member placed the class of that number, and their notes, which are empty where they keep them to
    themselves.

    Until a class is closed they may hand in another one. What was sent before and held up by the network still comes
    in, once; from the moment that the group's placings are shown it is late. Raises NotPossible, in words for the
    member.
    """
    take_practice(member.practice_id)
    if not PracticeMember.objects.filter(pk=member.pk).exists():
        raise NotPossible(_("the coach has taken you out; join again"))
    judged = PracticeClass.objects.filter(practice=member.practice_id, number=number).first()
    if judged is None:
        raise NotPossible(_("the practice has no class {number}").format(number=number))
    if problem := why_not_a_placing(placing, judged.animals):
        raise NotPossible(problem)
    before = judged.placings.filter(member=member).first()
    if before and (before.placing, before.notes) == (placing, notes):
        return before
    if before and judged.step > Step.PLACING:
        raise NotPossible(_("the class is closed, and you have handed in {placing}").format(placing=before.placing))
    if before is None:
        late = judged.step > Step.CLOSED
        before = judged.placings.create(member=member, placing=placing, notes=dict(notes), late=late)
    else:
        before.placing, before.notes = placing, dict(notes)
        before.save(update_fields=["placing", "notes"])
    moved_on(member.practice)
    return before
