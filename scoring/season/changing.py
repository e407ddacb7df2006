"""Every change of a season. The site's trail says that one was made, and names nobody."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.trail import note, sentence
from scoring.models import (
    Season,
    SeasonClass,
    SeasonMember,
    SeasonPlacing,
    SeasonReasons,
    SeasonSource,
)
from scoring.season.arriving import Arrived
from scoring.season.matching import source_before

MOST_MEMBERS = 60
MOST_SOURCES = 40


@changes
def make_season(name: str, by: str) -> Season:
    season = Season.objects.create(name=name)
    note(by, sentence("season_made"))
    return season


@changes
def change_season(season: Season, name: str, best: int, last: int, size: int) -> None:
    """What it is called, and by which rule its team is picked."""
    Season.objects.filter(pk=season.pk).update(name=name, best=best, last=last, size=size)


@changes
def delete_season(season: Season, by: str) -> None:
    """Delete a season for good, with its members and all results."""
    _take(season.pk)
    Season.objects.filter(pk=season.pk).delete()
    note(by, sentence("season_deleted"))


@changes
def add_member(season: Season, number: int, name: str, consents: bool, by: str) -> SeasonMember:
    """Add a member. Raises NotPossible where somebody has the number, or a name comes without consent."""
    _take(season.pk)
    if season.members.count() >= MOST_MEMBERS:
        raise NotPossible(_("a season has at most {most} members; make another one").format(most=MOST_MEMBERS))
    member = SeasonMember(season=season, number=number)
    _say(member, number, name, consents, by)
    member.save()
    note(by, sentence("season_member_consents" if member.consent_at else "season_member_added"))
    return member


@changes
def change_member(member: SeasonMember, number: int, name: str, consents: bool, by: str) -> None:
    """Give a member another number or name; without consent the name goes. Raises NotPossible as `add_member` does."""
    _take(member.season_id)
    member.refresh_from_db()
    had = member.consent_at is not None
    _say(member, number, name, consents, by)
    member.save(update_fields=["number", "name", "consent_at", "consent_by"])
    if consents != had:
        note(by, sentence("season_member_consents" if consents else "season_consent_withdrawn"))


def _say(member: SeasonMember, number: int, name: str, consents: bool, by: str) -> None:
    if SeasonMember.objects.filter(season=member.season_id, number=number).exclude(pk=member.pk).exists():
        raise NotPossible(_("another member has number {number}").format(number=number))
    if name and not consents:
        raise NotPossible(_("a name is kept only with consent; tick that there is one, or leave the name empty"))
    member.number, member.name = number, name
    if not consents:
        member.consent_at, member.consent_by = None, ""
    elif member.consent_at is None:
        member.consent_at, member.consent_by = timezone.now(), by


@changes
def delete_member(member: SeasonMember, by: str) -> None:
    """Delete a member for good, with every row that any contest or practice left of them."""
    _take(member.season_id)
    SeasonMember.objects.filter(pk=member.pk).delete()
    note(by, sentence("season_member_deleted"))


@changes
def put_in(
    season: Season, arrived: Arrived, held_on: date, counts: bool, who: Mapping[int, int], by: str
) -> SeasonSource:
    """Keep what the club's members did in a contest or practice; `who` says of members, by key, which number they had.

    One that is in the season already, or was and is corrected now, takes its own place. Raises NotPossible.
    """
    _take(season.pk)
    before = source_before(season.pk, arrived)
    if before is None and season.sources.count() >= MOST_SOURCES:
        told = _("a season has at most {most} contests and practices; make another one")
        raise NotPossible(told.format(most=MOST_SOURCES))
    if set(who) - set(season.members.values_list("pk", flat=True)):
        raise NotPossible(_("a member was deleted meanwhile; look again"))
    if set(who.values()) - {person.number for person in arrived.people}:
        raise NotPossible(_("somebody is not in it any more; look again"))
    if len(set(who.values())) < len(who):
        raise NotPossible(_("two members cannot be one person of it"))
    if before:
        before.delete()
    source = season.sources.create(
        kind=arrived.kind, name=arrived.name, held_on=held_on, digest=arrived.digest, counts=counts
    )
    _keep_rows(source, arrived, who)
    note(by, sentence("season_source_put"))
    return source


def _keep_rows(source: SeasonSource, arrived: Arrived, who: Mapping[int, int]) -> None:
    entries = [source.entries.create(member_id=member, number=number) for member, number in who.items()]
    for one in arrived.classes:
        (placed, placed_sum), (heard, heard_sum) = one.placed(), one.heard()
        judged = SeasonClass.objects.create(
            source=source,
            number=one.number,
            name=one.name,
            category=one.category,
            animals=one.animals,
            perfect=one.perfect,
            official=one.official,
            cuts=one.cuts,
            placed=placed,
            placed_sum=placed_sum,
            heard=heard,
            heard_sum=heard_sum,
        )
        did = [(entry, one.did[entry.number]) for entry in entries if entry.number in one.did]
        SeasonPlacing.objects.bulk_create(
            SeasonPlacing(entry=entry, judged=judged, placing=row.placing, points=row.points)
            for entry, row in did
            if row.points is not None
        )
        SeasonReasons.objects.bulk_create(
            SeasonReasons(entry=entry, judged=judged, points=row.reasons, given=row.given)
            for entry, row in did
            if row.reasons is not None
        )


@changes
def take_out(source: SeasonSource, by: str) -> None:
    """Take a contest or practice out of the season, with all that members did in it."""
    _take(source.season_id)
    SeasonSource.objects.filter(pk=source.pk).delete()
    note(by, sentence("season_source_out"))


def _take(pk: int) -> None:
    """Alone with the season until the transaction ends. Raises NotPossible where it was deleted meanwhile."""
    if Season.objects.select_for_update().filter(pk=pk).first() is None:
        raise NotPossible(_("the season was deleted meanwhile"))
