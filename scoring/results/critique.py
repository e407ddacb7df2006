"""A class's key shown in public by itself, for the officials' critique: its placing and cuts, and no standing."""

from __future__ import annotations

from collections import defaultdict

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.keys import open_dispute
from contest.models import Contest, JudgingClass, State, Touches
from contest.models.outline import TEXT_LENGTH
from contest.records.tallying import Tallied, tallied_in_turn
from contest.trail import record_change
from reasons.models import Slot
from scoring.core.due import missing_cards, missing_reasons
from scoring.core.explain import counted, first_numbers
from scoring.models import KeyRelease
from scoring.standings.open_ends import open_ends


def against_a_critique(contest: Contest, shown: Tallied) -> dict[int, list[str]]:
    """By class, why its key should not be shown yet, in words: what is told now could still be used. Classes against
    which nothing speaks are left out."""
    reasons: defaultdict[int, list[str]] = defaultdict(list)
    heard = Slot.objects.filter(judging_class__contest=contest, state__in=[Slot.State.HEARD, Slot.State.ABSENT])
    heard_of = set(heard.values_list("judging_class__number", "contestant__number"))
    for number, people in missing_reasons(shown.record).items():
        if unheard := [person for person in people if (number, person) not in heard_of]:
            reasons[number].append(f"{counted(len(unheard), 'set')} of reasons not heard yet: {first_numbers(unheard)}")
    for number, people in missing_cards(shown.record).items():
        reasons[number].append(f"{counted(len(people), 'card')} not in yet: {first_numbers(people)}")
    ends = open_ends(contest)
    for number, states in ends.cards.items():
        if doubtful := sorted(person for person, state in states.items() if state == State.DOUBT):
            reasons[number].append(f"{counted(len(doubtful), 'card')} in doubt: {first_numbers(doubtful)}")
    for number, state in ends.keys.items():
        reasons[number].append(f"the key is not confirmed: {state}")
    return dict(reasons)


@changes
def release_key(judged: JudgingClass, by: str, override: str = "") -> KeyRelease:
    """Show a class's key in public, by itself, for the critique.

    Raises NotPossible without a key, where it is shown already, and for what `against_a_critique` says unless
    `override` says why it is shown all the same.
    """
    contest = judged.contest
    shown = tallied_in_turn(contest)
    key = judged.keys.last()
    if key is None or open_dispute(key):
        raise NotPossible(f"class {judged.number} has no key that could be shown")
    if KeyRelease.objects.filter(judging_class=judged).exists():
        raise NotPossible(f"the key of class {judged.number} is shown already")
    against = against_a_critique(contest, shown).get(judged.number, [])
    if against and not override.strip():
        raise NotPossible(f"{'; '.join(against)}. Say why the key is shown all the same")
    made = KeyRelease.objects.create(judging_class=judged, by=by)
    sentence = f"key of class {judged.number} shown for the critique"
    if against:
        sentence = f"{sentence} all the same, {override.strip()}"
    record_change(
        contest, by, sentence[:TEXT_LENGTH], after={"key": str(key), "against": against}, touches=Touches.NOTHING
    )
    return made


@changes
def withdraw_key(judged: JudgingClass, by: str) -> None:
    """Show a class's key no longer: for one that was shown by mistake. Raises NotPossible where it is not shown."""
    tallied_in_turn(judged.contest)
    if not KeyRelease.objects.filter(judging_class=judged).delete()[0]:
        raise NotPossible(f"the key of class {judged.number} is not shown")
    record_change(judged.contest, by, f"key of class {judged.number} no longer shown", touches=Touches.NOTHING)
