"""Who is in which set of results: somebody by themselves, many at once, and as an entry list says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.entries.entered import sets_of
from contest.entries.people import NotThis, fresh
from contest.models import Contest, Contestant, ResultSet, SetMember
from contest.trail import record_change, sentence
from contest.trail.subjects import contestants
from scoring.core.sets import members_of, why_not_membership

MOST_NUMBERS = 5000
"""Numbers that can be named at once: `101-999999` would name more than anybody has."""


def put_into_sets(contest: Contest, named: Mapping[int, str]) -> None:
    """Let these contestants, by key, be in the sets that `named` says and in no others. The caller writes it down."""
    if not named:
        return
    sets = {row.code: row for row in contest.sets.all()}
    SetMember.objects.filter(contestant__in=list(named)).delete()
    SetMember.objects.bulk_create(
        SetMember(result_set=sets[member.set], contestant_id=key, team=member.team)
        for key, text in named.items()
        for member in members_of(text, sets)
    )


@changes
def set_sets(contestant: Contestant, text: str, by: str, shown: str | None = None) -> Contestant:
    """Let a contestant be in the sets that `text` names (`scoring.core.sets.membership`), and in no others.

    `shown` is what their page said. Raises NotThis for a set that there is not, and NotPossible where that is no longer
    true, or nothing would change.
    """
    contestant = fresh(contestant)
    old = sets_of([contestant]).get(contestant.pk, "")
    if shown is not None and shown != old:
        raise NotPossible(_("somebody else has changed which sets they are in; look again"))
    if reason := why_not_membership(text, list(contestant.contest.sets.values_list("code", flat=True))):
        raise NotThis("sets", reason)
    put_into_sets(contestant.contest, {contestant.pk: text})
    new = sets_of([contestant]).get(contestant.pk, "")
    if new == old:
        raise NotPossible(_("{number} is in these sets already").format(number=contestant.number))
    what = sentence("contestant_in_sets", contestant=contestant.number)
    record_change(contestant.contest, by, what, before={"result_sets": old}, after={"result_sets": new})
    return contestant


@changes
def put_in_set(result_set: ResultSet, numbers: Iterable[int] | None, by: str, division: str = "") -> int:
    """Put contestants into a set: those of `numbers`, or everybody, of one division alone if it is given.

    Returns how many were not in it yet. Raises NotPossible for a number that nobody has, and where all are in it.
    """
    contest = result_set.contest
    take_turn(contest.pk)
    people = _chosen(contest, numbers, division)
    known = set(result_set.members.values_list("contestant_id", flat=True))
    new = [person for person in people if person.pk not in known]
    if not new:
        raise NotPossible(_("they are in it already"))
    SetMember.objects.bulk_create(SetMember(result_set=result_set, contestant=person) for person in new)
    _write_down(result_set, "put_in_set", new, by)
    return len(new)


@changes
def take_out_of_set(result_set: ResultSet, numbers: Iterable[int] | None, by: str, division: str = "") -> int:
    """The other way round: how many were in it until now. Raises NotPossible likewise."""
    take_turn(result_set.contest_id)
    people = _chosen(result_set.contest, numbers, division)
    rows = result_set.members.filter(contestant__in=people)
    known = set(rows.values_list("contestant_id", flat=True))
    gone = [person for person in people if person.pk in known]
    if not gone:
        raise NotPossible(_("nobody of them is in it"))
    rows.delete()
    _write_down(result_set, "taken_out_of_set", gone, by)
    return len(gone)


def _chosen(contest: Contest, numbers: Iterable[int] | None, division: str) -> list[Contestant]:
    people = contest.contestants.filter(division__code=division) if division else contest.contestants.all()
    if numbers is None:
        return list(people)
    wanted = set(numbers)
    found = list(people.filter(number__in=wanted))
    if missing := sorted(wanted - {person.number for person in found}):
        raise NotPossible(_("nobody has number {number} here").format(number=missing[0]))
    return found


def _write_down(result_set: ResultSet, code: str, people: list[Contestant], by: str) -> None:
    numbers = sorted(person.number for person in people)
    what = sentence(code, count=len(people), named=result_set.code)
    record_change(result_set.contest, by, what, after={"numbers": numbers}, about=contestants(numbers))


@dataclass(frozen=True, slots=True)
class SetShown:
    """A set with how many are in it, altogether and by division."""

    row: ResultSet
    count: int
    divisions: list[tuple[str, int]]


def sets_shown(contest: Contest) -> list[SetShown]:
    divisions = dict(contest.divisions.values_list("pk", "name"))
    rows = SetMember.objects.filter(result_set__contest=contest).values("result_set", "contestant__division")
    counts = {
        (row["result_set"], row["contestant__division"]): row["many"]
        for row in rows.order_by().annotate(many=Count("pk"))
    }
    return [
        SetShown(
            of,
            sum(many for (key, _division), many in counts.items() if key == of.pk),
            [(name, counts.get((of.pk, pk), 0)) for pk, name in divisions.items()],
        )
        for of in contest.sets.all()
    ]


def in_no_set(contest: Contest) -> list[int]:
    """The numbers of whoever is here and in no set, where there are some."""
    if not contest.sets.exists():
        return []
    member = SetMember.objects.filter(contestant=OuterRef("pk"))
    people = contest.contestants.filter(~Exists(member), present=True, ineligible=False).order_by("number")
    return list(people.values_list("number", flat=True))


def numbers_named(text: str) -> list[int]:
    """The numbers that such as `101-120, 131` names. Raises NotPossible."""
    named: list[int] = []
    for item in text.replace("–", "-").replace(",", " ").split():
        first, dash, last = item.partition("-")
        ends = [first, last] if dash else [first, first]
        if not all(end.isascii() and end.isdecimal() and len(end) < 10 for end in ends):
            raise NotPossible(_("{text!r} is no number; write such as 101-120, 131").format(text=item))
        low, high = map(int, ends)
        if high < low or high - low + len(named) >= MOST_NUMBERS:
            raise NotPossible(_("{text!r} names none, or too many; write such as 101-120, 131").format(text=item))
        named += range(low, high + 1)
    return named
