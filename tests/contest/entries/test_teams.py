"""Teams: what they are called, which are one, and how many members the rules ask for."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.entries import people, teams
from contest.entries.matching import nearly
from contest.entries.people import NotThis
from contest.entries.team_pages import division_shown, wrong_size
from contest.models import Division, Team
from tests.contest.entries.cast import contestant, two_divisions
from tests.contest.entries.looking import base, text
from tests.factories import PartFactory
from tests.slips import read_mark
from tests.trails import last_of

pytestmark = pytest.mark.django_db
NAMES = ["Barley Hill", "St. John's", "Cedar 4-H 1", "Ash Red"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Barly Hill", "Barley Hill"),
        ("barley-hill", "Barley Hill"),
        ("St Johns", "St. John's"),
        ("Cedar 4-H 2", ""),
        ("Ash Blue", ""),
        ("Dunmore", ""),
        ("Barley Hill", ""),
    ],
)
def test_a_name_that_may_be_a_slip_of_the_hand_is_found(typed, meant):
    assert nearly(typed, NAMES) == meant


def team(contest, name, code="SR"):
    return Team.objects.select_related("division").get(division__contest=contest, division__code=code, name=name)


def other(contest, name="Barly Hill"):
    people.move_contestant(contestant(contest, 103), contest.divisions.get(code="SR"), name, "super")
    return team(contest, name)


def test_a_team_is_called_something_else_but_not_like_another():
    contest = two_divisions()
    other(contest)
    teams.rename_team(team(contest, "Barley Hill"), "Ash Grove", "super")
    assert last_of(contest).what == "team Barley Hill is called Ash Grove now"
    with pytest.raises(NotThis, match="merge the two"):
        teams.rename_team(team(contest, "Barly Hill"), "ash  grove".replace("  ", " "), "super")


def test_two_teams_become_one_with_all_that_is_theirs():
    contest = two_divisions(parts=(PartFactory(code="SKILL", scope="team", divisions=("SR",)),))
    wrong = other(contest)
    read_mark(contest.parts.get(), wrong, 1200, "Ann")
    right = team(contest, "Barley Hill")
    teams.merge_teams(wrong, right, "super")
    assert sorted(right.members.values_list("number", flat=True)) == [101, 102, 103]
    assert right.marks.get().hundredths == 1200
    assert not Team.objects.filter(pk=wrong.pk).exists()
    assert last_of(contest).what == "team Barly Hill merged into Barley Hill"


def test_teams_of_two_divisions_and_teams_with_marks_in_one_part_stay_two():
    contest = two_divisions(parts=(PartFactory(code="SKILL", scope="team", divisions=("SR",)),))
    wrong, right = other(contest), team(contest, "Barley Hill")
    with pytest.raises(NotPossible, match="one division"):
        teams.merge_teams(wrong, team(contest, "Cobblewick", "JR"), "super")
    for each in (wrong, right):
        read_mark(contest.parts.get(), each, 1200, "Ann")
    with pytest.raises(NotPossible, match="both teams have marks"):
        teams.merge_teams(wrong, right, "super")
    assert wrong.members.count() == 1


@pytest.mark.parametrize(
    ("count", "wrong"), [(2, "too few: 3 are the least"), (3, ""), (4, ""), (5, "too many: 4 are the most")]
)
def test_a_team_is_held_against_the_sizes_of_its_division(count, wrong):
    assert wrong_size(Division(team_counting=3, team_least=3, team_most=4), count) == wrong


def test_a_team_that_is_short_of_those_who_count_says_what_becomes_of_it():
    assert wrong_size(Division(team_counting=3, short_team="unranked"), 2) == (
        "short: 3 count, so the team is not ranked"
    )
    assert wrong_size(Division(team_counting=0), 1) == ""


def test_the_page_says_which_teams_need_a_look_first(superintendent):
    contest = two_divisions()
    other(contest)
    shown = division_shown(contest.divisions.get(code="SR"))["teams"]
    assert [(one.team.name, one.present, str(one.like)) for one in shown] == [
        ("Barley Hill", 2, "Barly Hill"),
        ("Barly Hill", 1, "Barley Hill"),
    ]
    said = text(superintendent.get(base(contest) + "teams/"))
    assert "much like Barley Hill : one team?" in said
    assert "▲ short: 3 count, and those missing score 0" in said


def test_sizes_are_set_and_the_most_are_no_fewer_than_the_least(post, contest):
    assert post("teams/SR/sizes/", least=4, most=5).status_code == 302
    division = contest.divisions.get(code="SR")
    assert (division.team_least, division.team_most) == (4, 5)
    assert "fewer than the least" in text(post("teams/SR/sizes/", least=4, most=3))
    assert post("teams/SR/sizes/", least="", most="").status_code == 302
    division.refresh_from_db()
    assert (division.team_least, division.team_most) == (0, 0)
