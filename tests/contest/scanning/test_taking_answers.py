"""What becomes of answer sheets that were scanned, and what people do about those that wait."""

from uuid import uuid4

import pytest

from contest.changes.exceptions import WrongValue
from contest.models import Choice, ChoiceReading, Duty, Part, Source
from contest.scanning.reader import Identity, Trouble
from contest.scanning.rules import change_rules
from contest.scanning.taking import asked_by_cards
from contest.scanning.whose import year_of
from contest.scanning.working import Typed, open_questions, read, waiting_cards
from contest.slips.choices import ChoiceSlip
from scoring.core.record import UNREADABLE
from scoring.core.record import Part as PartRecord
from tests.contest.scanning.cards import scanned, seen
from tests.factories import RulesFactory, a_contest, people
from tests.slips import read_choice

pytestmark = pytest.mark.django_db

ROW = "ABCDA-BCDA"


def made(readings=2, options="ABCD"):
    contest = a_contest(
        rules=RulesFactory(readings_per_card=readings),
        parts=(PartRecord("QUIZ", "Knowledge", ("SR",), 10, "individual"),),
        contestants=people(4),
        cards=(),
    )
    contest.parts.filter(code="QUIZ").update(questions=len(ROW), options=options, worth="1")
    change_rules(contest, "Sue", on=True)
    return contest


@pytest.fixture
def contest():
    return made()


def part_of(contest):
    return Part.objects.select_related("contest").get(contest=contest, code="QUIZ")


def answered(contest, number, row=ROW, kind="answers", **more):
    identity = Identity(contest.pk, year_of(contest), part_of(contest).pk, number, kind, len(ROW), 4)
    return seen(contest, number, row, **{"identity": identity} | more)


def doubtful(contest, number=101, row="ABC_A-B*DA"):
    (card,) = scanned(contest, answered(contest, number, row, troubles=[Trouble.FAINT]))
    return card


@pytest.mark.parametrize("kind", ["answers", "large-answers"])
def test_a_certain_sheet_is_a_reading_by_scanner_with_its_picture(contest, kind):
    (card,) = scanned(contest, answered(contest, 101, kind=kind))
    assert (card.became, card.troubles, card.part, card.placing) == ("reading", "", part_of(contest), ROW)
    reading = ChoiceReading.objects.get()
    assert (reading.contestant.number, reading.chosen, reading.by) == (101, ROW, "scanner")
    assert reading.source == Source.SCANNER


def test_a_long_row_is_kept_whole(contest):
    contest.parts.filter(code="QUIZ").update(questions=100, worth="1")
    (card,) = scanned(contest, answered(contest, 101, "ABCD-" * 20))
    assert (card.became, card.placing) == ("reading", "ABCD-" * 20)


def test_a_person_who_reads_the_same_settles_it_and_another_row_is_a_doubt_with_the_picture(contest, superintendent):
    cards = scanned(contest, answered(contest, 101), answered(contest, 102))
    for number, row in ((101, ROW), (102, "ABCDA-BCDB")):
        read_choice(part_of(contest), ChoiceSlip.of_number(part_of(contest), number).contestant, row, "Ann")
    assert list(Choice.objects.order_by("contestant__number").values_list("state", flat=True)) == ["settled", "doubt"]
    page = superintendent.get(f"/contests/{contest.pk}/watch/doubts/").text
    assert [f"/cards/{card.pk}/picture/" in page for card in cards] == [False, True]


def test_where_every_card_is_read_once_the_scanner_reads_alone():
    contest = made(readings=1)
    scanned(contest, answered(contest, 101))
    assert Choice.objects.get().state == "settled"


@pytest.mark.parametrize(
    ("how", "why"),
    [
        ({"troubles": [Trouble.TWO_ANSWERS], "row": "ABC*A-BCDA"}, "two_answers"),
        ({"troubles": [Trouble.FAINT], "row": "ABC_A-BCDA"}, "faint"),
        ({"number": 999}, "unknown_number"),
        ({"row": "ABCDA-BCDE"}, "impossible"),
        ({"identity": Identity(65000, 2026, 1, 101, "answers", 10, 4)}, "other_contest"),
    ],
)
def test_whatever_is_in_doubt_is_for_a_person(contest, how, why):
    (card,) = scanned(contest, answered(contest, **{"number": 101} | how))
    assert (card.became, card.troubles) == ("waiting", why)
    assert not ChoiceReading.objects.exists()


def test_a_part_that_has_become_keep_cull_has_no_answer_sheets(contest):
    sheet = answered(contest, 101)
    contest.parts.filter(code="QUIZ").update(questions=0, options="", worth="", animals="1234", keep=2, most=0)
    (card,) = scanned(contest, sheet)
    assert (card.part, card.troubles) == (None, "unknown_class")


@pytest.mark.parametrize(
    ("typed", "counts"),
    [
        ("4D", "ABCDA-B*DA"),
        ("4d 8c", "ABCDA-BCDA"),
        ("4-,1*", "*BC-A-B*DA"),
        ("abcda abcda", "ABCDAABCDA"),
        ("ABCDA.BC?A", "ABCDA-BC*A"),
        ("x", UNREADABLE),
    ],
)
def test_only_what_is_open_has_to_be_typed(contest, typed, counts):
    read(doubtful(contest), Typed(typed), "Ann")
    reading = ChoiceReading.objects.get()
    assert (reading.chosen, reading.by, reading.source) == (counts, "Ann", "paper")
    assert not waiting_cards(contest).exists()


@pytest.mark.parametrize("typed", ["", "8C", "4E", "11A", "ABCD", "n", "4D 5"])
def test_what_leaves_something_open_or_makes_no_sense_is_refused_and_the_sheet_waits_on(contest, typed):
    card = doubtful(contest)
    with pytest.raises(WrongValue) as refused:
        read(card, Typed(typed), "Ann")
    assert refused.value.field == "placing"
    assert waiting_cards(contest).get() == card


def test_what_two_marks_leave_is_taken_by_enter_alone(contest):
    read(doubtful(contest, row="ABC*A-BCDA"), Typed(""), "Ann")
    assert ChoiceReading.objects.get().chosen == "ABC*A-BCDA"


def test_the_page_says_which_questions_are_open_and_keeps_what_was_typed(contest, superintendent):
    card = doubtful(contest)
    assert open_questions(card) == [4]
    address = f"/contests/{contest.pk}/scanning/cards/{card.pk}/"
    page = superintendent.get(address).text
    assert "Knowledge, contestant 101" in page
    assert "leaves these questions to you: 4." in page
    assert "ABC_A -B*DA" in page
    assert 'data-key="-"' not in page  # it is how a blank first answer is typed
    answer = superintendent.post(f"{address}read/", {"placing": "4E", "submission": str(uuid4())})
    assert answer.status_code == 422
    assert 'value="4E"' in answer.text
    answer = superintendent.post(f"{address}read/", {"placing": "4D", "submission": str(uuid4())}, follow=True)
    assert "Knowledge, contestant 101: ABCDA-B*DA" in answer.text


def test_an_answer_called_x_can_be_the_first_of_a_row(superintendent):
    contest = made(options="ABCX")
    card = doubtful(contest, row="ABC_A-BCBA")
    assert 'data-key="x"' not in superintendent.get(f"/contests/{contest.pk}/scanning/cards/{card.pk}/").text


def test_the_reading_process_is_told_how_many_questions_a_part_has(contest):
    asked, key = asked_by_cards(contest), str(part_of(contest).pk)
    assert asked["answers"][key] == asked["large-answers"][key] == ("ABCD", 10)
    assert asked["keep"] == {}


def test_whoever_enters_answers_is_shown_the_pictures_and_nothing_else(contest, as_helper):
    (card,) = scanned(contest, answered(contest, 101))
    client = as_helper(contest, Duty.REASONS)
    page = client.get(f"/contests/{contest.pk}/scores/choices/QUIZ/").text
    picture = f"/contests/{contest.pk}/scanning/cards/{card.pk}/picture/"
    assert picture in page
    assert 'id="pictures"' in page
    assert "card-pictures uncut" in page  # a phone shows all of a sheet's width
    assert ROW not in page
    assert "ABCDA" not in page
    assert client.get(picture).status_code == 200
    (placing,) = scanned(contest, seen(contest, 101), page=2)
    assert client.get(f"/contests/{contest.pk}/scanning/cards/{placing.pk}/picture/").status_code == 404
    assert client.get(f"/contests/{contest.pk}/scanning/").status_code == 404
