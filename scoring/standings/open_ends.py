"""What has been entered but is not settled yet, which a record of the contest does not say."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.core.cache import cache
from django.db.models import F, Q

from contest.changes.snapshot import one_snapshot
from contest.keys import DISPUTED, TYPED_ONCE, open_keys
from contest.models import Card, Choice, Contest, Mark, ReasonsScore, State, Team
from contest.part_keys import open_part_keys
from scoring.core.due import (
    IN_DOUBT,
    MISSING,
    READ_ONCE,
    Owner,
    Unsettled,
    missing_cards,
    missing_marks,
    missing_reasons,
)
from scoring.core.record import Record
from scoring.core.texts import gettext_noop

WORDS = {State.ONCE.value: READ_ONCE, State.DOUBT.value: IN_DOUBT}
KEY_WORDS = {TYPED_ONCE: gettext_noop("key typed once"), DISPUTED: gettext_noop("key two entries differ")}

PRESENT = Q(contestant__present=True, contestant__ineligible=False)


@dataclass(frozen=True, slots=True)
class OpenEnds:
    """By class or part and by whose they are, how far cards, reasons scores and marks are that are not settled.

    The words are those of `State`: `once` or `doubt`; of several officials' scores the worst. `keys` holds the classes
    whose key is not confirmed, and why, `part_keys` the parts by their codes. Nothing of absent contestants. `teams`
    are the keys of the teams' rows.
    """

    cards: dict[int, dict[int, str]] = field(default_factory=dict)
    reasons: dict[int, dict[int, str]] = field(default_factory=dict)
    marks: dict[str, dict[Owner, str]] = field(default_factory=dict)
    keys: dict[int, str] = field(default_factory=dict)
    part_keys: dict[str, str] = field(default_factory=dict)
    teams: dict[tuple[str, str], int] = field(default_factory=dict)


def open_ends(contest: Contest) -> OpenEnds:
    """What is not settled at the contest's revision, looked up once for each."""
    name = f"open-ends-{contest.pk}"
    kept = cache.get(name)
    if kept is None or kept[0] < contest.revision:
        kept = (contest.revision, _find(contest))
        cache.set(name, kept, None)
    open_ends: OpenEnds = kept[1]
    return open_ends


def unsettled(contest: Contest, record: Record) -> Unsettled:
    """Everything that the contest's totals rest on and that may still change; nothing of void classes."""
    ends = open_ends(contest)
    void = {judged.number for judged in record.classes if judged.void}
    keyed = {judged.number for judged in record.classes if judged.needs_key}
    by_cards = {judged.number for judged in record.classes if judged.card_divisions}
    open_items = Unsettled(keys={number: KEY_WORDS[state] for number, state in ends.keys.items() if number in keyed})
    for kind, of_state, missing in (
        ("class", ends.cards, missing_cards(record)),
        ("reasons", ends.reasons, missing_reasons(record)),
    ):
        for number, people in of_state.items():
            if number in by_cards if kind == "class" else number not in void:
                open_items.items.update(
                    {(person, f"{kind}:{number}"): WORDS[state] for person, state in people.items()}
                )
        for number, lacking in missing.items():
            open_items.items.update({(person, f"{kind}:{number}"): MISSING for person in lacking})
    marks = {code: {owner: WORDS[state] for owner, state in states.items()} for code, states in ends.marks.items()}
    for code, owners in missing_marks(record).items():
        marks.setdefault(code, {}).update(dict.fromkeys(owners, MISSING))
    for code, states in marks.items():
        for owner, word in states.items():
            if isinstance(owner, tuple):
                open_items.team_items[(*owner, f"part:{code}")] = word
            else:
                open_items.items[owner, f"part:{code}"] = word
    return open_items


@one_snapshot()
def _find(contest: Contest) -> OpenEnds:
    judged = Q(
        judging_class__class_divisions__division=F("contestant__division"), judging_class__class_divisions__void=False
    )
    ends = OpenEnds()
    cards = Card.objects.filter(PRESENT, judged, judging_class__contest=contest).exclude(state=State.SETTLED)
    scores = ReasonsScore.objects.filter(PRESENT, judged, judging_class__contest=contest).exclude(state=State.SETTLED)
    for rows, into in ((cards, ends.cards), (scores, ends.reasons)):
        for number, person, state in rows.values_list("judging_class__number", "contestant__number", "state"):
            of_class = into.setdefault(number, {})
            of_class[person] = _worse(of_class.get(person, ""), state)
    marks = Mark.objects.filter(Q(team__isnull=False) | PRESENT, part__contest=contest).exclude(state=State.SETTLED)
    columns = ("part__code", "contestant__number", "team__division__code", "team__name", "state")
    for code, person, division, team, state in marks.values_list(*columns):
        ends.marks.setdefault(code, {})[(division, team) if person is None else person] = state
    choices = Choice.objects.filter(PRESENT, part__contest=contest).exclude(state=State.SETTLED)
    for code, person, state in choices.values_list("part__code", "contestant__number", "state"):
        ends.marks.setdefault(code, {})[person] = state
    ends.keys.update(open_keys(contest))
    ends.part_keys.update(open_part_keys(contest))
    teams = Team.objects.filter(division__contest=contest)
    ends.teams.update(
        ((division, team), pk) for pk, division, team in teams.values_list("pk", "division__code", "name")
    )
    return ends


def _worse(first: str, other: str) -> str:
    return State.DOUBT.value if State.DOUBT.value in (first, other) else other
