"""The rows that are read, and how they are said."""

import pytest
from django.utils.translation import override

from scoring.board.awards import AwardRow, ListKey, named_lists, ordinal, place_in_words, rows_of, split
from scoring.core.tally import tally
from tests.factories import ClassFactory, ContestantFactory, RecordFactory, people

OVERALL = ListKey("SR", "overall", "individuals")


def scored(*placings):
    """A record whose contestants, from 101, placed class 1 as said."""
    from scoring.core.record import Card

    cast = people(len(placings))
    cards = tuple(Card(1, person.number, placing) for person, placing in zip(cast, placings, strict=True))
    record = RecordFactory(contestants=cast, cards=cards, classes=(ClassFactory(),))
    return record, tally(record)


@pytest.mark.parametrize(
    ("number", "word"),
    [
        *[(1, "first"), (3, "third"), (10, "tenth"), (20, "twentieth"), (21, "21st"), (22, "22nd"), (23, "23rd")],
        *[(30, "30th"), (101, "101st"), (111, "111th"), (112, "112th"), (113, "113th"), (122, "122nd")],
    ],
)
def test_ordinals_are_said_as_people_say_them(number, word):
    assert ordinal(number) == word


def test_a_shared_place_is_said_to_be_tied():
    assert place_in_words(3, False) == "third place"
    assert place_in_words(3, True) == "tied for third place"


def test_a_language_may_bring_the_word_for_place_with_the_ordinal():
    with override("es"):
        assert place_in_words(3, False) == "tercer lugar"
        assert place_in_words(22, True) == "empate en el 22.º lugar"


def test_rows_that_share_a_rank_are_tied_and_the_next_rank_is_left_out():
    _, result = scored("3124", "1324", "1324", "4213")
    assert [(row.rank, row.tied, row.number) for row in rows_of(result, OVERALL)] == [
        (1, False, 101),
        (2, True, 102),
        (2, True, 103),
        (4, False, 104),
    ]


def test_whoever_shares_the_last_place_is_read_too():
    _, result = scored("3124", "1324", "1324", "4213")
    assert [row.number for row in rows_of(result, OVERALL, places=2)] == [101, 102, 103]
    assert [row.number for row in rows_of(result, OVERALL, places=1)] == [101]


def test_a_list_that_is_not_there_has_no_rows():
    _, result = scored("3124")
    assert rows_of(result, ListKey("SR", "nothing", "individuals")) == []


def test_a_team_stands_with_those_who_count():
    record, result = scored("3124", "1324", "1342")
    (team,) = rows_of(result, ListKey("SR", "overall", "teams"))
    assert (team.number, team.team, team.counting) == (None, "Barley Hill", (101, 102, 103))
    assert [str(named) for named in named_lists(record, result)][:2] == [
        "Senior, Overall, individuals",
        "Senior, Overall, teams",
    ]


def test_nobody_is_read_who_is_not_here():
    from scoring.core.record import Card

    absent = ContestantFactory(number=200, present=False)
    record = RecordFactory(contestants=(*people(1), absent), cards=(Card(1, 101, "3124"), Card(1, 200, "3124")))
    assert [row.number for row in rows_of(tally(record), OVERALL)] == [101]


@pytest.mark.parametrize(("revealed", "hidden"), [(0, [1, 2, 3]), (1, [1, 2]), (3, []), (9, [])])
def test_the_last_rows_are_revealed_first(revealed, hidden):
    rows = [AwardRow(rank, False, 100 + rank, "", "0") for rank in (1, 2, 3)]
    first, last = split(rows, revealed)
    assert [row.rank for row in first] == hidden
    assert [*first, *last] == rows
