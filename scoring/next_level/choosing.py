"""On to the next level: which lists it goes by, who declines, who goes, and the file of their entries."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple, cast

from django.utils.translation import gettext as _

from contest.book.next_entries import next_entries
from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Contestant, Team, Touches
from contest.models.outline import TEXT_LENGTH
from contest.trail import Personal, record_change, sentence
from scoring.announced.released import Released, released
from scoring.board.awards import TEAMS, ListKey
from scoring.board.queue import lists_of
from scoring.core.going_on import Chosen, Declined, Wanted, choose, entrants
from scoring.core.record import Contestant as Person
from scoring.core.record import Record
from scoring.models import NextList, NotComing

MOST_PLACES = 500


class NotComingAs(NamedTuple):
    """Who declined as the announced record knows them, the row's key, and why."""

    pk: int
    who: int | str
    division: str
    reason: str


@dataclass(frozen=True, slots=True)
class Choice:
    """Who goes on by what was announced. `record` has every name, corrected since or not, and whose may be shown as
    the family wishes now; `titles` what the lists are called."""

    chosen: list[Chosen]
    record: Record
    declined: Declined
    not_coming: list[NotComingAs]
    titles: dict[ListKey, str]

    @property
    def people(self) -> list[Person]:
        return entrants(self.chosen, self.record, self.declined)


@changes
def set_list(contest: Contest, wanted: Wanted, by: str) -> None:
    """Say how many of a list go on and stand in, in place of what was said of it before. Raises NotPossible."""
    take_turn(contest.pk)
    key = ListKey(*wanted[:3])
    named = {one.key: str(one) for one in lists_of(contest)}
    if key not in named:
        raise NotPossible(_("the contest has no such list"))
    if not 1 <= wanted.places <= MOST_PLACES or not 0 <= wanted.alternates <= MOST_PLACES:
        raise NotPossible(_("from 1 to {most} can go on").format(most=MOST_PLACES))
    values = {"places": wanted.places, "alternates": wanted.alternates, "besides_teams": wanted.besides_teams}
    NextList.objects.update_or_create(contest=contest, **key._asdict(), defaults=values)
    counts = {"places": wanted.places, "alternates": wanted.alternates}
    what = sentence("next_list_set", award=" ".join(key), **counts)
    record_change(contest, by, what, after=wanted._asdict(), touches=Touches.NOTHING)


@changes
def remove_list(contest: Contest, pk: int, by: str) -> None:
    """Let nobody go on by a list. Raises NotPossible where it is gone."""
    take_turn(contest.pk)
    row = NextList.objects.filter(contest=contest, pk=pk).first()
    if row is None:
        raise NotPossible(_("that list is taken out already"))
    row.delete()
    what = sentence("next_list_removed", award=f"{row.division} {row.code} {row.kind}")
    record_change(contest, by, what, touches=Touches.NOTHING)


@changes
def decline(contest: Contest, kind: str, division: str, who: str, reason: str, by: str) -> None:
    """Pass somebody over, for a reason that the trail keeps; the next of each list moves up.

    Raises NotPossible without a reason, and where nobody is there who could go on.
    """
    take_turn(contest.pk)
    reason = " ".join(reason.split())[:TEXT_LENGTH]
    if not reason:
        raise NotPossible(_("say why; the trail keeps it"))
    team = contestant = None
    if kind == TEAMS:
        team = Team.objects.filter(division__contest=contest, division__code=division, name=who).first()
    elif who.isascii() and who.isdecimal():
        contestant = Contestant.objects.filter(contest=contest, number=int(who[:9])).first()
    if team is None and contestant is None:
        raise NotPossible(_("nobody is entered any more who could be passed over there"))
    if NotComing.objects.filter(team=team, contestant=contestant).exists():
        raise NotPossible(_("they are passed over already"))
    _record(
        contest, NotComing.objects.create(contest=contest, team=team, contestant=contestant, reason=reason), by, True
    )


@changes
def comes_after_all(contest: Contest, pk: int, by: str) -> None:
    """Pass somebody over no longer. Raises NotPossible where nobody did."""
    take_turn(contest.pk)
    row = NotComing.objects.filter(contest=contest, pk=pk).select_related("team", "contestant").first()
    if row is None:
        raise NotPossible(_("they are not passed over"))
    row.delete()
    _record(contest, row, by, False)


def _record(contest: Contest, row: NotComing, by: str, declines: bool) -> None:
    after = {"reason": Personal(row.reason)} if declines else None
    if row.team:
        what = sentence("next_team_declined" if declines else "next_team_comes", team=row.team.name)
        about = [f"team:{row.team_id}"]
    else:
        number = cast(Contestant, row.contestant).number  # the database sees to it
        what = sentence("next_contestant_declined" if declines else "next_contestant_comes", contestant=number)
        about = []
    record_change(contest, by, what, after=after, touches=Touches.NOTHING, about=about)


def wanted_of(contest: Contest) -> list[tuple[int, Wanted]]:
    """The lists it goes by, each with its row's key."""
    rows = NextList.objects.filter(contest=contest)
    return [
        (row.pk, Wanted(row.division, row.code, row.kind, row.places, row.alternates, row.besides_teams))  # type: ignore[arg-type]  # as the model's choices
        for row in rows
    ]


def choice_of(contest: Contest) -> Choice | None:
    """Who goes on; None while nothing is announced."""
    announced = released(contest)
    if announced is None:
        return None
    record = _as_they_are_now(contest, announced)
    not_coming = list(_not_coming(contest))
    people = frozenset(one.who for one in not_coming if isinstance(one.who, int))
    declined = Declined(people, frozenset((one.division, one.who) for one in not_coming if isinstance(one.who, str)))
    wanted = [wanted for _pk, wanted in wanted_of(contest)]
    chosen = choose(announced.result.standings, wanted, record, declined)
    titles = {one.key: str(one) for one in lists_of(contest)}
    return Choice(chosen, record, declined, not_coming, titles)


def next_file(contest: Contest, came_from: str) -> str:
    """The entries of whoever goes on, as a file for the next contest. Raises NotPossible where nobody does."""
    choice = choice_of(contest)
    people = choice.people if choice else []
    if not people:
        raise NotPossible(_("nobody goes on yet"))
    return next_entries(people, " ".join(came_from.split())[:TEXT_LENGTH] or contest.name)


def _not_coming(contest: Contest) -> list[NotComingAs]:
    rows = NotComing.objects.filter(contest=contest).select_related("team__division", "contestant__division")
    made = []
    for row in rows:
        of = row.team or row.contestant
        assert of is not None  # the database sees to it
        made.append(NotComingAs(row.pk, of.name if isinstance(of, Team) else of.number, of.division.code, row.reason))
    return made


def _as_they_are_now(contest: Contest, announced: Released) -> Record:
    """The announced record, with names as they are spelt by now and shown as families wish by now. Whoever is somebody
    else under the same number by now, or is entered no more, is nameless: no name may stand for another one."""
    now = {person.number: person for person in contest.contestants.select_related("team", "division")}

    def as_now(person: Person) -> Person:
        row = now.get(person.number)
        same = row and (row.first_name == person.first_name or row.last_name == person.last_name)
        if row is None or not same:
            return person._replace(first_name="", last_name="", show_name=False)
        return person._replace(first_name=row.first_name, last_name=row.last_name, show_name=row.show_name)

    return replace(announced.whole, contestants=tuple(map(as_now, announced.whole.contestants)))
