"""Stacks: the cards of one class and one group, as they lie on a table, and who has taken which to their desk."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.db.models import QuerySet
from django.utils import timezone

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.models import (
    ClassDivision,
    Contest,
    Contestant,
    Helper,
    JudgingClass,
    StackClaim,
    State,
    Touches,
)
from contest.slips.cards import CardSlip
from contest.slips.due import UNREAD, Count, counted, left_to_read, standings
from contest.trail import record_change


@dataclass(frozen=True, slots=True)
class Taken:
    """A helper who has the stack at their desk."""

    name: str
    since: datetime
    mine: bool


@dataclass(frozen=True, kw_only=True)
class Stack(Count):
    """The cards of one class and one group, counted for whoever asks; `read_by_you` are those that they have read."""

    judging_class: JudgingClass
    group: str
    read_by_you: int
    taken: tuple[Taken, ...] = ()

    @property
    def label(self) -> str:
        return stack_label(self.judging_class, self.group)

    @property
    def finished(self) -> int:
        """Cards that nobody need read again."""
        return self.settled + self.doubtful

    @property
    def begun(self) -> int:
        """Cards that somebody has read."""
        return self.finished + self.once

    @property
    def words(self) -> str:
        """How far it is: `11 unread, 5 read once`."""
        counts = (
            (self.unread, "unread"),
            (self.once, "read once"),
            (self.settled, "settled"),
            (self.doubtful, "doubtful"),
        )
        return ", ".join(f"{number} {word}" for number, word in counts if number)

    @property
    def again(self) -> bool:
        """Whether reading it now gives second readings."""
        return not self.unread

    @property
    def is_mine(self) -> bool:
        return any(taker.mine for taker in self.taken)

    @property
    def others(self) -> tuple[Taken, ...]:
        return tuple(taker for taker in self.taken if not taker.mine)

    @property
    def stragglers(self) -> bool:
        """Whether whoever asks has been through it already, and only cards that were not in it are left."""
        return bool(self.read_by_you) and self.yours < self.read_by_you


def stack_label(judging_class: JudgingClass, group: str) -> str:
    """What a stack is called: `class 3, group A`."""
    return f"class {judging_class.number}, group {group}" if group else f"class {judging_class.number}"


@one_snapshot()
def stacks_of(contest: Contest, who: str) -> list[Stack]:
    """Every stack of a contest, by class and group, counted for the reader named `who`."""
    classes = list(contest.classes.filter(places=True))
    cards = _cards(contest, classes, who)
    taken = _taken(contest, who)
    stacks = []
    for judging_class in classes:
        by_group: defaultdict[str, list[_Card]] = defaultdict(list)
        for card in cards[judging_class.pk]:
            by_group[card.group].append(card)
        for group in sorted(by_group, key=_natural):
            takers = taken.get((judging_class.pk, group), ())
            stacks.append(_count(contest, judging_class, group, by_group[group], takers))
    return stacks


@one_snapshot()
def expected_numbers(judging_class: JudgingClass, group: str, who: str) -> list[int]:
    """The numbers whose cards the reader named `who` has still to read in a stack, in ascending order."""
    contest = judging_class.contest
    cards = _cards(contest, [judging_class], who)[judging_class.pk]
    return [card.number for card in _to_read(contest, [card for card in cards if card.group == group])]


def next_stack(stacks: Iterable[Stack], besides: Stack | None = None) -> Stack | None:
    """The stack that whoever the stacks were counted for had best take now; None when there is nothing to read.

    Stacks that nobody has at a desk come before those that somebody has, first readings before second ones, and last
    those of which the reader has read the better part: what is left of them was probably never handed in.
    """
    open_to_reader = [stack for stack in stacks if stack.yours and not (besides and _same(stack, besides))]
    return min(
        open_to_reader,
        key=lambda stack: (stack.stragglers, bool(stack.others), stack.again),
        default=None,
    )


def find_stack(stacks: Sequence[Stack], text: str) -> Stack:
    """The stack that somebody means by `3A`, `3 a` or, without groups, `3`. Raises NotPossible, in words."""
    typed = re.fullmatch(r"\s*(\d{1,9})\s*(.*?)\s*", text)
    if not typed:
        raise NotPossible("type the class's number, then the group, such as 3A")
    number, group = int(typed[1]), typed[2]
    of_class = [stack for stack in stacks if stack.judging_class.number == number]
    if not of_class:
        raise NotPossible(f"no cards are due in a class {number}")
    for stack in of_class:
        if stack.group.casefold() == group.casefold():
            return stack
    groups = ", ".join(stack.group for stack in of_class if stack.group)
    if not groups:
        raise NotPossible(f"class {number} is not divided into groups: type {number} alone")
    raise NotPossible(f"class {number} has the groups {groups}: type {number} and one of them")


def find_loose(stacks: Sequence[Stack], text: str) -> JudgingClass | None:
    """The class whose loose cards somebody means by typing its number alone, where its stacks have groups."""
    of_class = [stack for stack in stacks if str(stack.judging_class.number) == text.strip()]
    return of_class[0].judging_class if of_class and all(stack.group for stack in of_class) else None


def has_claim(helper: Helper, judging_class: JudgingClass, group: str) -> bool:
    """Whether the helper has this stack at their desk."""
    return _held(helper).filter(judging_class=judging_class, group=group).exists()


@changes
def take_stack(helper: Helper, judging_class: JudgingClass, group: str) -> StackClaim:
    """Take a stack to a helper's desk; the one they had goes back. Others may have the same one: they share it.

    Raises NotPossible where no card is due in it.
    """
    contest = judging_class.contest
    take_turn(contest.pk)
    held = _held(helper).first()
    if held and (held.judging_class_id, held.group) == (judging_class.pk, group):
        return held
    due = Contestant.objects.filter(contest=contest, group=group, division__classes=judging_class)
    if not judging_class.places or not due.exists():
        raise NotPossible(f"no cards are due in {stack_label(judging_class, group)}")
    if held:
        give_back(helper)
    claim = StackClaim.objects.create(helper=helper, judging_class=judging_class, group=group)
    _record(contest, helper, judging_class, group, "taken")
    return claim


@changes
def give_back(helper: Helper) -> None:
    """Put the helper's stack back on the table. Does nothing for one who has none."""
    take_turn(helper.contest_id)
    held = _held(helper).select_related("judging_class__contest").first()
    if held is None:
        return
    StackClaim.objects.filter(pk=held.pk).update(given_back_at=timezone.now())
    _record(held.judging_class.contest, helper, held.judging_class, held.group, "given back")


def _record(contest: Contest, helper: Helper, judging_class: JudgingClass, group: str, sentence: str) -> None:
    record_change(
        contest, helper.name, f"{stack_label(judging_class, group)}: stack {sentence}", touches=Touches.NOTHING
    )


def _held(helper: Helper) -> QuerySet[StackClaim]:
    return StackClaim.objects.filter(helper=helper, given_back_at__isnull=True)


def _same(first: Stack, other: Stack) -> bool:
    return (first.judging_class, first.group) == (other.judging_class, other.group)


class _Card(NamedTuple):
    """One card that is due, as far as it is known. `state` is None while nobody has read it.

    A card of somebody absent is doubtful until the superintendent has decided about it.
    """

    number: int
    group: str
    present: bool
    state: str | None
    mine: bool


def _cards(contest: Contest, classes: Sequence[JudgingClass], who: str) -> defaultdict[int, list[_Card]]:
    """The cards due in each class, by number: of whoever is present, and of the absent who handed one in all the same.

    Always the same few queries, however many cards there are.
    """
    judging = defaultdict(list)
    for class_id, division_id in ClassDivision.objects.filter(judging_class__in=classes).values_list(
        "judging_class_id", "division_id"
    ):
        judging[division_id].append(class_id)
    known = standings(CardSlip, contest, who, judging_class__in=classes)
    by_class: defaultdict[int, list[_Card]] = defaultdict(list)
    people = Contestant.objects.filter(contest=contest)
    for pk, number, division_id, group, present in people.values_list(
        "pk", "number", "division_id", "group", "present"
    ):
        for class_id in judging[division_id]:
            card = known[class_id,].get(pk, UNREAD)
            if present or card.value:
                state = card.state if present or card.decided else State.DOUBT
                by_class[class_id].append(_Card(number, group, present, state, card.mine))
    return by_class


def _to_read(contest: Contest, cards: Sequence[_Card]) -> list[_Card]:
    """Those of a stack's cards that whoever asks has still to read; a card of somebody absent is nobody's to read."""
    return left_to_read(contest, [card for card in cards if card.present])


def _count(
    contest: Contest, judging_class: JudgingClass, group: str, cards: Sequence[_Card], taken: Sequence[Taken]
) -> Stack:
    return Stack(
        judging_class=judging_class,
        group=group,
        read_by_you=sum(card.mine for card in cards),
        taken=tuple(taken),
        **counted(cards, yours=len(_to_read(contest, cards))),
    )


def _taken(contest: Contest, who: str) -> dict[tuple[int, str], list[Taken]]:
    taken = defaultdict(list)
    claims = StackClaim.objects.filter(
        judging_class__contest=contest, given_back_at__isnull=True, helper__left_at__isnull=True
    )
    for class_id, group, name, since in claims.values_list("judging_class_id", "group", "helper__name", "taken_at"):
        taken[class_id, group].append(Taken(name, since, name.casefold() == who.casefold()))
    return taken


def _natural(group: str) -> list[tuple[int, str]]:
    """Group 10 comes after group 9, and letters in their order."""
    return [(int(part), "") if part.isdecimal() else (-1, part.casefold()) for part in re.findall(r"\d+|\D+", group)]
