"""The stacks of cards in the tabulation room: how far each is, and who has taken which to their desk."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.models import ClassDivision, Contest, Contestant, Helper, JudgingClass, StackClaim, Touches
from contest.slips.cards import CardSlip, CardStack
from contest.slips.due import Count, Due, counted, people_of, slips_due, standings
from contest.trail import record_change, sentence


@dataclass(frozen=True, slots=True)
class Taken:
    """A helper who has the stack at their desk."""

    name: str
    since: datetime
    mine: bool

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, kw_only=True)
class TableStack(CardStack, Count):
    """A stack counted for whoever asks, with those who have it at their desk; they have read `read_by_you` of it."""

    group: str
    read_by_you: int
    taken: tuple[Taken, ...] = ()

    @property
    def typed(self) -> str:
        """The stack as somebody would type it."""
        return f"{self.judging_class.number} {self.group}".strip()

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
            (self.unread, ngettext("{count} unread", "{count} unread", self.unread)),
            (self.once, ngettext("{count} read once", "{count} read once", self.once)),
            (self.settled, ngettext("{count} settled", "{count} settled", self.settled)),
            (self.doubtful, ngettext("{count} doubtful", "{count} doubtful", self.doubtful)),
        )
        return ", ".join(text.format(count=count) for count, text in counts if count)

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


@one_snapshot()
def stacks_of(contest: Contest, who: str) -> list[TableStack]:
    """Every stack of a contest, by class and group, counted for the reader named `who`.

    Always the same few queries, however many cards there are.
    """
    classes = contest.classes.filter(places=True)
    judging = defaultdict(set)
    rows = ClassDivision.objects.filter(judging_class__in=classes)
    for class_id, division_id in rows.values_list("judging_class_id", "division_id"):
        judging[class_id].add(division_id)
    people, taken = people_of(contest), _taken(contest, who)
    known = standings(CardSlip, contest, who, judging_class__in=classes)
    stacks = []
    for judging_class in classes:
        by_group: defaultdict[str, list[Due]] = defaultdict(list)
        for card in slips_due(CardSlip, people, judging[judging_class.pk], known[judging_class.pk,]):
            by_group[card.group].append(card)
        for group in sorted(by_group, key=_natural):
            cards = by_group[group]
            stack = TableStack(
                judging_class,
                group=group,
                read_by_you=sum(card.mine for card in cards),
                taken=tuple(taken.get((judging_class.pk, group), ())),
                **counted(contest, cards),
            )
            stacks.append(stack)
    return stacks


def next_stack(stacks: Iterable[TableStack], besides: CardStack | None = None) -> TableStack | None:
    """The stack that whoever the stacks were counted for had best take now; None when there is nothing to read.

    Stacks that nobody has at a desk come before those that somebody has, first readings before second ones, and last
    those of which the reader has read the better part: what is left of them was probably never handed in.
    """
    open_to_reader = [stack for stack in stacks if stack.yours and not _same(stack, besides)]
    return min(
        open_to_reader,
        key=lambda stack: (stack.stragglers, bool(stack.others), stack.again),
        default=None,
    )


def find_stack(stacks: Sequence[TableStack], text: str) -> TableStack:
    """The stack that somebody means by `3A`, `3 a` or, without groups, `3`. Raises NotPossible, in words."""
    typed = re.fullmatch(r"\s*(\d{1,9})\s*(.*?)\s*", text)
    if not typed:
        raise NotPossible(_("type the class's number, then the group, such as 3A"))
    number, group = int(typed[1]), typed[2]
    of_class = [stack for stack in stacks if stack.judging_class.number == number]
    if not of_class:
        raise NotPossible(_("no cards are due in a class {number}").format(number=number))
    for stack in of_class:
        if stack.group.casefold() == group.casefold():
            return stack
    groups = ", ".join(stack.group for stack in of_class if stack.group)
    if not groups:
        raise NotPossible(_("class {number} is not divided into groups: type {number} alone").format(number=number))
    text = _("class {number} has the groups {groups}: type {number} and one of them")
    raise NotPossible(text.format(number=number, groups=groups))


def find_loose(stacks: Sequence[TableStack], text: str) -> JudgingClass | None:
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
        label = CardStack(judging_class, group=group).label
        raise NotPossible(_("no cards are due in {stack}").format(stack=label))
    if held:
        give_back(helper)
    claim = StackClaim.objects.create(helper=helper, judging_class=judging_class, group=group)
    _record(contest, helper, judging_class, group, "stack_taken")
    return claim


@changes
def give_back(helper: Helper) -> None:
    """Put the helper's stack back on the table. Does nothing for one who has none."""
    take_turn(helper.contest_id)
    held = _held(helper).select_related("judging_class__contest").first()
    if held is None:
        return
    StackClaim.objects.filter(pk=held.pk).update(given_back_at=timezone.now())
    _record(held.judging_class.contest, helper, held.judging_class, held.group, "stack_given_back")


def _record(contest: Contest, helper: Helper, judging_class: JudgingClass, group: str, code: str) -> None:
    said = sentence(code, judged=judging_class.number)
    if group:
        said = sentence(f"group_{code}", judged=judging_class.number, group=group)
    record_change(contest, helper.name, said, touches=Touches.NOTHING)


def _held(helper: Helper) -> QuerySet[StackClaim]:
    return StackClaim.objects.filter(helper=helper, given_back_at__isnull=True)


def _same(first: CardStack, other: CardStack | None) -> bool:
    return other is not None and (first.judging_class, first.group) == (other.judging_class, other.group)


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
