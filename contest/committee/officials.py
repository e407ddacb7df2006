"""The officials of committees: added, seated and removed."""

from __future__ import annotations

from collections.abc import Collection

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import CommitteeKey, CommitteeOfficial, CommitteeSeat, Contest, JudgingClass, Touches
from contest.models.outline import TEXT_LENGTH
from contest.trail import record_change, sentence


@changes
def add_official(contest: Contest, name: str, by: str) -> CommitteeOfficial:
    """Put an official on the committee of every class that has cards. Raises NotPossible without a name, and for one
    that another official has."""
    name = " ".join(name.split())
    if not name:
        raise NotPossible(_("give the official a name"))
    if len(name) > TEXT_LENGTH:
        raise NotPossible(_("that name is too long: {count} characters at most").format(count=TEXT_LENGTH))
    take_turn(contest.pk)
    if any(other.casefold() == name.casefold() for other in contest.committee_officials.values_list("name", flat=True)):
        raise NotPossible(_("an official of that name is there already; add an initial"))
    official = CommitteeOfficial.objects.create(contest=contest, name=name)
    for judged in contest.classes.filter(places=True):
        CommitteeSeat.objects.create(judging_class=judged, official=official)
    record_change(contest, by, sentence("committee_official_added"), after=_told(official), touches=Touches.NOTHING)
    return official


@changes
def seat_official(official: CommitteeOfficial, classes: Collection[int], is_chair: bool, by: str) -> None:
    """Say which classes, by number, an official places, and whether they are chair of those committees.

    Raises NotPossible where a class would be taken from an official who has handed in for it.
    """
    contest = official.contest
    take_turn(contest.pk)
    before = _told(official)
    going = official.seats.exclude(judging_class__number__in=classes)
    if kept := CommitteeKey.objects.filter(seat__in=going).select_related("seat__judging_class").first():
        text = _("{official} has handed in for class {number}; that stays")
        raise NotPossible(text.format(official=official, number=kept.seat.judging_class.number))
    going.delete()
    new = contest.classes.filter(places=True, number__in=classes).exclude(seats__official=official)
    for judged in new:
        CommitteeSeat.objects.create(judging_class=judged, official=official)
    official.is_chair = is_chair
    official.save(update_fields=["is_chair"])
    after = _told(official)
    if after != before:
        said = sentence("committee_official_changed")
        record_change(contest, by, said, before=before, after=after, touches=Touches.NOTHING)


@changes
def remove_official(official: CommitteeOfficial, by: str) -> None:
    """Remove an official who was added by mistake. Raises NotPossible once they have handed anything in."""
    contest = official.contest
    take_turn(contest.pk)
    if CommitteeKey.objects.filter(seat__official=official).exists() or official.agreed_keys.exists():
        raise NotPossible(_("{official} has handed in a placing; that stays").format(official=official))
    before = _told(official)
    official.delete()
    record_change(contest, by, sentence("committee_official_removed"), before=before, touches=Touches.NOTHING)


def classes_of(official: CommitteeOfficial) -> list[JudgingClass]:
    """The classes that an official places, in the contest's order."""
    return list(official.contest.classes.filter(seats__official=official, void=False))


def _told(official: CommitteeOfficial) -> dict[str, object]:
    numbers = official.contest.classes.filter(seats__official=official).values_list("number", flat=True)
    return {"person": official.name, "chair": official.is_chair, "classes": list(numbers)}
