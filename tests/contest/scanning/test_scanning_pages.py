"""The pages of cards by scanner, as people use them."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils.html import strip_tags

from contest.models import Duty, Reading, Scan, ScanRules
from contest.scanning import jobs
from contest.scanning.folder import Uploaded
from contest.scanning.reader import Identity, Trouble
from contest.scanning.reader.rehearsal import asked_for
from contest.scanning.rules import change_rules
from tests.contest.scanning.cards import PICTURE, a_scan, scanned, seen
from tests.factories import a_contest, people
from tests.pages import html_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    made = a_contest(contestants=people(6), cards=())
    change_rules(made, "Sue", on=True)
    return made


@pytest.fixture
def helper(contest, as_helper):
    return as_helper(contest, Duty.TABULATOR)


def at(contest, name, *args):
    return reverse(f"scanning{name}", args=[contest.pk, *args])


def post(client, address, **values):
    return client.post(address, {"submission": str(uuid4()), **values})


def shown_text(answer):
    return " ".join(strip_tags(html_in(answer)).split())


def pdf(content=b"%PDF-1.4 pages"):
    return SimpleUploadedFile("pages.pdf", content, "application/pdf")


def test_the_navigation_shows_it_only_where_it_is_switched_on(superintendent, contest):
    plain = a_contest()
    assert at(plain, "") not in superintendent.get(f"/contests/{plain.pk}/").text
    assert at(contest, "") in superintendent.get(f"/contests/{contest.pk}/").text


def test_pages_are_brought_once_and_their_hash_is_in_the_trail(contest, helper):
    assert post(helper, at(contest, "-bring"), pages=pdf()).status_code == 302
    scan = Scan.objects.get()
    assert (scan.state, scan.by, scan.name) == ("waiting", "Ann", "pages.pdf")
    entry = contest.trail.get(what="scan_brought")
    assert entry.after == {"sha256": scan.digest}
    again = post(helper, at(contest, "-bring"), pages=pdf())
    assert again.status_code == 409
    assert "brought before" in again.text


@pytest.mark.parametrize("files", [[], [SimpleUploadedFile(f"{n}.jpg", b"%d" % n) for n in range(101)]])
def test_none_and_too_many_are_refused_in_words(contest, helper, files):
    answer = post(helper, at(contest, "-bring"), pages=files)
    assert answer.status_code in (400, 422)
    assert not Scan.objects.exists()


def test_nothing_is_taken_where_it_is_not_switched_on(superintendent):
    plain = a_contest()
    assert post(superintendent, at(plain, "-bring"), pages=pdf()).status_code == 422
    assert not Scan.objects.exists()
    page = superintendent.get(at(plain, ""))
    assert "Switch it on" in page.text


def test_a_scan_says_how_far_it_is_and_can_be_cancelled(contest, helper):
    scan = a_scan(contest, page=11, pages=68)
    page = helper.get(at(contest, ""))
    assert "page 12 of 68" in shown_text(page)
    version = page.context["version"]
    assert helper.get(at(contest, "") + f"?v={version}").status_code == 204
    post(helper, at(contest, "-cancel", scan.pk))
    assert "cancelled at page 12 of 68" in shown_text(helper.get(at(contest, "")))


def test_what_stopped_says_why_and_goes_on_after_the_page(contest, helper):
    scan = a_scan(contest, page=2, state=Scan.State.FAILED, trouble="memory")
    assert "needs more memory" in shown_text(helper.get(at(contest, "")))
    post(helper, at(contest, "-again", scan.pk), skip="1")
    scan.refresh_from_db()
    assert (scan.state, scan.page, scan.skipped, scan.trouble) == ("waiting", 3, 1, "")


def test_a_card_is_settled_by_enter_alone_and_taken_back(contest, helper):
    first, _second = scanned(
        contest, seen(contest, 101, troubles=[Trouble.FAINT]), seen(contest, 102, troubles=[Trouble.TWO_MARKS])
    )
    page = helper.get(at(contest, "-cards"))
    assert "Class 1, contestant 101" in shown_text(page)
    assert "A mark is too faint" in shown_text(page)
    assert "How clear the marks are to the scanner: 30 of 100, where it needs 50." in shown_text(page)
    answer = post(helper, at(contest, "-read", first.pk), placing="")
    page = helper.get(answer.url)
    assert "Class 1, contestant 101: 3124" in shown_text(page)
    assert "contestant 102" in shown_text(page)
    post(helper, at(contest, "-back", first.pk))
    assert not Reading.objects.filter(withdrawn_at=None).exists()
    assert "contestant 102" in shown_text(helper.get(at(contest, "-cards") + f"?after={first.pk}"))


def test_what_is_wrong_stands_beside_its_field_with_what_was_typed(contest, helper):
    (card,) = scanned(contest, seen(contest, 101, "", troubles=[Trouble.BLANK]))
    answer = post(helper, at(contest, "-read", card.pk), placing="3344")
    assert answer.status_code == 422
    assert 'value="3344"' in answer.text
    assert post(helper, at(contest, "-read", card.pk), placing="3124", number="999").status_code == 422
    assert post(helper, at(contest, "-aside", card.pk), reason="whatever").status_code == 422
    assert not Reading.objects.exists()


def test_a_card_that_somebody_else_dealt_with_is_said_to_be(contest, helper, as_helper):
    (card,) = scanned(contest, seen(contest, 101, troubles=[Trouble.FAINT]))
    post(as_helper(contest, Duty.TABULATOR, "Bob"), at(contest, "-aside", card.pk), reason="no card there")
    answer = post(helper, at(contest, "-read", card.pk), placing="3124")
    assert answer.status_code == 409
    assert "Bob has dealt with this card meanwhile" in shown_text(answer)


def test_a_picture_is_shown_to_whoever_reads_cards_of_that_contest(contest, helper, as_helper):
    (card,) = scanned(contest, seen(contest, 101))
    answer = helper.get(at(contest, "-picture", card.pk))
    assert (answer.content, answer["Content-Type"]) == (PICTURE, "image/jpeg")
    other = a_contest()
    assert as_helper(other, Duty.TABULATOR, "Cy").get(at(other, "-picture", card.pk)).status_code == 404
    assert helper.get(at(contest, "-picture", 999)).status_code == 404


def test_the_rules_are_changed_with_a_seed_and_refused_in_words(superintendent, contest):
    plain = a_contest()
    values = {"on": "on", "most_wrong": "5", "confidence": "99", "keep_days": "0"}
    assert post(superintendent, at(plain, "-rules"), **values).status_code == 302
    rules = ScanRules.objects.get(contest=plain)
    assert (rules.on, rules.most_wrong, rules.confidence, rules.keep_days) == (True, 5, 99, 0)
    assert len(rules.seed) == 8
    assert post(superintendent, at(plain, "-rules"), **values | {"confidence": "100"}).status_code == 422


def test_a_rehearsal_says_what_to_do_and_counts_for_nobody(contest, helper):
    assert "No test cards" in shown_text(helper.get(at(contest, "-rehearsal")))
    tests = [
        seen(contest, None, asked_for(number), identity=Identity(contest.pk, 2026, 0, number, "rehearsal"))
        for number in range(1, 8)
    ]
    faint = Identity(contest.pk, 2026, 0, 8, "rehearsal")
    scanned(contest, *tests, seen(contest, None, "", identity=faint, troubles=[Trouble.FAINT]))
    page = shown_text(helper.get(at(contest, "-rehearsal")))
    assert "7 of 8 test cards read" in page
    assert "1: a mark is too faint" in page
    assert "darker or thicker pens" in page
    assert "test cards 8." in page
    assert "No card waits" in shown_text(helper.get(at(contest, "-cards")))
    assert not Reading.objects.exists()


def test_a_rehearsal_warns_of_a_machine_that_makes_paper_white_whatever_it_read(contest, helper):
    tests = [
        seen(
            contest,
            None,
            asked_for(number),
            identity=Identity(contest.pk, 2026, 0, number, "rehearsal"),
            washed_out=number < 3,
        )
        for number in range(1, 9)
    ]
    scanned(contest, *tests)
    page = shown_text(helper.get(at(contest, "-rehearsal")))
    assert "8 of 8 test cards read" in page
    assert "2: the paper was made entirely white" in page
    assert "pale pencil marks may be lost" in page


def test_bringing_the_same_pages_after_a_cancel_goes_on_where_they_stopped(contest, helper):
    scan = jobs.bring(contest, [Uploaded(pdf())], "pages.pdf", "Ann")
    Scan.objects.update(page=2, pages=3, state=Scan.State.CANCELLED)
    post(helper, at(contest, "-bring"), pages=pdf())
    known = Scan.objects.get()
    assert (known.pk, known.page, known.state) == (scan.pk, 2, "waiting")
