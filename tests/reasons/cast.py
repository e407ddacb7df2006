"""A contest with reasons and parts: 101 to 103 are seniors and give reasons, 201 is a junior and gives none."""

from contest.models import Contestant, Part, Team
from contest.slips.marks import MarkStack
from contest.slips.reasons import ReasonsStack
from reasons.scores.officials import add_official
from scoring.core.record import Part as PartRecord
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, a_contest


def contest_with_reasons(readings_per_card=2, **changes):
    contest = a_contest(
        divisions=(DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        classes=(
            ClassFactory(number=3, name="Yearling ewes", divisions=("SR", "JR"), reasons=("SR",)),
            ClassFactory(number=4, name="Fillies", divisions=("SR", "JR")),
        ),
        parts=(
            PartFactory(),
            PartRecord("TEAM", "Team activity", ("SR", "JR"), 100, "team"),
        ),
        contestants=(
            ContestantFactory(number=101, group="A"),
            ContestantFactory(number=102, group="A"),
            ContestantFactory(number=103, group="B", team="Copper Run"),
            ContestantFactory(number=201, division="JR", team="Little Elms"),
        ),
        cards=(),
    )
    changes["readings_per_card"] = readings_per_card
    for name, value in changes.items():
        setattr(contest, name, value)
    contest.save(update_fields=list(changes))
    return contest


def reasons_sheet(contest, official="Mr. Brook"):
    return ReasonsStack(contest.classes.get(number=3), add_official(contest, official, "test"))


def questions(contest):
    return MarkStack(Part.objects.get(contest=contest, code="QUEST"))


def team_activity(contest):
    return MarkStack(Part.objects.get(contest=contest, code="TEAM"))


def person(contest, number=101):
    return Contestant.objects.get(contest=contest, number=number)


def team(contest, name="Barley Hill"):
    return Team.objects.get(division__contest=contest, name=name)
