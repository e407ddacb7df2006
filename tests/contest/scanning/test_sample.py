"""The checked sample of a contest in which the scanner reads alone, and its pictures."""

from datetime import timedelta
from uuid import uuid4

import pytest
import time_machine
from django.utils import timezone

from contest.helpers.joining import NameTaken, let_in
from contest.models import CardPicture, Duty, Reading, ScanRules, Source
from contest.records.tallying import tallied
from contest.scanning import pages
from contest.scanning.pictures import delete_old_pictures, pictures_of
from contest.scanning.reader import Identity
from contest.scanning.rules import change_rules
from contest.scanning.sample import sample_of
from contest.scanning.whose import year_of
from contest.slips.cards import CardSlip
from contest.trail import record_change, sentence
from scoring.core.record import Part
from scoring.results.checklist import checklist
from tests.contest.scanning.cards import scanned, seen
from tests.factories import RulesFactory, a_contest, people
from tests.slips import decide_card, decide_choice, read_card, read_choice

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    made = a_contest(rules=RulesFactory(readings_per_card=1), contestants=people(40), cards=())
    change_rules(made, "Sue", on=True, most_wrong=50)
    ScanRules.objects.update(seed="0a1b2c3d")
    scanned(made, *(seen(made, number) for number in range(101, 141)))
    return made


def lines(contest):
    contest.refresh_from_db()
    return [item.line.code for item in checklist(contest, tallied(contest)) if "sample" in item.line.code]


def read_all(contest, numbers, placing="3124"):
    judged = contest.classes.get()
    for number in numbers:
        read_card(judged, number, placing, "Ann", uuid4())


def test_so_many_are_drawn_that_more_wrong_ones_would_show(contest):
    found = sample_of(contest)
    assert (found.cards, found.drawn, found.checked) == (40, 26, 0)  # 3 of 40 are too many: 1 - 0.05 ** (1 / 3) is 0.63
    assert len(found.left[1]) == 26
    assert lines(contest) == ["sample_unread"]


def test_pages_work_it_out_once_a_revision(contest, monkeypatch):
    asked = []
    monkeypatch.setattr(pages, "sample_of", lambda of: asked.append(of) or sample_of(of))
    contest.refresh_from_db()
    first, again = (pages.sample_shown(contest)["sample"] for _look in range(2))
    assert (first, len(asked)) == (again, 1)
    read_all(contest, first.left[1][:1])
    contest.refresh_from_db()
    assert pages.sample_shown(contest)["sample"].checked == 1
    assert len(asked) == 2


def test_where_none_differs_the_checklist_says_how_sure_that_is(contest):
    read_all(contest, sample_of(contest).left[1])
    found = sample_of(contest)
    assert (found.is_done, found.wrong, found.still_wrong) == (True, 0, 2)
    assert lines(contest) == ["sample_read"]


def test_one_that_the_scanner_misread_asks_for_all_cards_of_its_class(contest):
    first, *rest = sample_of(contest).left[1]
    read_all(contest, rest)
    read_all(contest, [first], "3142")
    assert sample_of(contest).is_done  # it is a doubt, and nobody knows yet who is right
    person = contest.contestants.get(number=first)
    decide_card(contest.classes.get(), person, "3142", "Sue", "as the card says")
    found = sample_of(contest)
    assert (found.failed, found.wrong, len(found.left[1])) == ((1,), 1, 14)
    assert lines(contest) == ["sample_failed"]
    read_all(contest, found.left[1])
    assert sample_of(contest).still_wrong == 0


def test_where_the_person_was_wrong_nothing_more_is_asked(contest):
    first, *rest = sample_of(contest).left[1]
    read_all(contest, rest)
    read_all(contest, [first], "3142")
    decide_card(contest.classes.get(), contest.contestants.get(number=first), "3124", "Sue", "as the card says")
    assert sample_of(contest).failed == ()
    assert sample_of(contest).is_done


@pytest.fixture
def of_parts():
    """A contest in which the scanner read keep/cull cards and answer sheets alone, and some placing cards."""
    parts = (
        Part("KEEP", "Ewes", ("SR",), 0, "individual", animals="12345678", keep=4),
        Part("QUIZ", "Knowledge", ("SR",), 10, "individual"),
    )
    made = a_contest(rules=RulesFactory(readings_per_card=1), contestants=people(20), parts=parts, cards=())
    made.parts.filter(code="QUIZ").update(questions=5, options="ABCD", worth="2")
    change_rules(made, "Sue", on=True, most_wrong=50)
    ScanRules.objects.update(seed="0a1b2c3d")
    for page, (code, kind, said, asked) in enumerate(
        [("KEEP", "keep", "1356", ()), ("QUIZ", "answers", "ABC-D", (5, 4))], start=1
    ):
        key = made.parts.get(code=code).pk
        ours = [Identity(made.pk, year_of(made), key, number, kind, *asked) for number in range(101, 121)]
        scanned(made, *(seen(made, one.number, said, identity=one) for one in ours), page=page)
    scanned(made, *(seen(made, number) for number in range(101, 106)), page=3)
    return made


def read_choices(contest, code, numbers, chosen):
    part = contest.parts.select_related("contest").get(code=code)
    for number in numbers:
        read_choice(part, contest.contestants.get(number=number), chosen, "Ann")


def test_parts_are_drawn_from_as_classes_are(of_parts, superintendent):
    found = sample_of(of_parts)
    assert list(found.left) == [1, "KEEP", "QUIZ"]
    assert found.cards == 45
    assert lines(of_parts) == ["sample_unread", "sample_unread_of_part", "sample_unread_of_part"]
    page = superintendent.get(f"/contests/{of_parts.pk}/scanning/sample/").text
    again = "-".join(map(str, found.left["QUIZ"]))
    address = f"/contests/{of_parts.pk}/scores/choices/QUIZ/?again={again}"
    assert address in page
    assert "Knowledge" in page
    stack = superintendent.get(address).text
    assert "Knowledge, to read once more" in stack
    assert stack.count("/picture/") == len(found.left["QUIZ"])
    assert "ABC-D" not in stack


def test_one_of_a_part_that_the_scanner_misread_asks_for_all_of_that_part_alone(of_parts):
    found = sample_of(of_parts)
    first, *rest = found.left["QUIZ"]
    read_choices(of_parts, "QUIZ", rest, "ABC-D")
    read_choices(of_parts, "QUIZ", [first], "ABC-A")
    assert "QUIZ" not in sample_of(of_parts).left
    part = of_parts.parts.get(code="QUIZ")
    decide_choice(part, of_parts.contestants.get(number=first), "ABC-A", "Sue", "as the card says")
    again = sample_of(of_parts)
    assert again.failed == ("QUIZ",)
    assert len(again.left["QUIZ"]) == 20 - len(found.left["QUIZ"])
    assert again.left["KEEP"] == found.left["KEEP"]
    assert lines(of_parts) == ["sample_unread", "sample_unread_of_part", "sample_failed_of_part"]


def test_where_a_part_and_its_class_are_read_the_checklist_says_how_sure_that_is(of_parts):
    left = sample_of(of_parts).left
    read_all(of_parts, left[1])
    read_choices(of_parts, "KEEP", left["KEEP"], "1356")
    read_choices(of_parts, "QUIZ", left["QUIZ"], "ABC-D")
    assert sample_of(of_parts).is_done
    assert lines(of_parts) == ["sample_read"]


def test_where_every_card_is_read_twice_there_is_none():
    made = a_contest(cards=())
    change_rules(made, "Sue", on=True)
    scanned(made, seen(made, 101))
    assert sample_of(made) is None
    assert lines(made) == []


def test_nobody_is_called_as_the_scanner_is(contest):
    with pytest.raises(NameTaken):
        let_in(contest, Duty.TABULATOR, "Scanner")
    assert set(Reading.objects.values_list("by", "source")) == {("scanner", Source.SCANNER)}


def test_pictures_stand_beside_doubts_and_on_the_page_of_their_card(contest, superintendent):
    slip = CardSlip.of_number(contest.classes.get(number=1), 105)
    (picture,) = pictures_of(contest, [slip])[slip.place]
    card = picture.pk
    address = f"/contests/{contest.pk}/scanning/cards/{card}/picture/"
    assert address in superintendent.get(f"/contests/{contest.pk}/watch/cards/1/105/").text
    doubts = f"/contests/{contest.pk}/watch/doubts/"
    assert address not in superintendent.get(doubts).text
    read_all(contest, [105], "3142")
    page = superintendent.get(doubts).text
    assert address in page
    assert "How clear the marks are to the scanner: 90 of 100, where it needs 50." in page
    assert page.count("Picture of the card") == 1


def test_pictures_go_so_long_after_the_release_as_the_contest_says(contest):
    record_change(contest, "Sue", sentence("results_released"))
    delete_old_pictures()
    assert CardPicture.objects.count() == 40
    with time_machine.travel(timezone.now() + timedelta(days=31)):
        change_rules(contest, "Sue", keep_days=0)
        delete_old_pictures()
        assert CardPicture.objects.count() == 40
        change_rules(contest, "Sue", keep_days=30)
        delete_old_pictures()
    assert not CardPicture.objects.exists()
    assert contest.trail.latest("revision").what == "scan_pictures_deleted"
