"""Who is entered, and what has been read of them: the questions that changes ask first."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.entries.plan import Person, Values
from contest.models import (
    Card,
    Choice,
    ChoiceReading,
    ClassDivision,
    Contest,
    Contestant,
    Division,
    Mark,
    MarkReading,
    Part,
    Reading,
    ReasonsReading,
    ReasonsScore,
    SetMember,
)
from scoring.core import record as pure
from scoring.core.explain import listed
from scoring.core.sets import membership_written

CARDS, REASONS, MARKS, CHOICES = "cards", "reasons", "marks", "choices"
WHAT_WAS_READ = {
    CARDS: gettext_noop("cards of classes {names}"),
    REASONS: gettext_noop("reasons scores of classes {names}"),
    MARKS: gettext_noop("marks in {names}"),
    CHOICES: gettext_noop("cards of {names}"),
}
SOURCES: tuple[tuple[str, type[Any], str], ...] = (
    (CARDS, Reading, "judging_class"),
    (REASONS, ReasonsReading, "judging_class"),
    (MARKS, MarkReading, "part"),
    (CHOICES, ChoiceReading, "part"),
)
Read = Mapping[str, set[int]]
"""What was read of somebody: the classes of cards and of reasons, the parts of marks, by their keys."""


def anything_read(contest: Contest) -> bool:
    """Whether anything at all has been read in this contest, taken back or not."""
    return (
        Reading.objects.filter(judging_class__contest=contest).exists()
        or MarkReading.objects.filter(part__contest=contest).exists()
        or ReasonsReading.objects.filter(judging_class__contest=contest).exists()
        or ChoiceReading.objects.filter(part__contest=contest).exists()
    )


def has_sheets(contestant: Contestant) -> bool:
    """Whether anything of theirs was ever read, taken back or not: such an entry can no longer vanish."""
    return any(
        rows.filter(contestant=contestant).exists()
        for rows in (
            Reading.objects,
            MarkReading.objects,
            ReasonsReading.objects,
            Card.objects,
            Mark.objects,
            ReasonsScore.objects,
            ChoiceReading.objects,
            Choice.objects,
        )
    )


def sets_of(people: Contest | list[Contestant]) -> dict[int, str]:
    """Of everybody in sets of results, or of these people, by key: which those are, as `Values.result_sets` has it."""
    rows = SetMember.objects.order_by("result_set__position", "result_set_id")
    rows = (
        rows.filter(result_set__contest=people) if isinstance(people, Contest) else rows.filter(contestant__in=people)
    )
    members: dict[int, list[pure.SetMember]] = defaultdict(list)
    for key, code, team in rows.values_list("contestant_id", "result_set__code", "team"):
        members[key].append(pure.SetMember(code, 0, team))
    return {key: membership_written(of) for key, of in members.items()}


def values_of(contestant: Contestant, sets: str | None = None) -> Values:
    """What an entry says, of a contestant fetched with division and team; `sets` for whoever knows them already."""
    return Values(
        number=contestant.number,
        division=contestant.division.code,
        team=contestant.team.name if contestant.team else "",
        first_name=contestant.first_name,
        last_name=contestant.last_name,
        group=contestant.group,
        show_name=contestant.show_name,
        present=contestant.present,
        came_from=contestant.came_from,
        result_sets=sets_of([contestant]).get(contestant.pk, "") if sets is None else sets,
    )


def people_of(contest: Contest) -> list[Person]:
    """Everybody who is entered, with what keeps them from changing."""
    read = read_of(contest)
    allowed = _Allowed(contest)
    sets = sets_of(contest)
    return [
        Person(
            key=contestant.pk,
            values=values_of(contestant, sets.get(contestant.pk, "")),
            read=contestant.pk in read,
            barred=allowed.barred(read[contestant.pk]) if contestant.pk in read else {},
        )
        for contestant in contest.contestants.select_related("division", "team")
    ]


def out_of_place(contestant: Contestant) -> list[tuple[Division, str]]:
    """The other divisions in which something that was read of this contestant would not belong, and what, in words."""
    allowed = _Allowed(contestant.contest)
    strays = allowed.strays(read_of(contestant.contest, Q(contestant=contestant))[contestant.pk])
    return [(division, what) for division, what in strays.items() if division.pk != contestant.division_id]


def readings_out_of_place(contestant: Contestant, division: Division) -> list[Any]:
    """The readings of this contestant, none of them taken back, that would not belong in a division."""
    allowed = _Allowed(contestant.contest)
    live = Q(contestant=contestant, withdrawn_at__isnull=True)
    return [
        reading
        for kind, model, of in SOURCES
        for reading in model._default_manager.filter(live).order_by("pk")
        if not allowed.may_be(kind, getattr(reading, f"{of}_id"), division)
    ]


def set_aside_of(contestant: Contestant) -> list[Any]:
    """The readings of this contestant that were set aside for a reason, the latest first."""
    aside = Q(contestant=contestant, withdrawn_at__isnull=False) & ~Q(withdrawn_reason="")
    readings = [reading for _kind, model, _of in SOURCES for reading in model._default_manager.filter(aside)]
    return sorted(readings, key=lambda reading: reading.withdrawn_at, reverse=True)


def read_digest(contestant: Contestant) -> str:
    """Stands for all that was read of this contestant and not taken back."""
    live = Q(contestant=contestant, withdrawn_at__isnull=True)
    keys = [list(model._default_manager.filter(live).values_list("pk", flat=True)) for _k, model, _of in SOURCES]
    return hashlib.sha256(repr([sorted(kind) for kind in keys]).encode()).hexdigest()[:16]


def read_of(contest: Contest, only: Q | None = None) -> dict[int, dict[str, set[int]]]:
    """What was read of each contestant and not taken back."""
    readings: dict[int, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for kind, model, of in SOURCES:
        rows = model._default_manager.filter(
            only or Q(), withdrawn_at__isnull=True, contestant__isnull=False, contestant__contest=contest
        )
        for contestant_id, key in rows.order_by().values_list("contestant_id", f"{of}_id").distinct():
            readings[contestant_id][kind].add(key)
    return readings


class _Allowed:
    """What each division judges, gives reasons on and does."""

    def __init__(self, contest: Contest) -> None:
        self._divisions = list(contest.divisions.all())
        self._names: dict[str, dict[int, str]] = {
            CARDS: {pk: str(number) for pk, number in contest.classes.values_list("pk", "number")},
            MARKS: dict(contest.parts.values_list("pk", "name")),
        }
        self._names |= {REASONS: self._names[CARDS], CHOICES: self._names[MARKS]}
        self._does: dict[tuple[str, int], set[int]] = defaultdict(set)
        for row in ClassDivision.objects.filter(division__contest=contest).select_related("judging_class"):
            if row.judging_class.places:
                self._does[CARDS, row.division_id].add(row.judging_class_id)
            if row.gives_reasons:
                self._does[REASONS, row.division_id].add(row.judging_class_id)
        for part_id, division_id in Part.divisions.through.objects.filter(part__contest=contest).values_list(
            "part_id", "division_id"
        ):
            self._does[MARKS, division_id].add(part_id)
            self._does[CHOICES, division_id].add(part_id)

    def barred(self, read: Read) -> dict[str, str]:
        """Why somebody of whom this was read cannot be in a division, by its code."""
        told = _("{what} were read, which {division} does not judge; move them on their own page instead")
        strays = self.strays(read)
        return {division.code: told.format(what=what, division=division.name) for division, what in strays.items()}

    def strays(self, read: Read) -> dict[Division, str]:
        """What of this would not belong in a division, in words; a division where all belongs is left out."""
        found = {}
        for division in self._divisions:
            strays = [
                _(WHAT_WAS_READ[kind]).format(names=self._listed(kind, keys - self._does[kind, division.pk]))
                for kind, keys in read.items()
                if keys - self._does[kind, division.pk]
            ]
            if strays:
                found[division] = listed(strays)
        return found

    def may_be(self, kind: str, key: int, division: Division) -> bool:
        return key in self._does[kind, division.pk]

    def _listed(self, kind: str, keys: Iterable[int]) -> str:
        return ", ".join(name for pk, name in self._names[kind].items() if pk in set(keys))
