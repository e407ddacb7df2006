"""Keep/cull: from the set-up of a part to its standing, as the pages do it."""

from uuid import uuid4

import pytest
from django.urls import reverse

from contest import part_keys
from contest.book import read_book, write_book
from contest.changes import SubmissionReused
from contest.changes.exceptions import InUse, NotPossible, WrongValue
from contest.models import Choice, Contestant, Part, PartKey
from contest.records import load_record, save_record
from contest.records.day import load_record_with_day
from contest.setup import outline
from contest.slips.choices import ChoiceSlip
from contest.slips.reading import (
    ABSENT,
    DIFFERS,
    REPEATED,
    SAVED,
    SETTLED,
    UNKNOWN,
    WRONG_CLASS,
    decide,
    read,
)
from contest.slips.typed import Unclear
from contest.watch.finding import doubts_of
from scoring.core.explain import part_in_words
from scoring.core.record import Choice as ChoiceRow
from scoring.core.record import Part as PartRecord
from scoring.core.tally import tally
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice as PrintChoice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, a_contest
from tests.slips import read_choice
from tests.trails import trail_of

pytestmark = pytest.mark.django_db

VALUES = "14 2 11 1 13 12 5 4"
"""The values of the format's own example; the best four are worth 50."""


@pytest.fixture
def contest():
    return a_contest(
        divisions=(DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        classes=(ClassFactory(number=1, divisions=("SR", "JR")),),
        parts=(PartRecord("KEEP", "Eight ewes", ("SR",), 0, "individual", animals="12345678", keep=4),),
        contestants=(
            ContestantFactory(number=101, group="A"),
            ContestantFactory(number=102, group="B"),
            ContestantFactory(number=201, division="JR", team="Little Elms"),
        ),
        cards=(),
        individual_ties=("part:KEEP",),
    )


@pytest.fixture
def part(contest):
    return Part.objects.select_related("contest").get(contest=contest)


def person(contest, number=101):
    return Contestant.objects.get(contest=contest, number=number)


def totals(contest):
    _revision, record = load_record(contest.pk)
    return {
        number: points
        for scores in tally(record).scores
        if scores.item == "part:KEEP"
        for number, points in zip(scores.numbers, scores.points, strict=True)
    }


def given_twice(part, text=VALUES):
    part_keys.enter(part, part_keys.parse_given(part, text), "Ann")
    return part_keys.enter(part, part_keys.parse_given(part, text), "Ben")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("5136", "1356"),
        ("1, 3 5 6", "1356"),
        ("", ""),
        ("n", ""),
        ("u", "unreadable"),
        ("??", "unreadable"),
        ("12", "12"),
    ],
)
def test_labels_are_typed_in_any_order(contest, part, typed, kept):
    assert ChoiceSlip(part, person(contest)).typed(typed) == kept


def test_letters_are_typed_in_either_case(contest, part):
    part.animals = "ABNUXYZ"
    slip = ChoiceSlip(part, person(contest))
    assert [slip.typed("xyab"), slip.typed("UN"), slip.typed("-")] == ["ABXY", "NU", ""]


@pytest.mark.parametrize(("typed", "why"), [("1239", "there is no animal 9 here"), ("1231", "1 is there twice")])
def test_what_no_card_can_say_is_refused(contest, part, typed, why):
    with pytest.raises(Unclear, match=why):
        ChoiceSlip(part, person(contest)).typed(typed)
    with pytest.raises(NotPossible, match=why):
        read(ChoiceSlip(part, person(contest)), typed, "Ann")


def test_two_who_type_it_in_other_orders_settle_it_and_a_double_click_counts_once(contest, part):
    submission = uuid4()
    assert read_choice(part, person(contest), "1653", "Ann", submission).kind == SAVED
    assert read_choice(part, person(contest), "3165", "Ann", submission).kind == SAVED
    with pytest.raises(SubmissionReused):
        read_choice(part, person(contest), "1", "Ann", submission)
    assert read_choice(part, person(contest), "1356", "Ann").kind == REPEATED
    assert read_choice(part, person(contest), "6531", "Ben").kind == SETTLED
    assert load_record(contest.pk)[1].choices == (ChoiceRow("KEEP", 101, "1356", "1356"),)


def test_it_counts_for_nobody_until_two_people_agree_on_the_values(contest, part):
    for by in ("Ann", "Ben"):
        read_choice(part, person(contest), "1356", by)
    assert totals(contest) == {}
    given = part_keys.parse_given(part, VALUES)
    assert part_keys.enter(part, given, "Ann").outcome == "first"
    assert part_keys.enter(part, given, "ann").outcome == "again"
    assert totals(contest) == {}
    assert part_keys.enter(part, given, "Ben").outcome == "confirmed"
    assert totals(contest) == {101: 50, 102: 0}
    assert load_record(contest.pk)[1].parts[0].most == 50


def test_two_entries_that_differ_wait_side_by_side(contest, part):
    part_keys.enter(part, VALUES, "Ann")
    other = VALUES.replace("13", "3")
    assert part_keys.enter(part, other, "Ben").outcome == "differs"
    with pytest.raises(NotPossible, match="first say which is right"):
        part_keys.enter(part, VALUES, "Cid")
    key = part_keys.settle(PartKey.objects.get(), first_is_right=False, by="Sue", reason="the sheet says 3")
    assert (key.version, key.given, key.by, key.confirmed_by) == (2, other, "Ben", "Sue")
    with pytest.raises(NotPossible, match="somebody has said already"):
        part_keys.settle(PartKey.objects.get(version=1), first_is_right=True, by="Sue", reason="no")


def test_a_change_wants_a_reason_and_counts_once_it_is_typed_twice(contest, part):
    given_twice(part)
    read_choice(part, person(contest), "1356", "Ann")
    with pytest.raises(part_keys.ReasonWanted):
        part_keys.enter(part, VALUES.replace("14", "24"), "Ann")
    assert part_keys.enter(part, VALUES.replace("14", "24"), "Ann", "misheard").outcome == "changed"
    assert totals(contest)[101] == 50
    part_keys.accept(part_keys.newest(part), "Sue", "the official said it to both of us")
    assert totals(contest)[101] == 60


@pytest.mark.parametrize("typed", ["", "1 2 3", "1 2 3 4 5 6 7 x", "1 2 3 4 5 6 7 -8", "1 2 3 4 5 6 7 8.5"])
def test_values_are_one_whole_number_for_each_animal(part, typed):
    with pytest.raises(Unclear):
        part_keys.parse_given(part, typed)


def test_readings_that_differ_and_a_wrong_number_of_labels_are_doubts(contest, part):
    given_twice(part)
    assert read_choice(part, person(contest), "1356", "Ann").kind == SAVED
    assert read_choice(part, person(contest), "1357", "Ben").kind == DIFFERS
    said = [read_choice(part, person(contest, 102), "13567", by) for by in ("Ann", "Ben")]
    assert [one.kind for one in said] == [SAVED, SETTLED]
    assert "5 kept instead of 4: it earns 0" in said[1].text
    assert {(doubt.number, doubt.title) for doubt in doubts_of(contest)} == {
        (101, "Readings differ"),
        (102, "Wrong number kept"),
    }
    assert totals(contest) == {101: 50, 102: 0}


def test_the_superintendent_decides_both(contest, part, client, superintendent):
    given_twice(part)
    for number, *cards in ((101, "1356", "1357"), (102, "13567", "13567")):
        for by, typed in zip(("Ann", "Ben"), cards, strict=True):
            read_choice(part, person(contest, number), typed, by)
    page = superintendent.get(reverse("doubts", args=[contest.pk])).content.decode()
    assert "The labels kept, in any order" in page and "1357" in page
    for number, counts, wrong in ((101, "B", "1359"), (102, "7653 1", "nonsense")):
        address = reverse("decide-choice", args=[contest.pk, part.pk, number])
        slip = ChoiceSlip(part, person(contest, number))
        from contest.watch.doubts import fingerprint

        sent = {
            "shown": fingerprint(slip.live().values_list("pk", flat=True)),
            "quick": "as the card says",
            "back": "card",
            "submission": uuid4(),
        }
        assert superintendent.post(address, sent | {"counts": wrong}).status_code == 422
        assert superintendent.post(address, sent | {"counts": counts}).status_code == 302
    assert doubts_of(contest) == []
    assert totals(contest) == {101: 43, 102: 0}
    assert Choice.objects.get(contestant__number=101).chosen == "1357"
    history = superintendent.get(reverse("choice", args=[contest.pk, part.pk, 101])).content.decode()
    assert "1356" in history and "1357" in history


def test_somebody_absent_is_a_doubt(contest, part):
    Contestant.objects.filter(contest=contest, number=101).update(present=False)
    assert read_choice(part, person(contest), "1356", "Ann").kind == ABSENT


def test_a_card_of_nobody_or_of_another_division_is_kept_until_somebody_says_whose_it_is(contest, part, superintendent):
    assert read(ChoiceSlip.of_number(part, 110), "1356", "Ann").kind == UNKNOWN
    assert read_choice(part, person(contest, 201), "1357", "Ben").kind == WRONG_CLASS
    doubts = {doubt.number: doubt for doubt in doubts_of(contest)}
    assert doubts[110].text == "Nobody has number 110. Whose card is it?"
    assert doubts[201].text == "The division of 201 does not do Eight ewes."
    assert load_record(contest.pk)[1].choices == ()
    assert "2 cards or answer sheets" in superintendent.get(reverse("results", args=[contest.pk])).content.decode()
    page = superintendent.get(reverse("doubts", args=[contest.pk])).content.decode()
    assert "Unknown number" in page and "Wrong part" in page
    for number in (110, 201):
        assert superintendent.get(reverse("choice", args=[contest.pk, part.pk, number])).status_code == 200
    for number, belongs in ((110, "101"), (201, "102")):
        address = reverse("put-right", args=[contest.pk, "choice", doubts[number].readings[0].pk])
        sent = {"act": "move", "quick": "the number was misread", "submission": str(uuid4())}
        assert superintendent.post(address, sent | {"number": "999"}).status_code == 422
        assert superintendent.post(address, sent | {"number": belongs}).status_code == 302
    assert doubts_of(contest) == []
    assert {row.number: row.kept for row in load_record(contest.pk)[1].choices} == {101: "1356", 102: "1357"}


def test_what_was_astray_counts_once_the_division_does_the_part(contest, part):
    read_choice(part, person(contest, 201), "1356", "Ann")
    outline.change(part, "Sue", divisions=["SR", "JR"])
    assert [row.number for row in load_record(contest.pk)[1].choices] == [201]
    assert doubts_of(contest) == []


def test_the_sheet_of_a_group_is_read_twice_through_its_page(contest, part, superintendent):
    address = reverse("scores-choices-sheet", args=[contest.pk, "KEEP"])
    page = superintendent.get(f"{address}?group=A")
    assert page.context["page"]["expected"] == [101]
    assert page.context["page"]["animals"] == "12345678"
    sent = {"submission": str(uuid4()), "by": "super", "of": 101, "chosen": "6531"}

    def send(**changed):
        to = reverse("scores-choices-sheet-readings", args=[contest.pk, "KEEP"])
        return superintendent.post(to, sent | changed, content_type="application/json")

    assert send(by=page.context["page"]["who"]).json()["kind"] == SAVED
    refused = send(by=page.context["page"]["who"], submission=str(uuid4()), chosen="9")
    assert "there is no animal 9" in refused.json()["text"]
    assert superintendent.get(f"{address}?group=A").context["page"]["expected"] == []
    check = superintendent.get(reverse("scores-part", args=[contest.pk, "KEEP"])).content.decode()
    assert "1356" in check and "Kept" in check


def test_without_a_script_a_wrong_number_is_asked_for_once(contest, part, superintendent):
    address = reverse("scores-choices-sheet", args=[contest.pk, "KEEP"])
    sent = {"number": "102", "chosen": "12", "submission": str(uuid4())}
    asked = superintendent.post(address, sent)
    assert asked.status_code == 422 and "2 kept instead of 4" in asked.content.decode()
    assert superintendent.post(address, sent | {"sure": "12"}).status_code == 302
    assert superintendent.post(address, sent | {"number": "101", "chosen": "99"}).status_code == 422
    assert superintendent.get(reverse("scores-marks-sheet", args=[contest.pk, "KEEP"])).status_code == 404
    assert Choice.objects.get().chosen == "12"


def test_values_are_typed_on_the_page_beside_the_keys(contest, part, superintendent):
    address = reverse("part-key", args=[contest.pk, "KEEP"])

    def send(**sent):
        return superintendent.post(address, {"submission": str(uuid4()), **sent})

    assert "Eight ewes" in superintendent.get(reverse("keys", args=[contest.pk])).content.decode()
    assert send(text="1 2 3").status_code == 422
    part_keys.enter(part, "41 2 11 1 13 12 5 4", "Ann")
    shown = superintendent.get(reverse("keys", args=[contest.pk])).content.decode()
    assert "type it the second time" in shown and 'class="worth"' not in shown
    assert send(text=VALUES).status_code == 409
    assert send(act="settle", right="second", reason="looked at the sheet").status_code == 302
    assert PartKey.objects.get(version=2).given == VALUES
    assert send(text=VALUES.replace("14", "15")).status_code == 422
    assert send(text=VALUES.replace("14", "15"), reason="a slip").status_code == 302
    assert send(act="accept", reason="nobody else is here").status_code == 302
    page = superintendent.get(address).content.decode()
    assert "One entry, accepted" in page and "15" in page


def test_the_checklist_says_what_is_missing(contest, part, superintendent):
    def lines():
        return superintendent.get(reverse("results", args=[contest.pk])).content.decode()

    assert "Eight ewes has no key and counts for nobody" in lines()
    part_keys.enter(part, VALUES, "Ann")
    assert "Eight ewes: its key was typed only once" in lines()
    part_keys.enter(part, VALUES, "Ben")
    read_choice(part, person(contest), "1356", "Ann")
    said = lines()
    assert "its key" not in said.split("Eight ewes", 1)[0]
    assert "Eight ewes" in said and "102" in said


def test_a_part_is_set_up_and_cannot_change_once_it_is_used(contest, part, superintendent):
    address = reverse("setup_add", args=[contest.pk, "parts"])
    sent = {"name": "Ewes", "code": "E", "divisions": ["SR"], "animals": "abxy", "keep": "2", "submission": uuid4()}
    assert superintendent.post(address, sent | {"keep": ""}).status_code == 422
    assert superintendent.post(address, sent | {"keep": "4"}).status_code == 422
    assert superintendent.post(address, sent | {"animals": "abx", "keep": "1"}).status_code == 422
    assert superintendent.post(address, sent).status_code == 302
    made = Part.objects.get(code="E")
    assert (made.animals, made.keep, made.most, made.scope) == ("ABXY", 2, 0, "individual")
    assert superintendent.get(reverse("setup_change", args=[contest.pk, "parts", made.pk])).status_code == 200
    given_twice(part)
    with pytest.raises(WrongValue, match="cannot change"):
        outline.change(part, "Sue", keep=3)
    read_choice(part, person(contest), "1356", "Ann")
    with pytest.raises(InUse, match="card for it was read"):
        outline.remove(part, "Sue")


def test_the_trail_says_what_was_read_and_handed_in(contest, part):
    given_twice(part)
    read_choice(part, person(contest), "13", "Ann")
    told = [entry.what for entry in trail_of(contest)]
    assert told[-3:] == ["key of Eight ewes", "key of Eight ewes confirmed", "Eight ewes, contestant 101: read"]


def test_a_contest_goes_through_a_book_with_who_read_and_decided(contest, part, tmp_path):
    given_twice(part)
    read_choice(part, person(contest), "1356", "Ann")
    read_choice(part, person(contest), "1357", "Ben")
    read_choice(part, person(contest, 102), "", "Ann")
    decide(ChoiceSlip(part, person(contest)), "1357", "Sue", "the card says 7")
    record = load_record_with_day(contest.pk)
    write_book(record, tmp_path / "book")
    again = save_record(read_book(tmp_path / "book"), by="test")
    assert load_record_with_day(again.pk) == record
    assert totals(again) == totals(contest) == {101: 43, 102: 0}


def printed(contest, document):
    return html_of(DOCUMENTS[document], gather_material(contest.pk, DOCUMENTS[document]), PrintChoice())[0]


def test_papers_ask_for_what_is_kept_and_tell_what_it_was_worth(contest, part):
    assert printed(contest, "keep-cards").count('class="tick-box"') == 2 * 2 * 8
    assert printed(contest, "key-forms").count("worth-boxes") == 1
    assert "Eight ewes" in printed(contest, "stack-covers")
    read_choice(part, person(contest), "1456", "Ann")
    assert "values are not in yet" in printed(contest, "packets")
    given_twice(part)
    packets = printed(contest, "packets")
    assert "kept 4, worth 1 instead of 11" in packets and "best: 1, 3, 5, 6, together 50" in packets
    assert "4 kept, not 3 −10" in printed(contest, "coach-summaries")
    assert "Best choice 1, 3, 5, 6, together 50; the mean was 20." in printed(contest, "class-reports")
    assert "Eight ewes" not in printed(contest, "keys")


def test_what_a_part_can_give_is_told_nowhere_before_its_values_are(contest, part, superintendent):
    given_twice(part)
    (told,) = [part_in_words(one) for one in load_record(contest.pk)[1].parts]
    assert told == "keep/cull: each contestant keeps 4 of 1, 2, 3, 4, 5, 6, 7, 8"
