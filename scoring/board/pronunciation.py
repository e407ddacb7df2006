"""How names are said: notes for the announcer, and whose name may not be said at all."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Contestant, Team, Touches
from contest.models.outline import TEXT_LENGTH
from contest.trail import record_change, sentence
from scoring.core.record import Record


@dataclass
class SaidOtherwise(NotPossible):
    """Raised where somebody wrote another note meanwhile: `theirs`."""

    theirs: str

    def __str__(self) -> str:
        if not self.theirs:
            return _("somebody cleared the note meanwhile")
        return _("somebody wrote “{theirs}” meanwhile").format(theirs=self.theirs)


@dataclass(frozen=True, slots=True)
class Spoken:
    """How one is called aloud. `number_only`: the family wants no name in public, so there is none here either."""

    pk: int
    name: str
    say: str
    number_only: bool = False


@changes
def note_say_name(who: Contestant | Team, say: str, was: str, by: str) -> None:
    """Write down how a name is said, where `was` is still what was written. Raises SaidOtherwise and NotPossible."""
    contest = who.contest if isinstance(who, Contestant) else who.division.contest
    take_turn(contest.pk)
    who.refresh_from_db(fields=["say_name"])
    say = " ".join(say.split())
    if len(say) > TEXT_LENGTH:
        raise NotPossible(_("say it in {most} characters").format(most=TEXT_LENGTH))
    if who.say_name == say:
        return
    if who.say_name != was:
        raise SaidOtherwise(who.say_name)
    who.say_name = say
    who.save(update_fields=["say_name"])
    if isinstance(who, Contestant):
        what, about = sentence("contestant_said", contestant=who.number), []
    else:
        what, about = sentence("team_said"), [f"team:{who.pk}"]
    record_change(contest, by, what, {"say_name": was}, {"say_name": say}, touches=Touches.NOTHING, about=about)


def spoken_people(contest: Contest, record: Record) -> dict[int, Spoken]:
    """By number, whoever is in a record that was announced, as they may be called now.

    Whoever has another name or number by now is called by number alone: nobody knows whose family was asked.
    """
    rows = contest.contestants.values_list("number", "pk", "first_name", "last_name", "say_name", "show_name")
    now = {number: (pk, first, last, say, willing) for number, pk, first, last, say, willing in rows}
    people = {}
    for person in record.contestants:
        pk, first, last, say, willing = now.get(person.number, (0, "", "", "", False))
        if not willing or (first, last) != (person.first_name, person.last_name):
            people[person.number] = Spoken(pk, "", "", number_only=True)
        else:
            people[person.number] = Spoken(pk, " ".join(filter(None, (first, last))), say)
    return people


def spoken_teams(contest: Contest) -> dict[tuple[str, str], Spoken]:
    """By division code and name."""
    rows = Team.objects.filter(division__contest=contest).values_list("division__code", "name", "pk", "say_name")
    return {(division, name): Spoken(pk, name, say) for division, name, pk, say in rows}
