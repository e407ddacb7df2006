"""What a contest still waits for."""

from dataclasses import replace

import pytest

from scoring.core.due import (
    Unsettled,
    fewer_officials,
    known_to_be_unsettled,
    missing_cards,
    missing_marks,
    missing_reasons,
)
from scoring.core.record import NO_CARD, Card, Mark, NoMark, NoReasons, ReasonsScore
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, RecordFactory


@pytest.fixture
def record():
    """101 to 103 of Senior, of whom 103 is absent, and 201 of Junior; class 2 is void, class 3 has reasons alone."""
    return RecordFactory(
        divisions=(DivisionFactory(), DivisionFactory(code="JR")),
        classes=(
            ClassFactory(divisions=("SR", "JR"), reasons=("SR",)),
            ClassFactory(number=2, void=True, reasons=("SR",)),
            ClassFactory(number=3, places=False, reasons=("SR",), official=None, cuts=None),
        ),
        contestants=(
            ContestantFactory(number=102, team="Oak"),
            ContestantFactory(number=101, team="Larks"),
            ContestantFactory(number=103, team="Elm", present=False),
            ContestantFactory(number=201, division="JR", team="Larks"),
        ),
        parts=(PartFactory(), PartFactory(code="TASK", scope="team", divisions=("SR",))),
        cards=(),
    )


def test_a_card_that_nobody_read_is_missing_of_those_who_are_here(record):
    assert missing_cards(record) == {1: (101, 102, 201)}
    read = (Card(1, 101, "3124"), Card(1, 201, NO_CARD))
    assert missing_cards(replace(record, cards=read)) == {1: (102,)}
    assert missing_cards(replace(record, cards=(*read, Card(1, 102, "3124")))) == {}


def test_a_set_of_reasons_is_missing_until_a_slip_says_a_score_or_that_there_is_none(record):
    assert missing_reasons(record) == {1: (101, 102), 3: (101, 102)}
    heard = replace(record, reasons=(ReasonsScore(1, 101, "Vale", 4000),), no_reasons=(NoReasons(1, 102, "Vale"),))
    assert missing_reasons(heard) == {3: (101, 102)}


def test_a_mark_is_missing_until_a_slip_says_points_or_that_there_are_none(record):
    assert missing_marks(record) == {"QUEST": (101, 102), "TASK": (("SR", "Larks"), ("SR", "Oak"))}
    given = replace(
        record,
        marks=(Mark("QUEST", 0, number=101), Mark("TASK", 100, division="SR", team="Oak")),
        no_marks=(NoMark("QUEST", number=102), NoMark("TASK", division="SR", team="Larks")),
    )
    assert missing_marks(given) == {}


def test_whoever_fewer_officials_heard_than_another_of_the_division_is_told(record):
    scores = (ReasonsScore(1, 101, "Vale", 4000), ReasonsScore(1, 101, "Reed", 4000), ReasonsScore(1, 102, "Vale", 1))
    assert fewer_officials(replace(record, reasons=scores)) == {1: (102,)}
    assert fewer_officials(replace(record, reasons=scores, no_reasons=(NoReasons(1, 102, "Reed"),))) == {}
    assert fewer_officials(replace(record, reasons=(*scores, ReasonsScore(1, 201, "Vale", 1)))) == {1: (102,)}
    assert fewer_officials(replace(record, reasons=(*scores[::2], ReasonsScore(1, 103, "Vale", 1)))) == {}
    assert fewer_officials(replace(record, reasons=tuple(score._replace(class_number=2) for score in scores))) == {}
    every = tuple(score._replace(class_number=number) for number in (3, 1) for score in scores)
    assert list(fewer_officials(replace(record, reasons=every))) == [1, 3]


def test_a_card_in_doubt_counts_for_those_who_are_here_in_classes_that_count(record):
    cards = [Card(number, who, "3124", "3142") for number in (1, 2, 3) for who in (101, 103)]
    assert known_to_be_unsettled(record, cards).items == {(101, "class:1"): "in doubt"}


def test_of_an_item_it_is_said_what_is_open_of_it_and_of_its_key():
    waiting = Unsettled(
        {(101, "class:1"): "missing", (101, "reasons:1"): "missing"}, {}, {1: "key not confirmed", 2: "key disputed"}
    )
    assert waiting.of(101, "class:1") == "missing; key not confirmed"
    assert waiting.of(102, "class:1") == "key not confirmed"
    assert waiting.of(101, "reasons:1") == "missing"
    assert waiting.of(102, "reasons:2") == waiting.of(101, "part:QUEST") == waiting.of(101, "class:3") == ""
