"""Questions by answer: from the set-up of a part to its standing, as the pages do it."""

import re
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from contest import part_keys
from contest.book import read_book, write_book
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import Choice, Contestant, Part
from contest.records import load_record, save_record
from contest.records.day import load_record_with_day
from contest.setup import outline
from contest.slips.choices import ChoiceSlip
from contest.slips.marks import MarkSlip
from contest.slips.reading import DIFFERS, SAVED, SETTLED, decide, read
from contest.slips.typed import Unclear
from contest.watch.finding import doubts_of
from scoring.core.record import Part as PartRecord
from scoring.core.tally import tally
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, a_contest
from tests.slips import read_choice

pytestmark = pytest.mark.django_db

KEY = "ABCDA"


@pytest.fixture
def contest():
    return a_contest(
        divisions=(DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        classes=(ClassFactory(number=1, divisions=("SR", "JR")),),
        parts=(PartRecord("QUEST", "Questions", ("SR",), 10, "individual"),),
        contestants=(
            ContestantFactory(number=101, group="A"),
            ContestantFactory(number=102, group="B"),
            ContestantFactory(number=201, division="JR", team="Little Elms"),
        ),
        cards=(),
        individual_ties=("part:QUEST",),
    )


@pytest.fixture
def part(contest):
    row = Part.objects.select_related("contest").get(contest=contest)
    return outline.change(row, "Sue", questions=5, options="ABCD", worth="2")


def person(contest, number=101):
    return Contestant.objects.get(contest=contest, number=number)


def points(contest):
    _revision, record = load_record(contest.pk)
    return {
        number: value
        for scores in tally(record).scores
        if scores.item == "part:QUEST"
        for number, value in zip(scores.numbers, scores.points, strict=True)
    }


def key_twice(part, text=KEY, reason=""):
    part_keys.enter(part, part_keys.parse_given(part, text), "Ann", reason)
    return part_keys.enter(part, part_keys.parse_given(part, text), "Ben")


def read_twice(part, of, *typed):
    return [read_choice(part, of, row, by).kind for row, by in zip(typed, ("Ann", "Ben"), strict=True)]


@pytest.mark.parametrize(
    ("typed", "chosen"),
    [
        ("abcda", "ABCDA"),
        ("AB CD-", "ABCD-"),
        ("a.b?c", "A-B*C"),
        (".....", "-----"),
        ("*****", "*****"),
        ("", ""),
        ("n", ""),
        ("-", ""),
        ("u", "unreadable"),
        ("*", "unreadable"),
    ],
)
def test_a_row_is_typed_with_signs_for_what_is_no_letter(contest, part, typed, chosen):
    assert ChoiceSlip(part, person(contest)).typed(typed) == chosen


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("ABCD", "4 of 5 answers: ABCD"),
        ("ABCDAB", "6 of 5 answers"),
        ("ABXDA", "no answer X, at question 3"),
        ("..", "2 of 5"),
    ],
)
def test_a_row_that_is_too_short_or_strange_is_refused_by_its_position(contest, part, typed, why):
    with pytest.raises(Unclear, match=why):
        ChoiceSlip(part, person(contest)).typed(typed)
    with pytest.raises(NotPossible, match=why):
        read(ChoiceSlip(part, person(contest)), typed.replace(".", "-"), "Ann")
    with pytest.raises(Unclear, match=why):
        part_keys.parse_given(part, typed)


def test_the_mark_is_worked_out_once_two_people_agree_on_the_key(contest, part):
    assert read_twice(part, person(contest), "ABCDB", "ABCDB") == [SAVED, SETTLED]
    assert read_twice(part, person(contest, 102), "", "-") == [SAVED, SETTLED]
    part_keys.enter(part, KEY, "Ann")
    assert load_record(contest.pk)[1].marks == ()
    part_keys.enter(part, KEY, "Ben")
    record = load_record(contest.pk)[1]
    assert [(mark.number, mark.hundredths) for mark in record.marks] == [(101, 800)]
    assert [none.number for none in record.no_marks] == [102]
    assert points(contest) == {101: 8, 102: 0}


def test_a_question_is_thrown_out_or_given_to_everybody_by_a_new_key(contest, part):
    key_twice(part)
    read_twice(part, person(contest), "ABCDB", "ABCDB")
    read_twice(part, person(contest, 102), "DDDDD", "DDDDD")
    assert points(contest) == {101: 8, 102: 2}
    key_twice(part, "ABC-A", "question 4 had two right answers")
    assert points(contest) == {101: 6, 102: 0}
    key_twice(part, "ABC*A", "everybody gets it after all")
    assert points(contest) == {101: 8, 102: 2}
    with pytest.raises(Unclear, match="no question counts"):
        part_keys.parse_given(part, "-----")


def test_points_may_differ_by_question_and_what_the_part_gives_follows(contest, part):
    part = outline.change(part, "Sue", worth="1 1 2.5 2.5 5")
    key_twice(part)
    read_twice(part, person(contest), "ABC-A", "ABC-A")
    assert points(contest)[101] == Fraction(19, 2)
    assert load_record(contest.pk)[1].parts[0].most == 12


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"questions": 1}, "questions"),
        ({"questions": 101}, "questions"),
        ({"options": "A"}, "options"),
        ({"options": "ABCDEFGHI"}, "options"),
        ({"options": "AAB"}, "options"),
        ({"worth": "2 2"}, "worth"),
        ({"worth": "0"}, "worth"),
        ({"worth": "2.25"}, "worth"),
        ({"worth": "99999"}, "worth"),
        ({"scope": "team"}, "scope"),
    ],
)
def test_what_cannot_be_asked_is_refused_by_its_field(contest, part, values, field):
    with pytest.raises(WrongValue) as refused:
        outline.change(part, "Sue", **values)
    assert refused.value.field == field


def test_questions_stay_as_they_are_once_a_key_names_them_and_their_points_do_not(contest, part):
    part_keys.enter(part, KEY, "Ann")
    with pytest.raises(WrongValue, match="answer key was typed already"):
        outline.change(part, "Sue", questions=6)
    with pytest.raises(WrongValue, match="answer key was typed already"):
        outline.change(part, "Sue", questions=0, options="", worth="")
    assert outline.change(part, "Sue", worth="4").most == 20


def test_the_database_knows_no_questions_without_letters_or_points(part):
    with pytest.raises(IntegrityError), transaction.atomic():
        Part.objects.filter(pk=part.pk).update(worth="")


def test_readings_that_differ_and_answers_that_are_not_clear_are_doubts(contest, part):
    assert read_twice(part, person(contest), "ABCDB", "ABDDB") == [SAVED, DIFFERS]
    read_twice(part, person(contest, 102), "A*CD-", "A?CD.")
    told = {doubt.number: (doubt.title, doubt.text) for doubt in doubts_of(contest)}
    assert told[101][0] == "Readings differ" and told[101][1].endswith("They differ at question 3 (C, D).")
    assert told[102][0] == "An answer is not clear"
    decide(ChoiceSlip(part, person(contest, 102)), "ABCD-", "Sue", "the mark was rubbed out")
    assert [doubt.number for doubt in doubts_of(contest)] == [101]


def test_the_superintendent_decides_by_letter_or_row(contest, part, superintendent):
    read_twice(part, person(contest), "ABCDB", "ABDDB")
    page = superintendent.get(reverse("doubts", args=[contest.pk])).content.decode()
    assert "All answers in a row" in page
    address = reverse("decide-choice", args=[contest.pk, part.pk, 101])
    shown = re.search(r'name="shown" value="([\d-]+)"', page)[1]
    sent = {"shown": shown, "quick": "as the card says", "back": "card", "submission": str(uuid4())}
    assert superintendent.post(address, sent | {"counts": "ABDD"}).status_code == 422
    assert superintendent.post(address, sent | {"counts": "b"}).status_code == 302
    assert Choice.objects.get().chosen == "ABDDB"


def test_no_points_are_typed_for_such_a_part(contest, part):
    with pytest.raises(NotPossible, match="answers are entered, and no points"):
        read(MarkSlip.of_owner(part, person(contest)), 800, "Ann")


def test_the_part_is_set_up_entered_and_keyed_through_its_pages(contest, superintendent):
    address = reverse("setup_add", args=[contest.pk, "parts"])
    sent = {"name": "Quiz", "code": "QUIZ", "divisions": ["SR"], "questions": "4", "options": "t f", "worth": "2,5"}
    assert superintendent.post(address, sent | {"options": "", "submission": uuid4()}).status_code == 422
    assert superintendent.post(address, sent | {"submission": uuid4()}).status_code == 302
    made = Part.objects.get(code="QUIZ")
    assert (made.questions, made.options, made.worth, made.most) == (4, "TF", "2.5", 10)
    key = reverse("part-key", args=[contest.pk, "QUIZ"])
    refused = superintendent.post(key, {"submission": str(uuid4()), "text": "TFT"})
    assert refused.status_code == 422 and "3 of 4 answers: TFT" in refused.content.decode()
    assert superintendent.post(key, {"submission": str(uuid4()), "text": "tf ft"}).status_code == 302
    sheet = reverse("scores-choices-sheet", args=[contest.pk, "QUIZ"])
    page = superintendent.get(sheet)
    assert (page.context["page"]["questions"], page.context["page"]["options"]) == (4, "TF")
    asked = superintendent.post(sheet, {"number": "101", "chosen": "tf?t", "submission": str(uuid4())})
    assert asked.status_code == 422 and "question 3 is not clear: it is wrong" in asked.content.decode()
    done = {"number": "101", "chosen": "tf?t", "sure": "tf?t", "submission": str(uuid4())}
    assert superintendent.post(sheet, done).status_code == 302
    check = superintendent.get(reverse("scores-part", args=[contest.pk, "QUIZ"])).content.decode()
    assert "TF*T" in check and "Answers" in check
    assert "4 questions, T F" in superintendent.get(reverse("scores", args=[contest.pk])).content.decode()


def test_a_book_carries_the_points_and_nothing_else_is_lost(contest, part, tmp_path):
    key_twice(part)
    read_twice(part, person(contest), "ABCDB", "ABDDB")
    read_twice(part, person(contest, 102), "", "")
    decide(ChoiceSlip(part, person(contest)), "ABDDB", "Sue", "the sheet says D")
    record = load_record_with_day(contest.pk)
    write_book(record, tmp_path / "book")
    again = save_record(read_book(tmp_path / "book"), by="test")
    assert load_record_with_day(again.pk) == record
    assert points(again) == points(contest) == {101: 6, 102: 0}
    assert again.parts.get().questions == 0
    (read_by,) = [mark.how for mark in record.day.marks if mark.number == 101]
    assert (read_by.by, read_by.second, read_by.decided) == ("Sue", "6", "the sheet says D")
