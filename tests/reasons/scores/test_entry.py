from dataclasses import replace
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contest.changes.exceptions import NotPossible
from contest.models import Contestant
from contest.slips import reading as slips
from contest.slips.reasons import ReasonsStack
from reasons.day.changing import put_in_force
from reasons.day.timetable import Wishes
from reasons.scores.checking import class_scores, people_of_class
from reasons.scores.entry import marks_lists, points_of, reasons_lists
from reasons.scores.officials import add_official
from tests.reasons.cast import contest_with_reasons, questions, reasons_sheet, team_activity
from tests.reasons.day.cast import make_draft, reasons_contest

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return contest_with_reasons()


def read(stack, of, points=4300, by="Ann"):
    return slips.read(stack.slip(of), points, by, uuid4())


def due(stack, who="Ann", group=None):
    return [slip.number for slip in replace(stack, group=group).left(stack.slips(who))]


def test_reasons_are_due_from_whoever_gives_them_and_is_here(contest):
    stack = reasons_sheet(contest)
    assert due(stack) == [101, 102, 103]
    Contestant.objects.filter(number=102).update(present=False)
    assert due(stack) == [101, 103]
    assert due(stack, group="A") == [101]


def test_what_a_helper_has_read_is_due_from_everybody_else_until_it_is_settled(contest):
    stack = reasons_sheet(contest)
    read(stack, 101)
    assert due(stack, "ann") == [102, 103]
    assert due(stack, "Ben") == [101, 102, 103]
    read(stack, 101, by="Ben")
    assert due(stack, "Cy") == [102, 103]


def test_a_doubt_is_due_from_nobody(contest):
    stack = reasons_sheet(contest)
    read(stack, 101)
    read(stack, 101, 3400, by="Ben")
    assert due(stack, "Cy") == [102, 103]


def test_where_one_may_read_twice_everything_is_due_once_first():
    stack = reasons_sheet(contest_with_reasons(same_reader_twice=True))
    read(stack, 101)
    assert due(stack) == [102, 103]
    read(stack, 102)
    read(stack, 103)
    assert due(stack) == [101, 102, 103]


def test_teams_of_which_somebody_is_here_are_due_by_their_place_in_the_list(contest):
    stack = team_activity(contest)
    assert [(slip.number, slip.name, slip.division) for slip in stack.slips("Ann")] == [
        (1, "Barley Hill", "Senior"),
        (2, "Copper Run", "Senior"),
        (3, "Little Elms", "Junior"),
    ]
    Contestant.objects.filter(number=103).update(present=False)
    assert [slip.name for slip in stack.slips("Ann")] == ["Barley Hill", "Little Elms"]


def test_a_team_that_was_read_is_due_no_more(contest):
    stack = team_activity(contest)
    read(stack, stack.slips("Ann")[1].of)
    assert due(stack) == [1, 3]


def test_numbers_that_would_be_a_surprise_are_known_with_the_reason(contest):
    Contestant.objects.filter(number=102).update(present=False)
    assert reasons_sheet(contest).surprises()[0] == {102: "102 is marked as absent."}
    assert reasons_sheet(contest).surprises()[1] == {
        201: "201 gives no reasons on class 3, so there is no score to enter."
    }
    assert questions(contest).surprises()[1] == {201: "201 does not do Questions, so there is no score to enter."}
    assert team_activity(contest).surprises() == ({}, {})


def test_a_number_or_team_that_nobody_has_is_refused(contest):
    with pytest.raises(NotPossible, match="nobody has number 999"):
        read(reasons_sheet(contest), 999)
    with pytest.raises(NotPossible, match="not in this contest"):
        read(team_activity(contest), 10**9)


def test_a_team_of_another_contest_is_refused(contest):
    other = team_activity(contest_with_reasons())
    with pytest.raises(NotPossible, match="not in this contest"):
        read(team_activity(contest), other.slips("Ann")[0].of)


def test_the_lists_count_each_official_and_who_has_no_score_at_all(contest):
    brook, alder = reasons_sheet(contest), reasons_sheet(contest, "Ms. Alder")
    read(brook, 101)
    read(brook, 101, by="Ben")
    read(brook, 102)
    read(alder, 102, by="Ben")
    [lists] = reasons_lists(contest, "Ann")
    assert (lists.judging_class.number, lists.due, lists.unheard) == (3, 3, 1)
    counts = {of.official.name: of.count for of in lists.officials}
    assert (counts["Mr. Brook"].settled, counts["Mr. Brook"].once, counts["Mr. Brook"].yours) == (1, 1, 1)
    assert (counts["Ms. Alder"].once, counts["Ms. Alder"].unread, counts["Ms. Alder"].yours) == (1, 2, 3)


def test_what_another_official_has_scored_is_counted_apart(contest):
    brook, alder = reasons_sheet(contest), reasons_sheet(contest, "Ms. Alder")
    read(brook, 101)
    read(alder, 102)
    read(alder, 103)
    read(brook, 103)
    lists = {of.official.name: of for of in reasons_lists(contest, "Ben")[0].officials}
    assert (lists["Mr. Brook"].count.yours, lists["Mr. Brook"].sure, lists["Mr. Brook"].elsewhere) == (3, 2, 1)
    read(brook, 102)
    lists = {of.official.name: of for of in reasons_lists(contest, "Ben")[0].officials}
    assert (lists["Mr. Brook"].sure, lists["Ms. Alder"].sure, lists["Ms. Alder"].elsewhere) == (3, 2, 1)


def test_a_class_lists_only_the_officials_who_hear_it_and_names_the_others_apart():
    def officials(who="Ann"):
        return {
            lists.judging_class.number: ([of.official.name for of in lists.officials], [str(of) for of in lists.others])
            for lists in reasons_lists(contest, who)
        }

    contest = reasons_contest(people=2)
    add_official(contest, "Roomless", "test")
    everybody = ["Official 1", "Official 2", "Roomless"]
    assert officials() == {3: (everybody, []), 4: (everybody, [])}
    three, four = contest.classes.order_by("number")
    for room, kept in zip(contest.rooms.all(), (three, four), strict=True):
        room.classes.set([kept])
    one, two = (["Official 1", "Roomless"], ["Official 2"]), (["Official 2", "Roomless"], ["Official 1"])
    assert officials() == {3: one, 4: two}
    put_in_force(contest, make_draft(contest, Wishes()), "test")
    for room in contest.rooms.all():
        room.classes.clear()
    assert officials() == {3: one, 4: two}
    read(ReasonsStack(four, contest.reasons_officials.get(name="Official 1")), 101)
    assert officials() == {3: one, 4: (everybody, [])}


def test_a_list_and_its_stack_count_alike(contest):
    stacks = [reasons_sheet(contest), questions(contest), team_activity(contest)]
    for stack in stacks:
        read(stack, stack.slips("Ann")[0].of)
    of_stacks = [len(due(stack)) for stack in stacks]
    [lists], parts = reasons_lists(contest, "Ann"), marks_lists(contest, "Ann")
    assert [lists.officials[0].count.yours, *(part.count.yours for part in parts)] == of_stacks == [2, 2, 2]


def test_the_lists_take_as_many_queries_for_many_scores_as_for_none(contest):
    def queries():
        with CaptureQueriesContext(
            connection,
        ) as captured:
            reasons_lists(contest, "Ann")
            marks_lists(contest, "Ann")
        return len(captured)

    reasons_sheet(contest)
    before = queries()
    for official in ("Ms. Alder", "Mr. Cole"):
        for number in (101, 102, 103):
            read(reasons_sheet(contest, official), number)
            read(questions(contest), number)
    assert queries() == before


@pytest.mark.parametrize(
    ("text", "hundredths"), [("43", 4300), ("43.5", 4350), (" 43,25 ", 4325), ("43.", 4300), ("0", 0), ("07", 700)]
)
def test_points_as_people_type_them(text, hundredths):
    assert points_of(text) == hundredths


@pytest.mark.parametrize("text", ["", "-1", "4.321", "43 5", "1e3", "½", ".5"])
def test_what_is_no_number_of_points_is_refused(text):
    with pytest.raises(NotPossible):
        points_of(text)


def test_the_check_of_a_class_shows_every_officials_scores_and_both_sides_of_a_doubt(contest):
    brook, alder = reasons_sheet(contest), reasons_sheet(contest, "Ms. Alder")
    read(brook, 101)
    read(brook, 102, 4350)
    read(brook, 102, 3450, by="Ben")
    read(alder, 103, 5000)
    Contestant.objects.filter(number=103).update(present=False)
    found = class_scores(brook.judging_class, list(people_of_class(brook.judging_class)))
    assert [official.name for official in found.officials] == ["Mr. Brook", "Ms. Alder"]
    told = [
        (row.owner, row.remark, [given and (given.points, given.state, given.otherwise) for given in row.given])
        for row in found.rows
    ]
    assert told == [
        ("101", "", [("43", "once", ""), None]),
        ("102", "", [("43.5", "doubt", "34.5"), None]),
        ("103", "marked absent", [None, ("50", "once", "")]),
    ]
