"""Sets of reasons in a practice: handing in an outline, letting somebody speak, and scoring what they said."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.models import Practice, PracticeClass, PracticeMember, PracticeSet, PracticeSetScore
from contest.practice.making import moved_on, take_practice
from contest.practice.outline import PLACING
from scoring.core.placing import why_not_a_placing
from scoring.core.practice import ASPECTS, MOST_MARK


@changes
def hand_in_outline(member: PracticeMember, number: int, placing: str, outline: Mapping[str, str]) -> PracticeSet:
    """Keep the outline of a member's set on the class of that number, which is of their `placing`; the latest counts.

    Raises NotPossible, in words for the member.
    """
    take_practice(member.practice_id)
    judged = PracticeClass.objects.filter(practice=member.practice_id, number=number).first()
    if judged is None:
        raise NotPossible(_("the practice has no class {number}").format(number=number))
    if problem := why_not_a_placing(placing, judged.animals):
        raise NotPossible(problem)
    row = _set_of(judged, member)
    row.outline = {PLACING: placing, **outline}
    row.save(update_fields=["outline"])
    moved_on(member.practice)
    return row


@changes
def let_speak(judged: PracticeClass, member: PracticeMember | None) -> None:
    """Let a member give their set on a class, and nobody else meanwhile; None: nobody speaks any more."""
    take_practice(judged.practice_id)
    judged.sets.filter(speaks=True).update(speaks=False)
    if member is not None:
        row = _set_of(judged, member)
        row.speaks, row.called_at = True, row.called_at or timezone.now()
        row.save(update_fields=["speaks", "called_at"])
    moved_on(judged.practice)


@changes
def score_as_coach(
    judged: PracticeClass, member: PracticeMember, marks: Mapping[str, int], comment: str
) -> PracticeSetScore:
    """Say what the coach makes of a member's set on a class; it takes the place of what they said before.

    Raises NotPossible where the member was taken out.
    """
    take_practice(judged.practice_id)
    return _scored(_set_of(judged, member), None, marks, comment)


@changes
def score_as_member(set_: PracticeSet, by: PracticeMember, marks: Mapping[str, int], comment: str) -> PracticeSetScore:
    """Say what another member makes of a set that they heard, also once it is over; the latest counts.

    Raises NotPossible, in words for whoever scores.
    """
    practice = take_practice(by.practice_id)
    row = PracticeSet.objects.filter(pk=set_.pk, judging_class__practice=practice).first()
    if row is None or row.called_at is None:
        raise NotPossible(_("there is no such set any more"))
    if not practice.peers_score:
        raise NotPossible(_("the coach alone scores sets now"))
    if row.member_id == by.pk:
        raise NotPossible(_("nobody scores a set of their own"))
    return _scored(row, by, marks, comment)


@changes
def remove_score(judged: PracticeClass, score: int) -> None:
    """Delete what somebody said of a set on a class, for good. Does nothing where it is gone already."""
    take_practice(judged.practice_id)
    PracticeSetScore.objects.filter(pk=score, set__judging_class=judged).delete()
    moved_on(judged.practice)


@changes
def set_up_reasons(practice: Practice, minutes: int, weights: Mapping[str, int], peers_score: bool) -> None:
    """Say how long a set takes, how much each aspect counts, and whether members score each other."""
    take_practice(practice.pk)
    of_aspects = {f"weight_{aspect}": weights[aspect] for aspect in ASPECTS}
    Practice.objects.filter(pk=practice.pk).update(reasons_minutes=minutes, peers_score=peers_score, **of_aspects)
    moved_on(practice)


def _set_of(judged: PracticeClass, member: PracticeMember) -> PracticeSet:
    """A member's set on a class, which begins with whatever happens to it first."""
    if not PracticeMember.objects.filter(pk=member.pk, practice=judged.practice_id).exists():
        raise NotPossible(_("that member was taken out"))
    return judged.sets.get_or_create(member=member)[0]


def _scored(row: PracticeSet, by: PracticeMember | None, marks: Mapping[str, int], comment: str) -> PracticeSetScore:
    if any(not 0 <= marks[aspect] <= MOST_MARK for aspect in ASPECTS):
        raise NotPossible(_("each mark is 0 to {most}").format(most=MOST_MARK))
    made, _new = row.scores.update_or_create(by=by, defaults={**marks, "comment": comment})
    moved_on(row.judging_class.practice)
    return made
