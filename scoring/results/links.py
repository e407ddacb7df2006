"""Links to take home: an unguessable address where a team or a contestant finds their sheets."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Contestant, Team, Touches
from contest.trail import record_change, sentence
from contest.web.searching import plain
from contest.web.square_codes import svg_of
from scoring.announced.released import Released, released
from scoring.models import TakeHomeLink

TOKEN_BYTES = 16
"""128 bits: more than anybody could try, and still a short address for a square code."""


@dataclass(frozen=True, slots=True)
class Handout:
    """One link as it is handed out. `qr_code` is an image of `address`."""

    pk: int
    whose: str
    division: str
    is_team: bool
    address: str
    qr_code: str


@changes
def make_links(contest: Contest, by: str) -> int:
    """Make a link for every team and contestant of the released results who has none; return how many were made.

    Raises NotPossible before a release.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    announced = released(contest)
    if announced is None:
        raise NotPossible(_("links lead to results, and these are not released yet"))
    linked = list(TakeHomeLink.objects.filter(contest=contest, withdrawn_at=None).values_list("team", "contestant"))
    teams, people = {team for team, _person in linked}, {person for _team, person in linked}
    made = [
        TakeHomeLink(contest=contest, token=_token(), team=team)
        for team in _teams(contest, announced)
        if team.pk not in teams
    ] + [
        TakeHomeLink(contest=contest, token=_token(), contestant=person)
        for person in _people(contest, announced)
        if person.pk not in people
    ]
    if made:
        TakeHomeLink.objects.bulk_create(made)
        record_change(contest, by, sentence("links_made", count=len(made)), touches=Touches.NOTHING)
    return len(made)


@changes
def withdraw_link(link: TakeHomeLink, by: str) -> None:
    """Let a link lead nowhere any more. Raises NotPossible where it is withdrawn already."""
    take_turn(link.contest_id)
    if not TakeHomeLink.objects.filter(pk=link.pk, withdrawn_at=None).update(withdrawn_at=timezone.now()):
        raise NotPossible(_("that link is withdrawn already"))
    _record(link, by, "withdrawn")


@changes
def renew_link(link: TakeHomeLink, by: str) -> TakeHomeLink:
    """Make a link anew: the old address leads nowhere any more. Raises NotPossible where it is withdrawn already."""
    withdraw_link(link, by)
    made = TakeHomeLink.objects.create(contest=link.contest, token=_token(), team=link.team, contestant=link.contestant)
    _record(link, by, "made_anew")
    return made


@changes
def withdraw_all(contest: Contest, by: str) -> int:
    """Withdraw every link of the contest, and return how many there were."""
    take_turn(contest.pk)
    count = TakeHomeLink.objects.filter(contest=contest, withdrawn_at=None).update(withdrawn_at=timezone.now())
    if count:
        record_change(contest, by, sentence("links_withdrawn", count=count), touches=Touches.NOTHING)
    return count


def link_of(token: str) -> TakeHomeLink | None:
    """The link with a token; None for one that was never made, or is withdrawn."""
    links = TakeHomeLink.objects.select_related("contest", "team__division", "contestant__division")
    return links.filter(token=token, withdrawn_at=None, contest__deleted_at=None).first()


def _record(link: TakeHomeLink, by: str, became: Literal["withdrawn", "made_anew"]) -> None:
    """Tell the trail what became of a link, without any name of a person."""
    if link.team:
        what, about = sentence(f"team_link_{became}", team=str(link.team)), [f"team:{link.team_id}"]
    else:
        assert link.contestant is not None  # the database sees to it
        what, about = sentence(f"contestant_link_{became}", contestant=link.contestant.number), []
    record_change(link.contest, by, what, touches=Touches.NOTHING, about=about)


def links_of(contest: Contest, wanted: str = "") -> list[TakeHomeLink]:
    """Every link that leads somewhere: teams by division and name, then contestants by number.

    With `wanted`, those alone whose number, team or division holds each of its words.
    """
    links = TakeHomeLink.objects.filter(contest=contest, withdrawn_at=None)
    links = links.select_related("team__division", "contestant__division", "contestant__team")
    teams = links.filter(team__isnull=False).order_by("team__division__position", "team__division", "team__name")
    people = links.filter(contestant__isnull=False).order_by("contestant__number")
    words = plain(wanted).split()
    return [link for link in [*teams, *people] if all(word in plain(_searched(link)) for word in words)]


def handout(link: TakeHomeLink, base: str) -> Handout:
    """A link to hand out; `base` is how other devices reach this laptop."""
    address = base + reverse("take-home", args=[link.token])
    of = link.team or link.contestant
    assert of is not None  # the database sees to it
    return Handout(link.pk, str(of), str(of.division), link.team is not None, address, svg_of(address))


def _searched(link: TakeHomeLink) -> str:
    """What a link is found by: no name of a person, for it stands in an address."""
    if link.team:
        return f"{link.team.name} {link.team.division}"
    person = link.contestant
    assert person is not None
    return f"{person.number} {person.team or ''} {person.division}"


def number_in(announced: Released, contestant: Contestant) -> int | None:
    """The number that a contestant had in what was announced; None where that is not certain.

    Numbers can be given anew afterwards: nobody must find somebody else's sheet behind their link.
    """
    for person in announced.whole.contestants:
        if person.number == contestant.number:
            same = (person.first_name, person.last_name) == (contestant.first_name, contestant.last_name)
            return person.number if same and person.present else None
    return None


def _teams(contest: Contest, announced: Released) -> Iterable[Team]:
    known = {(c.division, c.team) for c in announced.whole.contestants if c.present and c.team}
    teams = Team.objects.filter(division__contest=contest).select_related("division")
    return (team for team in teams if (team.division.code, team.name) in known)


def _people(contest: Contest, announced: Released) -> Iterable[Contestant]:
    known = {c.number for c in announced.whole.contestants if c.present}
    return (person for person in contest.contestants.all() if person.number in known)


def _token() -> str:
    return secrets.token_urlsafe(TOKEN_BYTES)
