"""A class's key shown in public by itself, for the officials' critique: its placing and cuts, and no standing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.keys import DISPUTED, open_dispute
from contest.models import Contest, JudgingClass, State, Touches
from contest.records.tallying import Tallied, tallied_in_turn
from contest.trail import record_change, sentence
from contest.trail.sentences import Sentence, as_json
from reasons.models import Slot
from scoring.core.due import missing_cards, missing_reasons
from scoring.models import KeyRelease
from scoring.results.lines import first_of
from scoring.standings.open_ends import open_ends


def against_a_critique(contest: Contest, shown: Tallied) -> dict[int, list[Sentence]]:
    """By class, why its key should not be shown yet, in words: what is told now could still be used. Classes against
    which nothing speaks are left out."""
    reasons: defaultdict[int, list[Sentence]] = defaultdict(list)
    heard = Slot.objects.filter(judging_class__contest=contest, state__in=[Slot.State.HEARD, Slot.State.ABSENT])
    heard_of = set(heard.values_list("judging_class__number", "contestant__number"))
    for number, people in missing_reasons(shown.record).items():
        if unheard := [person for person in people if (number, person) not in heard_of]:
            reasons[number].append(_told("sets_not_heard", unheard))
    for number, people in missing_cards(shown.record).items():
        reasons[number].append(_told("cards_not_in", people))
    ends = open_ends(contest)
    for number, states in ends.cards.items():
        if doubtful := sorted(person for person, state in states.items() if state == State.DOUBT):
            reasons[number].append(_told("cards_doubtful", doubtful))
    for number, state in ends.keys.items():
        reasons[number].append(sentence("key_not_agreed" if state == DISPUTED else "key_not_confirmed"))
    return dict(reasons)


def _told(code: str, people: Sequence[int]) -> Sentence:
    return sentence(code, count=len(people), whose=first_of(people))


@changes
def release_key(judged: JudgingClass, by: str, override: str = "") -> KeyRelease:
    """Show a class's key in public, by itself, for the critique.

    Raises NotPossible without a key, for a void class, where it is shown already, and for what `against_a_critique`
    says unless `override` says why it is shown all the same.
    """
    contest = judged.contest
    shown = tallied_in_turn(contest)
    key = judged.keys.last()
    if key is None or open_dispute(key):
        raise NotPossible(_("class {number} has no key that could be shown").format(number=judged.number))
    if judged.void:
        raise NotPossible(_("class {number} is void: there is nothing to critique").format(number=judged.number))
    if judged.full_points:
        told = _("class {number} gives everybody full points: there is nothing to critique")
        raise NotPossible(told.format(number=judged.number))
    if KeyRelease.objects.filter(judging_class=judged).exists():
        raise NotPossible(_("the key of class {number} is shown already").format(number=judged.number))
    against = against_a_critique(contest, shown).get(judged.number, [])
    if against and not override.strip():
        reasons = "; ".join(map(str, against))
        raise NotPossible(_("{reasons}. Say why the key is shown all the same").format(reasons=reasons))
    made = KeyRelease.objects.create(judging_class=judged, by=by)
    what = sentence("key_shown", key_of=judged.number)
    if against:
        what = sentence("key_shown_all_the_same", key_of=judged.number, reason=override.strip())
    record_change(
        contest,
        by,
        what,
        after={"key": str(key), "against": as_json(against)},
        touches=Touches.NOTHING,
    )
    return made


@changes
def withdraw_key(judged: JudgingClass, by: str) -> None:
    """Show a class's key no longer: for one that was shown by mistake. Raises NotPossible where it is not shown."""
    tallied_in_turn(judged.contest)
    if not KeyRelease.objects.filter(judging_class=judged).delete()[0]:
        raise NotPossible(_("the key of class {number} is not shown").format(number=judged.number))
    record_change(judged.contest, by, sentence("key_no_longer_shown", key_of=judged.number), touches=Touches.NOTHING)
