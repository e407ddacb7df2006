"""A contest that is ready to be released, and what can go wrong with one."""

from uuid import uuid4

from contest.keys import enter_key
from contest.models import Contest, JudgingClass, Key
from contest.records.tallying import tallied
from scoring.core.record import Card, Mark, ReasonsScore
from scoring.results.checklist import checklist
from scoring.results.corrections import unannounced
from scoring.results.release import announce_correction, release_results
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, RulesFactory, a_contest
from tests.slips import read_card

NUMBERS = (101, 102, 103, 104)
PLACINGS = {101: ("3124", "4213"), 102: ("1324", "4231"), 103: ("3142", "4213"), 104: ("2413", "4132")}


def ready(**parts):
    """Two classes with confirmed keys, every card read twice, reasons and a team's mark: nothing is open.

    Four seniors of two teams; 104's family wants no name shown; 105 did not come.
    """
    teams = {101: "Barley Hill", 102: "Barley Hill", 103: "Ötztal", 104: "Ötztal", 105: "Ötztal"}
    cast = {
        "rules": RulesFactory(show_people_as="name"),
        "divisions": (DivisionFactory(team_counting=2),),
        "classes": (
            ClassFactory(reasons=("SR",)),
            ClassFactory(number=2, name="Yearling ewes", official="4213", cuts=(2, 4, 3)),
        ),
        "parts": (PartFactory(code="ACT", name="Team activity", scope="team"),),
        "contestants": tuple(
            ContestantFactory(
                number=number,
                team=team,
                first_name=f"Given{number}x",
                last_name=f"Family{number}x",
                show_name=number != 104,
                present=number != 105,
            )
            for number, team in teams.items()
        ),
        "cards": tuple(
            Card(judged, number, placing, placing)
            for number, both in PLACINGS.items()
            for judged, placing in enumerate(both, start=1)
        ),
        "reasons": tuple(ReasonsScore(1, number, "A", 4000 + number) for number in NUMBERS),
        "marks": tuple(Mark("ACT", 3050, division="SR", team=team) for team in ("Barley Hill", "Ötztal")),
        "individual_ties": ("reasons",),
        "team_ties": ("reasons",),
    }
    contest = a_contest(**(cast | parts))
    settle_everything(contest)
    return contest


def settle_everything(contest):
    """As though somebody else had typed every key and read every slip a second time."""
    Key.objects.filter(judging_class__contest=contest).update(confirmed_by="Ben", confirmed_at="2026-10-17T12:00Z")
    from contest.models import Mark as MarkRow
    from contest.models import ReasonsScore as ScoreRow

    MarkRow.objects.filter(part__contest=contest).update(state="settled")
    ScoreRow.objects.filter(judging_class__contest=contest).update(state="settled")


def everything_open(contest):
    """Why each line of the contest's checklist is accepted, by its key."""
    return {item.key: "it is known" for item in items_of(contest)}


def items_of(contest):
    contest = Contest.objects.get(pk=contest.pk)
    return checklist(contest, tallied(contest))


def lines_of(contest):
    return [item.text for item in items_of(contest)]


def release(contest, by="Sue"):
    return release_results(contest, by, everything_open(contest))


def correct(contest, reason="the card was read wrong", by="Sue"):
    contest = Contest.objects.get(pk=contest.pk)
    seen = unannounced(contest, tallied(contest)).fingerprint
    return announce_correction(contest, by, reason, seen, everything_open(contest))


def the_class(contest, number=1):
    return JudgingClass.objects.select_related("contest").get(contest=contest, number=number)


def change_key(contest, official="1324", cuts=(3, 5, 2), number=1):
    """Change a class's key as two people would, so that 102 has it right."""
    enter_key(the_class(contest, number), official, cuts, "Ann", "the official corrected it")
    enter_key(the_class(contest, number), official, cuts, "Ben")


def read(contest, class_number, number, placing, by="Ann"):
    return read_card(the_class(contest, class_number), number, placing, by, uuid4())
