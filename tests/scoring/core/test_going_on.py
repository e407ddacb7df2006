"""Who goes on to the next level."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from scoring.core.going_on import Declined, Wanted, choose, entrants
from scoring.core.result import OVERALL, IndividualRow, Standing, TeamRow
from tests.factories import ContestantFactory, RecordFactory

TEAMS = {101: "Barley Hill", 102: "Barley Hill", 103: "Ötztal", 104: "Ötztal", 105: "", 106: ""}
RECORD = RecordFactory(contestants=tuple(ContestantFactory(number=number, team=team) for number, team in TEAMS.items()))
STANDING = Standing(
    "SR",
    OVERALL,
    tuple(
        IndividualRow(rank, number, TEAMS[number], 500 - rank, "")
        for rank, number in enumerate((101, 105, 103, 102, 106, 104), start=1)
    ),
    (TeamRow(1, "Barley Hill", 900, (101, 102), ""), TeamRow(2, "Ötztal", 880, (103, 104), "")),
)


def rows_of(places, alternates=0, declined=(), teams=None, besides=False, standing=STANDING):
    wanted = [Wanted("SR", OVERALL, "individuals", places, alternates, besides)]
    if teams:
        wanted.append(Wanted("SR", OVERALL, "teams", teams))
    return choose([standing], wanted, RECORD, Declined(frozenset(declined)))[0]


def said(chosen):
    return [(row.who, row.state, row.at, row.moved_up) for row in chosen.rows]


def test_the_first_go_and_the_next_stand_in():
    assert said(rows_of(2, 1)) == [
        (101, "goes", 1, False),
        (105, "goes", 2, False),
        (103, "alternate", 1, False),
    ]


def test_who_declines_is_passed_over_and_the_next_moves_up():
    assert said(rows_of(2, 1, declined=(101,))) == [
        (101, "declined", 0, False),
        (105, "goes", 1, False),
        (103, "goes", 2, True),
        (102, "alternate", 1, False),
    ]


def test_who_declines_below_the_last_place_is_not_listed():
    assert [row.who for row in rows_of(2, declined=(103, 102)).rows] == [101, 105]


def test_whoever_goes_with_a_team_takes_no_individual_place_where_that_is_wished():
    assert [row.who for row in rows_of(2, teams=1, besides=True).rows if row.state == "goes"] == [105, 103]
    assert [row.who for row in rows_of(2, teams=1).rows if row.state == "goes"] == [101, 105]


def test_a_rank_that_is_shared_at_the_last_place_is_told():
    first, second, *others = STANDING.individuals
    tied = replace(STANDING, individuals=(first, second._replace(rank=1), *others))
    assert rows_of(1, standing=tied).shared
    assert not rows_of(2, standing=tied).shared


def test_places_that_nobody_is_left_for_are_told():
    assert rows_of(9).lacking == 3


def test_the_members_of_a_team_are_entered_together_and_the_others_alone():
    wanted = [Wanted("SR", OVERALL, "individuals", 3), Wanted("SR", OVERALL, "teams", 1)]
    declined = Declined(frozenset({102}))
    people = entrants(choose([STANDING], wanted, RECORD, declined), RECORD, declined)
    assert [(person.number, person.team, person.role) for person in people] == [
        (101, "Barley Hill", "member"),
        (105, "", "individual"),
        (103, "", "individual"),
    ]


@given(
    st.integers(1, 8),
    st.integers(0, 4),
    st.sets(st.sampled_from(sorted(TEAMS))),
    st.booleans(),
    st.sampled_from([0, 1]),
)
def test_as_many_go_as_there_are_places_or_people_and_nobody_is_skipped_without_a_reason(
    places, alternates, declined, besides, teams
):
    chosen = rows_of(places, alternates, declined, teams, besides)
    passed = set(declined) | ({101, 102} if teams and besides else set())
    free = [row.number for row in STANDING.individuals if row.number not in passed]
    assert chosen.going == free[:places]
    assert [row.who for row in chosen.rows if row.state == "alternate"] == free[places : places + alternates]
    assert [row.who for row in chosen.rows] == [row.number for row in STANDING.individuals][: len(chosen.rows)]
