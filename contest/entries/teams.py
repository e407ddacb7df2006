"""Changes to teams: what they are called, which are one, and how many members the rules ask for."""

from __future__ import annotations

from typing import Any

from django.db.models import ForeignObjectRel
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.entries.people import NotThis
from contest.models import Division, MarkReading, Team, Touches
from contest.trail import record_change, sentence
from scoring.core.people import fold


@changes
def rename_team(team: Team, name: str, by: str, says: str = "team_renamed") -> None:
    """Call a team something else; `says` is what the trail says of it. Raises NotThis for a name that another team of
    its division has."""
    team = _fresh(team)
    if not name:
        raise NotThis("name", _("a team needs a name"))
    if any(fold(other.name) == fold(name) for other in team.division.teams.exclude(pk=team.pk)):
        raise NotThis("name", _("{division} has a team of that name: merge the two").format(division=team.division))
    before, team.name = team.name, name
    team.save(update_fields=["name"])
    what = sentence(says, team=before, name=name)
    record_change(team.division.contest, by, what, before=before, after=name, about=[f"team:{team.pk}"])


@changes
def merge_teams(team: Team, into: Team, by: str) -> None:
    """Make one team of two: whatever is one's is the other's from then on, and the first is gone.

    Raises NotPossible for teams of two divisions, and where both have marks of their own in one part.
    """
    team, into = _fresh(team), _fresh(into)
    if team.pk == into.pk or team.division_id != into.division_id:
        raise NotPossible(_("only two teams of one division can be merged"))
    marked = MarkReading.objects.filter(withdrawn_at__isnull=True)
    both = marked.filter(team=team, part__in=marked.filter(team=into).values("part")).select_related("part").first()
    if both:
        told = _("both teams have marks in {part}; set those of one aside first")
        raise NotPossible(told.format(part=both.part.name))
    members = list(team.members.order_by("number").values_list("number", flat=True))
    for relation in Team._meta.get_fields(include_hidden=True):
        if isinstance(relation, ForeignObjectRel):
            model: Any = relation.related_model
            if relation.one_to_one and model._base_manager.filter(**{relation.field.name: into}).exists():
                # Such as both passed over for the next level: one of them can say so.
                model._base_manager.filter(**{relation.field.name: team}).delete()
            model._base_manager.filter(**{relation.field.name: team}).update(**{relation.field.name: into})
    team.delete()
    what = sentence("teams_merged", team=team.name, into=into.name)
    record_change(into.division.contest, by, what, before=members, about=[f"team:{into.pk}"])


@changes
def set_team_sizes(division: Division, least: int, most: int, by: str) -> None:
    """Say how many members a team of a division has at least and at most, 0 for any number. It warns, and forbids
    nothing. Raises NotThis where the most are fewer than the least."""
    take_turn(division.contest_id)
    if most and most < least:
        raise NotThis("most", _("the most are fewer than the least"))
    division = Division.objects.select_related("contest").get(pk=division.pk)
    before = [division.team_least, division.team_most]
    division.team_least, division.team_most = least, most
    division.save(update_fields=["team_least", "team_most"])
    what = sentence("team_sizes", division=division.name)
    record_change(division.contest, by, what, before=before, after=[least, most], touches=Touches.NOTHING)


def _fresh(team: Team) -> Team:
    take_turn(Team.objects.filter(pk=team.pk).values_list("division__contest", flat=True).first() or 0)
    return Team.objects.select_related("division__contest").get(pk=team.pk)
