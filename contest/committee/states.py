"""How far the committee of each class is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from contest.committee.handing_in import as_panel, handed_in
from contest.models import CommitteeKey, CommitteeSeat, Contest, JudgingClass, Key
from scoring.core.committee import Agreement, compare


@dataclass(frozen=True, slots=True)
class CommitteeState:
    """How far the committee of a class is: how many of its officials handed in, and how far those agree."""

    handed: int
    seats: int
    agreement: Agreement | None

    @property
    def is_flagged(self) -> bool:
        return self.agreement is not None and not self.agreement.is_reasonable


def states(contest: Contest) -> dict[int, CommitteeState]:
    """How far the committee of each class is, by the class's key; without the classes that have none."""
    seats: defaultdict[JudgingClass, list[CommitteeSeat]] = defaultdict(list)
    rows = CommitteeSeat.objects.filter(judging_class__contest=contest).select_related("official", "judging_class")
    for seat in rows:
        seats[seat.judging_class].append(seat)
    keys = handed_in(list(rows)) if rows else {}
    return {judged.pk: _state(judged, theirs, keys) for judged, theirs in seats.items()}


def agreed_by(contest: Contest) -> dict[int, list[str]]:
    """The officials who agreed on each key, by its key in the database."""
    names: defaultdict[int, list[str]] = defaultdict(list)
    rows = Key.agreed_by.through.objects.filter(key__judging_class__contest=contest).order_by("pk")
    for key, name in rows.values_list("key", "committeeofficial__name"):
        names[key].append(name)
    return dict(names)


def committees(contest: Contest) -> dict[int, tuple[str, ...]]:
    """The officials of each class's committee, by the class's number."""
    names: defaultdict[int, list[str]] = defaultdict(list)
    seats = CommitteeSeat.objects.filter(judging_class__contest=contest)
    for number, name in seats.values_list("judging_class__number", "official__name"):
        names[number].append(name)
    return {number: tuple(officials) for number, officials in names.items()}


def agreed_by_class(contest: Contest) -> dict[int, tuple[str, ...]]:
    """The officials who agreed on the newest key of each class, by the class's number."""
    agreed = agreed_by(contest)
    newest = dict(
        Key.objects.filter(judging_class__contest=contest)
        .order_by("version")
        .values_list("judging_class__number", "pk")
    )
    return {number: tuple(agreed[key]) for number, key in newest.items() if key in agreed}


def agreed_classes(contest: Contest) -> set[int]:
    """The classes, by number, that have or had a key which says who agreed on it."""
    agreed = Key.agreed_by.through.objects.filter(key__judging_class__contest=contest)
    return set(agreed.values_list("key__judging_class__number", flat=True))


def _state(judged: JudgingClass, seats: list[CommitteeSeat], keys: dict[int, CommitteeKey]) -> CommitteeState:
    panel = as_panel(seats, keys)
    comparison = compare(panel, judged.perfect)
    return CommitteeState(len(panel), len(seats), comparison.agreement if comparison else None)
