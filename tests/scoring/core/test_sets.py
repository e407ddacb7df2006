"""Sets of results: everything is scored once, and each set is ranked as if its members were alone."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from contest.book import read_book, write_book
from contest.book.results import result_files
from scoring.core.due import Unsettled
from scoring.core.explain import how_ties_fell, name_of_list
from scoring.core.margins import margins_of
from scoring.core.record import Card, DecidedTie, ReasonsScore, ResultSet, SetMember
from scoring.core.sets import in_no_set, membership, membership_written, why_not_membership
from scoring.core.tally import tally
from scoring.standings.listing import lines_of
from scoring.standings.rows import provisional
from tests.factories import ClassFactory, RecordFactory, RulesFactory, people
from tests.strategies import TEAMS, records

CLUBS, CHAPTERS = ResultSet("4H", "Clubs"), ResultSet("CH", "Chapters")


@st.composite
def with_sets(draw, record):
    """The record with everybody in none, one or both of two sets, some for another team there."""
    members = []
    for person in record.contestants:
        for of in draw(st.sampled_from(((), (CLUBS,), (CHAPTERS,), (CLUBS, CHAPTERS)))):
            members.append(SetMember(of.code, person.number, draw(st.sampled_from(("", "", "", TEAMS[0])))))
    return replace(record, sets=(CLUBS, CHAPTERS), members=tuple(members))


def of_members_alone(record, code):
    """A contest that nobody but a set's members ever entered."""
    teams = {member.number: member.team for member in record.members if member.set == code}
    here = tuple(
        person._replace(team=teams[person.number] or person.team, role="member")
        if teams[person.number] or person.team
        else person
        for person in record.contestants
        if person.number in teams
    )
    return replace(
        record,
        sets=(),
        members=(),
        contestants=here,
        cards=tuple(card for card in record.cards if card.number in teams),
        reasons=tuple(score for score in record.reasons if score.number in teams),
        marks=tuple(mark for mark in record.marks if mark.number is None or mark.number in teams),
    )


def relabelled(standings, code):
    return [replace(standing, division=f"{standing.division}@{code}") for standing in standings]


@given(records(named=False).flatmap(with_sets))
@settings(max_examples=40)
def test_each_set_is_ranked_as_a_contest_of_its_members_alone(record):
    record = replace(record, rules=replace(record.rules, reasons_standardised=False))
    result = tally(record)
    alone = {of.code: of_members_alone(record, of.code) for of in record.sets}
    ranked = {code: tally(of) for code, of in alone.items()}
    assert list(result.standings) == [
        standing for code, of in ranked.items() for standing in relabelled(of.standings, code)
    ]
    assert result.scores == tally(replace(record, sets=(), members=())).scores
    places = {(s.division, s.code, kind): 2 for s in result.standings for kind in ("individuals", "teams")}
    fields = set()
    for code, of in alone.items():
        own = {(d.removesuffix(f"@{code}"), *of_list): most for (d, *of_list), most in places.items() if code in d}
        margins = margins_of(of, ranked[code], own)
        awards = [a for a in margins_of(record, result, places).awards if a.division.endswith(f"@{code}")]
        assert [replace(a, division=a.division.removesuffix(f"@{code}")) for a in awards] == list(margins.awards)
        fields |= {decides.field for decides in margins.fields}
        for standing, plain in zip(relabelled(ranked[code].standings, code), ranked[code].standings, strict=True):
            assert how_ties_fell(record, result, standing) == how_ties_fell(of, ranked[code], plain)
    assert {decides.field for decides in margins_of(record, result, places).fields} == fields


def two_sets(**more):
    """Four of one team; 101 to 103 are in the clubs, 103 and 104 in the chapters, 104 for another team there."""
    members = (
        SetMember("4H", 101),
        SetMember("4H", 102),
        SetMember("4H", 103),
        SetMember("CH", 103),
        SetMember("CH", 104, "Ash Valley"),
    )
    cards = tuple(
        Card(1, number, placing)
        for number, placing in zip(range(101, 105), ("3124", "3142", "3124", "1324"), strict=True)
    )
    known = {"contestants": people(4), "cards": cards, "sets": (CLUBS, CHAPTERS), "members": members}
    return RecordFactory(**known | more)


def overall(result, code):
    return next(standing for standing in result.standings if (standing.division, standing.code) == (code, "overall"))


def test_a_team_of_a_set_is_its_members_who_are_in_it():
    result = tally(two_sets())
    clubs, chapters = overall(result, "SR@4H"), overall(result, "SR@CH")
    assert [(row.rank, row.number) for row in clubs.individuals] == [(1, 101), (1, 103), (3, 102)]
    assert [(row.team, row.counting, int(row.total)) for row in clubs.teams] == [("Barley Hill", (101, 102, 103), 148)]
    assert [(row.rank, row.number, row.team) for row in chapters.individuals] == [
        (1, 103, "Barley Hill"),
        (2, 104, "Ash Valley"),
    ]
    assert [(row.team, row.counting) for row in chapters.teams] == [("Barley Hill", (103,)), ("Ash Valley", (104,))]


def test_a_tie_is_decided_in_one_set_alone():
    decided = (DecidedTie("SR@4H", "overall", "individuals", ("103", "101"), "draw", "a coin"),)
    record = two_sets(decided=decided)
    assert [row.number for row in overall(tally(record), "SR@4H").individuals][:2] == [103, 101]
    lines, _teams = lines_of(record, tally(record), overall(tally(record), "SR@4H"), Unsettled())
    assert lines[0].tie == "level at 50; ahead of 101 by draw: a coin"


def test_reasons_are_standardised_by_all_that_an_official_heard():
    numbers = range(101, 119)
    reasons = tuple(
        ReasonsScore(1, number, "A" if number < 110 else "B", 3000 + 100 * (number % 7) + (1000 if number > 109 else 0))
        for number in numbers
    )
    record = RecordFactory(
        rules=RulesFactory(reasons_standardised=True),
        classes=(ClassFactory(reasons=("SR",)),),
        contestants=people(18),
        reasons=reasons,
        sets=(CLUBS,),
        members=tuple(SetMember("4H", number) for number in numbers if number % 2),
    )
    whole = tally(replace(record, sets=(), members=()))
    totals = {row.number: row.total for row in overall(whole, "SR").individuals}
    assert {row.number: row.total for row in overall(tally(record), "SR@4H").individuals} == {
        number: totals[number] for number in numbers if number % 2
    }


def test_what_is_open_in_one_set_is_said_of_it_alone():
    record = two_sets()
    doubtful = record.cards[0]._replace(second="1234")
    record = replace(record, cards=(doubtful, *record.cards[1:]))
    assert provisional(record, tally(record), "SR@4H") == ["1 card is not settled"]
    assert provisional(record, tally(record), "SR@CH") == []


def test_lists_bear_the_name_of_their_set_and_files_its_code():
    record = two_sets()
    result = tally(record)
    assert record.division_names["SR@CH"] == "Chapters, Senior"
    assert name_of_list(record, overall(result, "SR@CH")) == "Chapters, Overall"
    assert "SR@CH,overall,1,103,Barley Hill,50," in result_files(record, result)["individuals.csv"].splitlines()


def test_who_is_in_no_set_is_found_where_there_are_sets():
    record = two_sets()
    assert in_no_set(replace(record, members=record.members[1:])) == [101]
    assert in_no_set(replace(record, sets=(), members=())) == []


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("", {}),
        ("4H", {"4H": ""}),
        ("4H CH", {"4H": "", "CH": ""}),
        ("4H, CH", {"4H": "", "CH": ""}),
        ("4H; CH = Ash Valley", {"4H": "", "CH": "Ash Valley"}),
        ("CH=Ash = Elm;", {"CH": "Ash = Elm"}),
    ],
)
def test_a_cell_names_sets(text, named):
    assert membership(text) == named
    assert membership(membership_written(SetMember(code, 0, team) for code, team in named.items())) == named


def test_a_cell_that_names_no_set_is_told_which_there_are():
    assert why_not_membership("4H", ["4H", "CH"]) == ""
    assert why_not_membership("FFA", ["4H", "CH"]) == "'FFA' is no set of results; the sets are 4H, CH"
    assert why_not_membership("FFA", []) == "the contest has no sets of results, and this names 'FFA'"


def test_a_book_holds_sets_and_nothing_of_them_where_there_are_none(tmp_path):
    record = two_sets()
    write_book(record, tmp_path / "sets")
    assert read_book(tmp_path / "sets") == record
    assert "103,SR,Barley Hill,Given103x,Family103x,member,,yes,yes,4H; CH\n" in (
        tmp_path / "sets" / "entries.csv"
    ).read_text(encoding="utf-8")
    write_book(replace(record, sets=(), members=()), tmp_path / "none")
    assert "sets" not in (tmp_path / "none" / "entries.csv").read_text(encoding="utf-8")
    assert "[[set]]" not in (tmp_path / "none" / "contest.toml").read_text(encoding="utf-8")
