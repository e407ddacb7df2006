"""Changes of an event. It belongs to no contest, so each stands in the site's own chain of the trail."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date
from typing import Any, cast

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.entries.across import keys_said
from contest.models import Contest, Event, EventContest
from contest.records.tallying import tallied
from contest.trail import note, sentence
from scoring.announced.held_back import holds_back
from scoring.announced.released import Released, released
from scoring.core.sweepstakes import Rule, person_key
from scoring.events.helping import follow
from scoring.events.tables import Scored


def rule_of(event: Event, contests: Sequence[Contest]) -> Rule:
    named = EventContest.objects.filter(event=event, parts_ties=True).values_list("contest", flat=True).first()
    keys = [contest.pk for contest in contests]
    points = tuple(int(text) for text in event.points.split())
    tie_contest = keys.index(named) if named in keys else None
    return Rule(cast(Any, event.by), points, tie_contest, event.needs_all)


@changes
def save_event(event: Event, contests: Collection[Contest], parts_ties: Contest | None, by: str) -> Event:
    """Make an event, or change its name, rule and contests. Raises NotPossible for a contest of another event, for
    fewer than two, and once it is released."""
    is_new = event.pk is None
    if not is_new and Event.objects.filter(pk=event.pk, released_at__isnull=False).exists():
        raise NotPossible(_("the sweepstakes are released; withdraw them before anything of the day is changed"))
    if len(contests) < 2:
        raise NotPossible(_("a day has two contests or more"))
    taken = EventContest.objects.filter(contest__in=contests).exclude(event=event.pk).select_related("contest", "event")
    if other := taken.first():
        raise NotPossible(_("{contest} is in {event} already").format(contest=other.contest, event=other.event))
    event.save()
    places = EventContest.objects.filter(event=event)
    before = {place.contest for place in places.select_related("contest")}
    new = [contest for contest in contests if contest not in before]
    follow(event, [contest for contest in before if contest not in contests], new, by)
    places.exclude(contest__in=contests).delete()
    places.update(parts_ties=False)
    EventContest.objects.bulk_create(EventContest(event=event, contest=contest) for contest in new)
    places.filter(contest=parts_ties).update(parts_ties=True)
    after = {
        "contests": [contest.pk for contest in contests],
        "parts_ties": parts_ties.pk if parts_ties else None,
        **{name: getattr(event, name) for name in ("by", "points", "needs_all")},
        "held_on": event.held_on.isoformat() if isinstance(event.held_on, date) else None,
    }
    note(by, sentence("event_made" if is_new else "event_changed", event=event.name), after=after)
    return event


@changes
def release_event(event: Event, by: str) -> None:
    """Let everybody read the sweepstakes. Raises NotPossible before each contest's own results can be read."""
    if waiting := not_public(event):
        names = ", ".join(map(str, waiting))
        raise NotPossible(_("first everybody must be able to read the results of {contests}").format(contests=names))
    rows = Event.objects.filter(pk=event.pk, released_at=None)
    if not rows.update(released_at=timezone.now()):
        raise NotPossible(_("the sweepstakes are released already"))
    note(by, sentence("event_released", event=event.name))


@changes
def withdraw_event(event: Event, by: str) -> None:
    """Take the sweepstakes back from the public. Raises NotPossible where they are not released."""
    if not Event.objects.filter(pk=event.pk, released_at__isnull=False).update(released_at=None):
        raise NotPossible(_("the sweepstakes are not released"))
    note(by, sentence("event_withdrawn", event=event.name))


@changes
def delete_event(event: Event, by: str) -> None:
    """Forget an event; its contests stay, and whoever helped in all of them is shown out."""
    follow(event, list(Contest.every.filter(event_place__event=event)), [], by)
    event.delete()
    note(by, sentence("event_deleted", event=event.name))


def not_public(event: Event) -> list[Contest]:
    """The contests whose results not everybody can read yet."""
    return [contest for contest in event.contests() if released(contest) is None or holds_back(contest)]


def said_of(contest: Contest) -> dict[tuple[int, str], str]:
    """Of whom it was said who they are: their keys by number, and by name, as a number may be another's by now."""
    said = keys_said([contest])
    people = contest.contestants.filter(pk__in=said).select_related("team")
    return {
        (one.number, person_key(one.first_name, one.last_name, one.team.name if one.team else "")): said[one.pk]
        for one in people
    }


def announced(event: Event) -> list[Released] | None:
    """What everybody may read of each contest; None while any of it, or the event itself, is not released."""
    if event.released_at is None:
        return None
    contests = event.contests()
    shown = [released(contest) for contest in contests]
    if not shown or any(one is None for one in shown) or any(holds_back(contest) for contest in contests):
        return None
    return [one for one in shown if one is not None]


def as_it_stands(contests: Sequence[Contest]) -> list[Scored]:
    """Each contest as it was announced last, or as it stands where nothing was, for the superintendent."""
    made = []
    for contest in contests:
        if told := released(contest):
            made.append(Scored(told.whole, told.result, told.whole, said_of(contest)))
        else:
            now = tallied(contest)
            made.append(Scored(now.record, now.result, now.record, said_of(contest)))
    return made


def as_announced(shown: Sequence[Released], contests: Sequence[Contest]) -> list[Scored]:
    """What `announced` gave of these contests, as everybody may read it."""
    return [
        Scored(one.whole, one.result, one.record, said_of(contest))
        for one, contest in zip(shown, contests, strict=True)
    ]
