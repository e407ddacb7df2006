"""A confirmed entry list is applied whole, and only as it was shown."""

import pytest

from contest.entries.assigning import NotAsSeen, digest
from contest.entries.entry_list import load_entries, plan_for
from contest.entries.people import scratch
from contest.entries.plan import Verdict
from contest.entries.source import Source, corrected, first_choice, meant
from contest.models import Card, Team
from tests.contest.entries.cast import contestant, read, trail, two_divisions
from tests.trails import last_of

pytestmark = pytest.mark.django_db
LIST = """No\tName\tClub\tDivision\tGroup
101\tFamily101x, Given101x\tBarley Hill\tSenior\t
102\tFamily102x, Given102x\tDunmore\tSenior\tB
201\tNgozi Adelumo\tdunmore\tSeniors\tA
202\tBo Ray\t\tJunior\t
\tNo Number\t\tJunior\t
"""
DIVISIONS = [("SR", "Senior"), ("JR", "Junior")]


def chosen(text=LIST, **posted):
    source = Source.pasted(text)
    return corrected(source, posted, DIVISIONS) if posted else first_choice(source, DIVISIONS)


def load(contest, text=LIST):
    choice = chosen(text)
    shown = digest(plan_for(contest, choice.lines, choice.layout))
    return load_entries(contest, choice.lines, choice.layout, "super", shown)


def test_a_list_adds_and_changes_what_it_says_and_leaves_the_rest():
    contest = two_divisions()
    plan = load(contest)
    assert [row.kind for row in plan.rows] == [Verdict.SAME, Verdict.CHANGE, Verdict.ADD, Verdict.ADD, Verdict.REFUSE]
    assert contestant(contest, 102).team.name == contestant(contest, 201).team.name == "Dunmore"
    assert contestant(contest, 202).team is None
    assert contest.contestants.count() == 7
    entry = last_of(contest)
    assert entry.what == "entry list loaded: 2 added, 1 changed"
    assert entry.before == {"contestants": 5, "teams": 2}
    assert (entry.after["contestants"], entry.after["teams"]) == (7, 3)
    assert [row["number"] for row in entry.after["added"]] == [201, 202]


def test_the_same_list_again_changes_nothing():
    contest = two_divisions()
    load(contest)
    contest.refresh_from_db()
    before = contest.revision
    plan = load(contest)
    contest.refresh_from_db()
    assert not plan.changes_anything
    assert contest.revision == before


def test_a_list_that_would_do_something_else_than_shown_is_not_loaded():
    contest = two_divisions()
    choice = chosen()
    shown = digest(plan_for(contest, choice.lines, choice.layout))
    scratch(contestant(contest, 101), "other")
    with pytest.raises(NotAsSeen):
        load_entries(contest, choice.lines, choice.layout, "super", shown)
    assert contest.contestants.count() == 5


def test_people_can_change_numbers_with_each_other_in_one_list():
    contest = two_divisions()
    load(
        contest,
        "No;First;Last;Team;Div\n102;Given101x;Family101x;Barley Hill;SR\n101;Given102x;Family102x;Barley Hill;SR",
    )
    assert contestant(contest, 102).last_name == "Family101x"
    assert contestant(contest, 101).last_name == "Family102x"


def test_a_list_that_moves_somebody_keeps_their_cards_in_step():
    contest = two_divisions()
    read(contest, 3, 101)
    load(contest, "No;Division;Role\n101;Junior;individual")
    assert Card.objects.get().contestant == contestant(contest, 101)


def test_a_list_cannot_move_somebody_away_from_their_cards():
    contest = two_divisions()
    read(contest, 2, 101)
    [row] = load(contest, "No;Division\n101;Junior").rows
    assert row.kind == Verdict.REFUSE
    assert "cards of classes 2 were read" in row.notes[0]


def test_whoever_is_added_takes_in_the_cards_read_under_their_number():
    contest = two_divisions()
    read(contest, 1, 202)
    load(contest)
    assert Card.objects.get().contestant.number == 202


def test_teams_left_empty_are_gone():
    contest = two_divisions()
    load(contest, "No;Team\n104;Dunmore")
    assert not Team.objects.filter(name="Cobblewick").exists()


def test_nothing_is_written_where_nothing_changes():
    contest = two_divisions()
    assert trail(contest) == ["contest made from a book"]
    load(contest, "No;Division\n101;SR")
    assert trail(contest) == ["contest made from a book"]


def test_the_choices_of_the_page_are_understood():
    posted = {
        "shown-sheet": "",
        "sheet": "",
        "headings": "0",
        "shown-headings": "0",
        "column-0": "number",
        "column-1": "last_name",
        "column-2": "last_name",
        "column-3": "division",
        "cell-0": "Seniors",
        "means-0": "JR",
        "division": "SR",
        "give": "yes",
        "numbers-from": "300",
    }
    choice = chosen(**posted)
    assert choice.layout.columns == ("number", "last_name", "", "division", "")
    assert (choice.layout.division, choice.layout.numbers_from) == ("SR", 300)
    assert meant(choice, DIVISIONS) == [("Senior", "SR"), ("Seniors", "JR"), ("Junior", "JR")]


@pytest.mark.parametrize(
    ("given", "means"), [({"headings": ""}, None), ({"headings": "99"}, None), ({"headings": "x"}, None), ({}, None)]
)
def test_headings_can_be_said_to_be_missing(given, means):
    posted = {"shown-sheet": "", "sheet": "", "shown-headings": "", "give": "yes", "numbers-from": "0"} | given
    choice = chosen(**posted)
    assert (choice.layout.headings, choice.layout.numbers_from) == (means, None)


def test_another_line_of_headings_or_another_sheet_is_guessed_anew():
    source = Source("e.xlsx", {"One": "No\tName\n1\tAnn", "Two": "Entries\nTeam\tLast name\nAsh\tLee"})
    choice = corrected(source, {"sheet": "Two", "shown-sheet": "One", "column-0": "name"}, DIVISIONS)
    assert (choice.sheet, choice.layout.columns) == ("Two", ("team", "last_name"))
    posted = {"sheet": "Two", "shown-sheet": "Two", "headings": "1", "shown-headings": "0", "column-0": "number"}
    assert corrected(source, posted, DIVISIONS).layout.columns == ("team", "last_name")
    assert Source.travelled(source.travelling()) == source
