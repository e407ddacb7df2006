"""Teams: what they are called, which are one, and how many members the rules ask for."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.entries import people, teams
from contest.entries.matching import nearly
from contest.entries.people import NotThis
from contest.entries.team_pages import division_shown, wrong_size
from contest.models import Division, Team
from scoring.models import NotComing
from tests.contest.entries.cast import contestant, two_divisions
from tests.contest.entries.looking import base, hidden, text
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
        ("Cedar 4H 1", "Cedar 4-H 1"),
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


def test_two_teams_that_both_do_not_go_on_become_one_that_does_not():
    contest = two_divisions()
    wrong, right = other(contest), team(contest, "Barley Hill")
    for one in (wrong, right):
        NotComing.objects.create(contest=contest, team=one, reason=f"{one} has no bus")
    teams.merge_teams(wrong, right, "super")
    assert [(row.team, row.reason) for row in NotComing.objects.all()] == [(right, "Barley Hill has no bus")]


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


def test_a_walk_up_in_a_team_that_is_nearly_another_is_asked_which_and_a_new_team_is_said(post, contest):
    form = {"number": "201", "first_name": "Ngozi", "division": contest.divisions.get(code="SR").pk}
    asked = post("add/", **form, team="Barly Hill")
    assert asked.status_code == 422
    assert "Senior has no team Barly Hill yet. Is it Barley Hill?" in text(asked)
    assert not contest.contestants.filter(number=201).exists()
    post("add/", **form, team="Barly Hill", meant="Barley Hill")
    assert contestant(contest, 201).team.name == "Barley Hill"
    form["number"] = "202"
    post("add/", **form, team="Barly Hill", new_team="Barly Hill")
    assert contestant(contest, 202).team.name == "Barly Hill"


def test_a_new_team_is_said_where_a_walk_up_or_a_move_makes_one(superintendent, post, contest):
    form = {"number": "201", "first_name": "Ngozi", "division": contest.divisions.get(code="SR").pk}
    entered = post("add/", **form, team="Dunmore")
    assert "201 is entered. Dunmore is a new team." in text(superintendent.get(entered.url))
    entered = post("add/", **form | {"number": "202"}, team="dunmore")
    assert "new team" not in text(superintendent.get(entered.url))


def test_a_walk_up_has_a_name_or_says_why_not(post, contest):
    form = {"number": "201", "division": contest.divisions.get(code="SR").pk}
    assert "Why there is no name" not in text(post("add/", **form, first_name="Ngozi"))
    form["number"] = "202"
    asked = post("add/", **form)
    assert asked.status_code == 422
    assert "Type a name, or say below why there is none." in text(asked)
    assert post("add/", **form, nameless="the family is not here yet").status_code == 302
    assert last_of(contest).after["reason"] == "the family is not here yet"


LIST = "\n".join(
    [
        "No\tName\tTeam\tDivision",
        "201\tNgozi A\tBarly Hill\tSenior",
        "202\tBo Ray\tDunmore\tSenior",
        "203\tJo Ray\tDunmoor\tSenior",
    ]
)


def test_loading_a_list_says_which_teams_are_new_and_asks_about_those_much_like_others(post, contest):
    looked = post("load/", text=LIST)
    said = text(looked)
    assert "New teams 3" in said
    assert "Barly Hill , Senior" in said and "Dunmoor , Senior" in said and "Dunmore , Senior" not in said
    fields = {
        "source": hidden(looked, "source"),
        "shown-sheet": "",
        "sheet": "",
        "headings": "0",
        "shown-headings": "0",
        **{f"column-{at}": name for at, name in enumerate(("number", "name", "team", "division"))},
        "team-in-0": "SR",
        "team-name-0": "Barly Hill",
        "team-is-0": "Barley Hill",
        "team-in-1": "SR",
        "team-name-1": "Dunmoor",
        "team-is-1": "",
    }
    again = post("load/preview/", **fields)
    assert "New teams 2" in text(again)
    assert post("load/preview/", **fields, save="yes", shown=hidden(again, "shown")).status_code == 302
    assert contestant(contest, 201).team.name == "Barley Hill"
    assert contestant(contest, 203).team.name == "Dunmoor"
