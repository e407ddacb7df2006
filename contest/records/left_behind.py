"""What a contest book has no place for: it stays in the database alone, and whoever takes a book away is told."""

from __future__ import annotations

from django.db.models import Q
from django.utils.translation import gettext as _

from contest.models import Contest, Contestant
from scoring.core.explain import listed


def left_behind(contest: Contest) -> str:
    """What of a contest its book does not hold, in a sentence; empty where it holds all. No score rests on it."""
    people = Contestant.objects.filter(contest=contest)
    found = (
        (contest.classes.exclude(minutes=None, handling="").exists(), _("minutes and handling of single classes")),
        (contest.divisions.filter(Q(team_least__gt=0) | Q(team_most__gt=0)).exists(), _("how many members a team has")),
        (contest.parts.filter(questions__gt=0).exists(), _("answers and their keys, but for the points they come to")),
        (people.filter(alternate=True).exists(), _("of which team somebody is the alternate")),
        (people.filter(late=True).exists(), _("who entered late")),
        (people.exclude(unranked="").exists(), _("why somebody is not ranked")),
    )
    told = [words for there, words in found if there]
    return _("Not in the book: {what}.").format(what=listed(told)) if told else ""
