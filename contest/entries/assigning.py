"""Changes to many entries at once: numbers, and groups."""

from __future__ import annotations

import hashlib
import secrets
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import F
from django.utils.translation import gettext as _

from contest.book.text import LARGEST_NUMBER
from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.entries import groups as dealing
from contest.entries import numbers as numbering
from contest.entries.entered import anything_read
from contest.entries.people import fresh
from contest.models import Contest, Contestant
from contest.trail import record_change, sentence
from contest.trail.subjects import contestants


class NotAsSeen(Exception):
    """Raised where a change would no longer do what its preview showed."""


@dataclass(frozen=True, slots=True)
class NumberScheme:
    """How numbers are given: in blocks by team from `start` in steps of `step`, or drawn from `lowest` to `highest`.

    `seed` is the secret that the drawn numbers come from; empty for blocks.
    """

    start: int = 101
    step: int = 10
    lowest: int = 100
    highest: int = 999
    seed: str = ""


def new_seed() -> str:
    return secrets.token_hex(16)


def everybody(contest: Contest) -> list[Contestant]:
    """Everybody who is entered, team by team: divisions in their order, individuals last in each."""
    return list(
        contest.contestants.select_related("division", "team").order_by(
            "division__position", "division_id", F("team__name").asc(nulls_last=True), "last_name", "first_name", "pk"
        )
    )


def numbers_of(people: Iterable[Contestant], scheme: NumberScheme) -> dict[int, int]:
    """The number that each would be given, by key. Raises numbering.NoNumbers."""
    people = list(people)
    if scheme.seed:
        # In the order of entry: a name that is corrected after the preview changes nobody's number.
        keys = sorted(contestant.pk for contestant in people)
        return numbering.at_random(keys, scheme.lowest, scheme.highest, scheme.seed)
    teams: dict[int, list[int]] = defaultdict(list)
    for contestant in people:
        if contestant.team_id:
            teams[contestant.team_id].append(contestant.pk)
    alone = [contestant.pk for contestant in people if not contestant.team_id]
    return numbering.by_team(list(teams.values()), alone, scheme.start, scheme.step)


@changes
def give_numbers(contest: Contest, scheme: NumberScheme, by: str, expected: str) -> int:
    """Give everybody the number that the scheme says, and return how many numbers changed.

    `expected` is the digest of what the preview showed. Raises NotPossible once anything was read, NotAsSeen where the
    numbers would be others than were shown, and numbering.NoNumbers.
    """
    take_turn(contest.pk)
    if anything_read(contest):
        raise NotPossible(_("cards have been read, so numbers stay as they are"))
    people = everybody(contest)
    numbers = numbers_of(people, scheme)
    if digest(numbers) != expected:
        raise NotAsSeen
    before = {contestant.pk: contestant.number for contestant in people}
    moved = numbering.changed(before, numbers)
    if moved:
        write_numbers(contest, moved)
        what = sentence("numbers_drawn" if scheme.seed else "numbers_by_team")
        old_to_new = {str(before[key]): number for key, number in moved.items()}
        about = contestants({*(before[key] for key in moved), *moved.values()})
        record_change(contest, by, what, before=list(before.values()), after=old_to_new, about=about)
    return len(moved)


def write_numbers(contest: Contest, numbers: Mapping[int, int]) -> None:
    """Write numbers by key; two steps, as two people may change numbers with each other."""
    moving = contest.contestants.filter(pk__in=list(numbers))
    moving.update(number=F("number") + LARGEST_NUMBER + 1)
    people = list(moving)
    for contestant in people:
        contestant.number = numbers[contestant.pk]
    Contestant.objects.bulk_update(people, ["number"], batch_size=200)


def groups_of(people: Iterable[Contestant], count: int, keep: bool) -> dict[int, str]:
    """The group that each would be in, by key, where those present are dealt into that many groups.

    With `keep` whoever is in one of these groups already stays there. Raises ValueError for an impossible count.
    """
    if not 1 <= count <= dealing.MOST_GROUPS:
        raise ValueError(f"there can be 1 to {dealing.MOST_GROUPS} groups")  # the form says it in other words
    letters = dealing.letters(count)
    people = list(people)
    here = [(contestant.pk, contestant.team_id) for contestant in people if contestant.present]
    kept = {c.pk: c.group for c in people if c.present and c.group in letters} if keep else {}
    dealt = dealing.deal(here, letters, kept)
    away = {contestant.pk: contestant.group if keep else "" for contestant in people if not contestant.present}
    return dealt | away


@changes
def deal_groups(contest: Contest, count: int, keep: bool, by: str, expected: str) -> int:
    """Deal those present into groups, and return how many changed theirs.

    `expected` is the digest of what the preview showed. Raises NotAsSeen where the groups would be others than those.
    """
    take_turn(contest.pk)
    people = everybody(contest)
    groups = groups_of(people, count, keep)
    if digest(groups) != expected:
        raise NotAsSeen
    moved = [contestant for contestant in people if contestant.group != groups[contestant.pk]]
    if moved:
        before = {str(contestant.number): contestant.group for contestant in moved}
        for contestant in moved:
            contestant.group = groups[contestant.pk]
        Contestant.objects.bulk_update(moved, ["group"], batch_size=200)
        after = {str(contestant.number): contestant.group for contestant in moved}
        about = contestants(contestant.number for contestant in moved)
        what = sentence("groups_dealt", count=count)
        record_change(contest, by, what, before=before, after=after, about=about)
    return len(moved)


@changes
def put_in_group(contestant: Contestant, group: str, by: str) -> None:
    """Move one contestant to another group."""
    contestant = fresh(contestant)
    before, contestant.group = contestant.group, group
    if before != group:
        contestant.save(update_fields=["group"])
        values = {"contestant": contestant.number, **({"group": group} if group else {})}
        what = sentence("contestant_in_group" if group else "contestant_in_no_group", **values)
        record_change(contestant.contest, by, what, before=before, after=group)


def digest(shown: Any) -> str:
    """What stands for a preview: the same if and only if it shows the same."""
    return hashlib.sha256(repr(shown).encode()).hexdigest()
