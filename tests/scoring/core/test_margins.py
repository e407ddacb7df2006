"""What decides an award, against scoring the contest anew with every single misread in it."""

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings

from scoring.core.fields import Field
from scoring.core.margins import Decides, chance, margins_of, parts_open
from scoring.core.misreads import neighbours_exchanged, other_choices, other_marks, other_scores
from scoring.core.placing import is_placing
from scoring.core.questions import Questions, misread_points
from scoring.core.record import UNREADABLE, Card, Category, Choice, Mark, Part, ReasonsScore
from scoring.core.tally import tally
from tests.factories import ClassFactory, DivisionFactory, RecordFactory, people
from tests.strategies import records

PLACES = 3


def test_a_card_hides_an_exchange_of_neighbours():
    assert neighbours_exchanged("3124") == ["1324", "3214", "3142"]


def test_a_score_hides_up_to_ten_points_another_digit_or_an_exchange():
    assert other_scores(4200, 5000) == {
        *(points * 100 for points in range(32, 51) if points != 42),
        *(points * 100 for points in (2, 12, 22, 24)),
    }
    assert other_scores(350, 5000) >= {50, 1350, 250, 950}
    assert min(other_scores(350, 5000)) == 50
    assert other_marks(4550, 5000) == {
        *(points * 100 + 50 for points in (40, 41, 42, 43, 44, 46, 47, 48, 49, 5, 15, 25, 35)),
    }


def lists_of(result, places=PLACES):
    """By list and kind: who holds each place, and what they have."""
    return {
        (standing.division, standing.code, kind): [(row[1], row.total) for row in rows]
        for standing in result.standings
        for kind, rows in (("individuals", standing.individuals), ("teams", standing.teams))
    }


def every_misread(record):
    """Each field with each record that it may have been instead."""
    for place, card in enumerate(record.cards):
        if is_placing(card.placing):
            for placing in neighbours_exchanged(card.placing):
                cards = (*record.cards[:place], card._replace(placing=placing, second=None), *record.cards[place + 1 :])
                yield Field(f"class:{card.class_number}", card.number), replace(record, cards=cards)
    for place, score in enumerate(record.reasons):
        for points in other_scores(score.hundredths, 5000):
            reasons = (*record.reasons[:place], score._replace(hundredths=points), *record.reasons[place + 1 :])
            field = Field(f"reasons:{score.class_number}", score.number, official=score.official)
            yield field, replace(record, reasons=reasons)
    parts = {part.code: part for part in record.parts}
    for place, choice in enumerate(record.choices):
        part = parts[choice.part]
        if part.values is not None and choice.kept != UNREADABLE and len(choice.kept) == part.keep:
            for kept in other_choices(choice.kept, part.animals):
                others = (*record.choices[:place], choice._replace(kept=kept), *record.choices[place + 1 :])
                yield Field(f"part:{choice.part}", choice.number), replace(record, choices=others)
    most = {part.code: part.most * 100 for part in record.parts}
    for place, mark in enumerate(record.marks):
        for points in other_marks(mark.hundredths, most[mark.part]):
            marks = (*record.marks[:place], mark._replace(hundredths=points), *record.marks[place + 1 :])
            whose = (mark.number,) if mark.number is not None else (0, mark.division, mark.team)
            yield Field(f"part:{mark.part}", *whose), replace(record, marks=marks)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(records(named=False))
def test_every_misread_that_changes_an_award_is_found_and_no_other(record):
    record = replace(record, rules=replace(record.rules, reasons_standardised=False), cards=record.cards[:9])
    record = replace(record, reasons=record.reasons[:4], marks=record.marks[:4])
    result = tally(record)
    before = lists_of(result)
    surely, level, misreads = Counter(), Counter(), Counter()
    for field, other in every_misread(record):
        misreads[field] += 1
        for key, rows in lists_of(tally(other)).items():
            totals, earlier = Counter(total for _who, total in rows), Counter(total for _who, total in before[key])
            for place in range(min(PLACES, len(rows))):
                holder, total = rows[place]
                surely[key, place + 1, field] += holder != before[key][place][0]
                tied = totals[total] > 1 or earlier[before[key][place][1]] > 1
                level[key, place + 1, field] += holder != before[key][place][0] or tied
    found = margins_of(record, result, dict.fromkeys(before, PLACES))
    told = {
        ((award.division, award.code, award.kind), award.place, field): part * misreads[field]
        for award in found.awards
        for field, part in award.fields
    }
    for key in surely | level | told:
        assert surely[key] <= told.get(key, 0) <= level[key], key
    deciding = {field for _key, _place, field in told}
    assert {field for field, _part in found.fields} == deciding


def test_a_part_decides_a_tie_by_its_category():
    record = RecordFactory(
        divisions=(DivisionFactory(),),
        categories=(Category("PER", "Performance"),),
        classes=(ClassFactory(),),
        parts=(Part("QUEST", "Questions", ("SR",), 50, "individual", "PER"),),
        individual_ties=("category:PER",),
        contestants=people(2, team=""),
        cards=(Card(1, 101, "3124"), Card(1, 102, "3124")),
        marks=(Mark("QUEST", 4000, 101), Mark("QUEST", 3000, 102)),
    )
    found = margins_of(record, tally(record), {("SR", "placing", "individuals"): 1})
    (award,) = found.awards
    assert {field.item for field, _part in award.fields} >= {"part:QUEST"}


def test_what_was_kept_and_what_was_answered_decide_by_one_label_or_one_answer():
    record = RecordFactory(
        divisions=(DivisionFactory(),),
        classes=(ClassFactory(),),
        parts=(
            Part("KEEP", "Ewes", ("SR",), 0, "individual", animals="1234", keep=2).worth_keeping((9, 6, 1, 0)),
            Part("QUIZ", "Quiz", ("SR",), 10, "individual"),
        ),
        contestants=people(2, team=""),
        cards=(Card(1, 101, "3124"), Card(1, 102, "3124")),
        choices=(Choice("KEEP", 101, "12"), Choice("KEEP", 102, "13")),
        marks=(Mark("QUIZ", 400, 101), Mark("QUIZ", 600, 102)),
    )
    questions = Questions("AB", (200,) * 5, "AAAAA")
    answers = {Field("part:QUIZ", n): misread_points(questions, row) for n, row in ((101, "AABBB"), (102, "AAABB"))}
    assert answers[Field("part:QUIZ", 101)] == [-200, -200, 200, 200, 200]
    (award,) = margins_of(record, tally(record), {("SR", "overall", "individuals"): 1}, answers).awards
    assert (award.holder, award.margin) == ("101", 3)
    parts = {(field.item, field.number): part for field, part in award.fields}
    # 101 has 15 + 4 and leads 102 with 10 + 6: kept otherwise, 101 has 10, 9, 7 or 6; 102 has 15, 9, 7 or 1.
    assert parts[("part:KEEP", 101)] == 1 and parts[("part:KEEP", 102)] == Fraction(1, 4)
    assert ("part:QUIZ", 101) not in parts and ("part:QUIZ", 102) not in parts


def two(first, second):
    """Two contestants who differ by what they placed in class 2."""
    return RecordFactory(
        divisions=(DivisionFactory(),),
        classes=(ClassFactory(reasons=("SR",)), ClassFactory(number=2, official="1234", cuts=(2, 8, 2))),
        contestants=people(2, team=""),
        cards=tuple(
            Card(judged, number, placing)
            for number, placings in ((101, first), (102, second))
            for judged, placing in enumerate(placings, start=1)
        ),
        reasons=(ReasonsScore(1, 101, "A", 4000), ReasonsScore(1, 102, "A", 4000)),
    )


def test_a_margin_and_what_decides_it():
    record = two(("3124", "1234"), ("3124", "2134"))
    result = tally(record)
    (award, _second) = [
        award
        for award in margins_of(record, result, {("SR", "overall", "individuals"): 2}).awards
        if award.code == "overall"
    ]
    assert (award.place, award.holder, award.margin) == (1, "101", 2)
    # All cards of 101 lose 2 or more by one exchange; 102 reaches 101 only by exchanging what was exchanged.
    parts = dict(award.fields)
    assert parts[Field("class:1", 101)] == 1
    assert parts[Field("class:2", 102)] == Fraction(1, 3)
    assert Field("class:1", 102) not in parts
    assert Field("reasons:1", 101, official="A") in parts


def test_a_score_below_the_least_that_counts_decides_by_what_it_counts():
    record = two(("3124", "1234"), ("3124", "1234"))
    reasons = (ReasonsScore(1, 101, "A", 1500), ReasonsScore(1, 102, "A", 1000))
    record = replace(record, divisions=(DivisionFactory(reasons_least=20),), reasons=reasons)
    result = tally(record)
    (award,) = margins_of(record, result, {("SR", "reasons", "individuals"): 1}).awards
    assert award.margin == 0
    parts = dict(award.fields)
    # Both count 20: only what is more than that changes anything.
    above = [points for points in other_scores(1000, 5000) if points > 2000]
    assert parts == {Field("reasons:1", 102, official="A"): Fraction(len(above), len(other_scores(1000, 5000)))}


def test_far_apart_nothing_decides():
    record = replace(two(("3124", "1234"), ("4213", "4321")), reasons=())
    awards = margins_of(record, tally(record), {("SR", "overall", "individuals"): 1}).awards
    assert [award.fields for award in awards] == [()]


def test_the_chance_of_a_change():
    one, other = (Decides(Field("class:1", number), Fraction(1, 2)) for number in (101, 102))
    assert chance(parts_open([one, other]), 0.01) == pytest.approx(1 - 0.995**2)
    assert chance(parts_open([one, other], {one.field}), 0.01) == pytest.approx(0.005)
    assert chance(parts_open([]), 0.5) == 0


def test_the_same_field_counts_once_among_first_places():
    record = two(("3124", "1234"), ("3124", "2134"))
    result = tally(record)
    every = margins_of(record, result, {("SR", code, "individuals"): 1 for code in ("overall", "placing")})
    firsts = every.firsts()
    assert len({field for field, _part in firsts}) == len(firsts)
    assert {field for field, _part in firsts} == {field for field, _part in every.fields}
