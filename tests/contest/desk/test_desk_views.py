"""The tabulation room and its desks, as the server answers them."""

import json
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from contest.desk.stacks import take_stack
from contest.helpers.joining import let_in, show_out
from contest.models import Contestant, Duty, Reading, StackClaim
from tests.factories import ClassFactory, ContestantFactory, a_contest
from tests.pages import body
from tests.slips import read_card

pytestmark = pytest.mark.django_db

OTHER_DUTIES = [duty for duty in Duty if duty != Duty.TABULATOR]


@pytest.fixture
def contest():
    return a_contest(
        classes=(ClassFactory(), ClassFactory(number=2, name="Yearlings", places=False)),
        contestants=tuple(ContestantFactory(number=number, group="A") for number in (101, 102, 103)),
        cards=(),
    )


@pytest.fixture
def ann(contest, as_helper):
    return as_helper(contest, Duty.TABULATOR, "Ann")


def at(contest, name="desk", *args, **query):
    return reverse(name, args=[contest.pk, *args], query=query or None)


def take(client, contest, text="1A", **more):
    return client.post(at(contest, "desk-take"), {"stack": text, "submission": uuid4(), **more})


def send(client, contest, by="Ann", submission=None, **card):
    body = {"submission": str(submission or uuid4()), "by": by, "class_number": 1, "number": 101, "placing": "3124"}
    return client.post(at(contest, "desk-readings"), json.dumps({**body, **card}), content_type="application/json")


def send_back(client, contest, reading, by="Ann", submission=None):
    body = {"submission": str(submission or uuid4()), "by": by}
    address = at(contest, "desk-take-back", reading)
    return client.post(address, json.dumps(body), content_type="application/json")


def data_of(response):
    return json.loads(
        response.content.decode().split('<script id="desk-page" type="application/json">')[1].split("</script>")[0]
    )


class TestTheRoom:
    def test_it_shows_the_stacks_and_offers_the_best_one(self, ann, contest):
        page = body(ann.get(at(contest)))
        assert "<b>Class 1, group A</b>" in page
        assert "3 to read, first reading" in page
        assert "3 unread; free" in page

    def test_it_says_who_has_a_stack(self, ann, contest, as_helper):
        take(as_helper(contest, Duty.TABULATOR, "Bob"), contest)
        page = body(ann.get(at(contest)))
        assert "taken by Bob since" in page
        assert "first reading together with Bob" in page

    def test_it_tells_no_name_of_a_contestant_no_placing_and_no_key(self, ann, contest):
        read_card(contest.classes.get(number=1), 101, "4321", "Bob", uuid4())
        page = body(ann.get(at(contest)))
        for secret in ("Given", "Family", "3124", "4321", "Barley Hill"):
            assert secret not in page

    def test_its_live_part_comes_alone_and_only_when_something_changed(self, ann, contest):
        contest.refresh_from_db()
        assert ann.get(at(contest, v=contest.revision)).status_code == 204
        part = body(ann.get(at(contest, v=contest.revision - 1)))
        assert part.startswith('<div id="room-stacks"')

    def test_with_nothing_left_it_says_so(self, ann, contest):
        for by in ("Bob", "Cyd"):
            for number in (101, 102, 103):
                read_card(contest.classes.get(number=1), number, "4321", by, uuid4())
        page = body(ann.get(at(contest)))
        assert "Every card that is due is settled" in page
        assert "3 settled" in page

    @pytest.mark.parametrize("duty", OTHER_DUTIES)
    def test_other_duties_find_no_such_page(self, contest, as_helper, duty):
        assert as_helper(contest, duty, "Eve").get(at(contest)).status_code == 404

    def test_a_helper_of_another_contest_finds_no_such_page(self, contest, as_helper):
        assert as_helper(a_contest(), Duty.TABULATOR).get(at(contest)).status_code == 404

    def test_a_stranger_is_sent_to_join(self, client, contest):
        assert client.get(at(contest)).url.startswith(reverse("join"))

    def test_it_refuses_post(self, ann, contest):
        assert ann.post(at(contest)).status_code == 405

    def test_the_superintendent_reads_without_taking(self, superintendent, contest):
        reply = take(superintendent, contest)
        assert reply.url == at(contest, "desk-stack", 1, group="A")
        assert not StackClaim.objects.exists()
        assert superintendent.get(reply.url).status_code == 200

    def test_its_queries_are_few(self, ann, contest, django_assert_max_num_queries):
        with django_assert_max_num_queries(12):
            ann.get(at(contest))


class TestTaking:
    def test_it_leads_to_the_reading_page(self, ann, contest):
        reply = take(ann, contest)
        assert reply.url == at(contest, "desk-stack", 1, group="A")
        assert StackClaim.objects.get().helper == ann.helper

    def test_the_same_submission_twice_is_one_change(self, ann, contest):
        submission = uuid4()
        for _ in range(2):
            take(ann, contest, submission=submission)
        assert StackClaim.objects.count() == 1

    def test_a_stack_that_there_is_not_is_refused_with_what_was_typed(self, ann, contest):
        page = body(take(ann, contest, "7 Q"), 422)
        assert "no cards are due in a class 7" in page
        assert 'value="7 Q"' in page

    def test_a_stack_offered_as_free_that_somebody_took_meanwhile_is_not_shared_unawares(self, ann, contest, as_helper):
        take(as_helper(contest, Duty.TABULATOR, "Bob"), contest)
        page = body(take(ann, contest, alone="1"), 409)
        assert "Bob has just taken class 1, group A." in page
        assert StackClaim.objects.count() == 1

    def test_it_can_be_shared_on_purpose(self, ann, contest, as_helper):
        take(as_helper(contest, Duty.TABULATOR, "Bob"), contest)
        assert "Also at this stack: Bob" in body(ann.get(take(ann, contest).url))

    def test_a_class_alone_leads_to_its_loose_cards(self, ann, contest):
        assert take(ann, contest, " 1 ").url == at(contest, "desk-loose", 1)
        assert not StackClaim.objects.exists()

    def test_without_groups_a_class_alone_is_its_stack(self, as_helper):
        contest = a_contest(cards=())
        reply = take(as_helper(contest, Duty.TABULATOR), contest, "1")
        assert reply.url == at(contest, "desk-stack", 1, group="")
        assert as_helper(contest, Duty.TABULATOR, "Bob").get(at(contest)).status_code == 200

    def test_giving_back(self, ann, contest):
        take(ann, contest)
        reply = ann.post(at(contest, "desk-give-back"), {"submission": uuid4()})
        assert reply.url == at(contest)
        assert StackClaim.objects.get().given_back_at

    @pytest.mark.parametrize("name", ["desk-take", "desk-give-back", "desk-readings"])
    def test_it_refuses_get(self, ann, contest, name):
        assert ann.get(at(contest, name)).status_code == 405


class TestTheReadingPage:
    def test_it_gives_the_numbers_still_to_be_read_and_nothing_of_what_others_read(self, ann, contest):
        read_card(contest.classes.get(number=1), 101, "4321", "Bob", uuid4())
        read_card(contest.classes.get(number=1), 102, "4321", "Ann", uuid4())
        take(ann, contest)
        response = ann.get(at(contest, "desk-stack", 1, group="A"))
        data = data_of(response)
        assert data["expected"] == [101, 103]
        assert [(one["owner"], one["gave"], one["kind"]) for one in data["recent"]] == [(102, "4321", "saved")]
        assert body(response).count("4321") == 1
        for secret in ("Given", "Family", "3124", "Barley Hill"):
            assert secret not in body(response)

    def test_it_knows_which_numbers_would_be_a_surprise(self, ann, contest):
        Contestant.objects.filter(number=103).update(present=False)
        Contestant.objects.filter(number=102).update(group="B")
        take(ann, contest)
        data = data_of(ann.get(at(contest, "desk-stack", 1, group="A")))
        assert data["odd"] == {"102": "102 is in group B.", "103": "103 is marked as absent."}
        assert sorted(data["known"]) == [101, 102, 103]

    def test_a_stack_that_was_not_taken_leads_to_the_room(self, ann, contest):
        assert ann.get(at(contest, "desk-stack", 1, group="A")).url == at(contest)

    def test_loose_cards_expect_no_number(self, ann, contest):
        data = data_of(ann.get(at(contest, "desk-loose", 1)))
        assert (data["loose"], data["expected"]) == (True, [])

    @pytest.mark.parametrize("name", ["desk-loose", "desk-stack-expected", "desk-stack"])
    @pytest.mark.parametrize("number", [2, 77])
    def test_a_class_without_cards_is_not_found(self, ann, contest, name, number):
        assert ann.get(at(contest, name, number)).status_code == 404

    def test_what_a_laptop_keeps_is_known_by_contest_and_name_not_by_the_visit(self, contest, as_helper):
        first = as_helper(contest, Duty.TABULATOR, "Ann")
        before = data_of(first.get(at(contest, "desk-loose", 1)))["desk"]
        show_out(first.helper, "superintendent")
        again = as_helper(contest, Duty.TABULATOR, "ANN")
        assert data_of(again.get(at(contest, "desk-loose", 1)))["desk"] == before
        other = as_helper(a_contest(), Duty.TABULATOR, "Ann")
        assert data_of(other.get(at(other.helper.contest, "desk-loose", 1)))["desk"] != before

    def test_the_end_of_a_stack_tells_what_is_left_and_what_comes_next(self, ann, contest):
        Contestant.objects.filter(number=103).update(group="B")
        read_card(contest.classes.get(number=1), 101, "4321", "Ann", uuid4())
        address = at(contest, "desk-stack-expected", 1, group="A")
        reply = ann.get(address).json()
        assert ann.get(f"{address}&v={reply.pop('version')}").status_code == 204
        assert reply == {
            "numbers": [102],
            "next": {"stack": "1 B", "label": "class 1, group B", "again": False, "shared": False},
        }

    def test_hello_tells_whose_laptop_it_is(self, ann, contest):
        reply = ann.get(at(contest, "desk-hello")).json()
        assert reply["desk"].endswith("-ann")
        assert len(reply["token"]) == 64


class TestSendingAReading:
    def test_it_is_saved_with_reader_and_helper(self, ann, contest):
        reply = send(ann, contest)
        assert reply.json() == {"kind": "saved", "text": "saved", "reading": Reading.objects.get().pk}
        reading = Reading.objects.get()
        assert (reading.by, reading.helper, reading.number, reading.placing) == ("Ann", ann.helper, 101, "3124")

    @pytest.mark.parametrize("placing", ["", "unreadable"])
    def test_so_is_no_card_and_one_that_cannot_be_read(self, ann, contest, placing):
        assert send(ann, contest, placing=placing).status_code == 200
        assert Reading.objects.get().placing == placing

    def test_the_same_submission_twice_is_one_reading(self, ann, contest):
        submission = uuid4()
        replies = [send(ann, contest, submission=submission).json() for _ in range(2)]
        assert replies[0] == replies[1]
        assert Reading.objects.count() == 1

    def test_the_same_submission_with_another_card_is_refused(self, ann, contest):
        submission = uuid4()
        send(ann, contest, submission=submission)
        reply = send(ann, contest, submission=submission, placing="4321")
        assert (reply.status_code, reply.json()["kind"]) == (422, "refused")

    @pytest.mark.parametrize(
        ("card", "text"),
        [
            ({"placing": "1231"}, "places animal 1 more than once"),
            ({"placing": "12345"}, "5 characters"),
            ({"class_number": 9}, "this contest has no class 9"),
            ({"number": 0}, "number: numbers begin at 1"),
            ({"number": 2**31}, "number: no contestant has a number that long"),
            ({"number": "ten"}, "number: Enter a whole number."),
            ({"submission": "x"}, "submission: Enter a valid UUID."),
        ],
    )
    def test_what_cannot_be_is_refused_in_words(self, ann, contest, card, text):
        reply = send(ann, contest, **card)
        assert reply.status_code == 422
        assert text in reply.json()["text"]
        assert not Reading.objects.exists()

    @pytest.mark.parametrize("nonsense", ["", "{", "[]", "null", '"x"'])
    def test_nonsense_is_refused(self, ann, contest, nonsense):
        reply = ann.post(at(contest, "desk-readings"), nonsense, content_type="application/json")
        assert (reply.status_code, reply.json()["kind"]) == (422, "refused")

    def test_a_number_of_nobody_is_kept_as_a_doubt(self, ann, contest):
        assert send(ann, contest, number=999).json()["kind"] == "unknown-number"
        assert Reading.objects.get().contestant is None

    def test_what_one_helper_read_is_never_saved_as_anothers(self, ann, contest):
        reply = send(ann, contest, by="Bob")
        assert (reply.status_code, reply.headers["X-Tanbark-Out"]) == (401, "1")
        assert not Reading.objects.exists()

    def test_whoever_was_shown_out_is_told_so(self, ann, contest):
        show_out(ann.helper, "superintendent")
        reply = ann.post(
            at(contest, "desk-readings"), "{}", content_type="application/json", headers={"accept": "application/json"}
        )
        assert (reply.status_code, reply.headers["X-Tanbark-Out"]) == (401, "1")

    @pytest.mark.parametrize("duty", OTHER_DUTIES)
    def test_other_duties_read_nothing(self, contest, as_helper, duty):
        assert send(as_helper(contest, duty, "Eve"), contest, by="Eve").status_code == 404
        assert not Reading.objects.exists()

    def test_a_helper_of_another_contest_reads_nothing(self, contest, as_helper):
        assert send(as_helper(a_contest(cards=()), Duty.TABULATOR), contest).status_code == 404
        assert not Reading.objects.exists()

    def test_it_takes_few_queries(self, ann, contest):
        """Twelve helpers type at once, and each waits for the others' turns. Savepoints cost nothing to speak of."""
        send(ann, contest)
        with CaptureQueriesContext(connection) as captured:
            send(ann, contest, number=102)
        statements = [query["sql"] for query in captured if "SAVEPOINT" not in query["sql"]]
        assert len(statements) <= 15, "\n".join(statements)


class TestTakingBack:
    def test_ones_own_reading_goes_back_once(self, ann, contest):
        reading, submission = uuid4(), uuid4()
        send(ann, contest, submission=reading)
        for _ in range(2):
            reply = send_back(ann, contest, reading, submission=submission)
            assert (reply.status_code, reply.json()["kind"]) == (200, "taken-back")
        assert Reading.objects.get().withdrawn_by == "Ann"

    def test_a_settled_one_stays_and_says_why(self, ann, contest, as_helper):
        reading = uuid4()
        send(ann, contest, submission=reading)
        send(as_helper(contest, Duty.TABULATOR, "Bob"), contest, by="Bob")
        reply = send_back(ann, contest, reading)
        assert (reply.status_code, reply.json()["text"]) == (422, "that card is settled; tell the superintendent")
        assert Reading.objects.get(submission=reading).withdrawn_at is None

    def test_somebody_elses_stays(self, ann, contest):
        reading = uuid4()
        read_card(contest.classes.get(number=1), 101, "3124", "Bob", reading)
        assert send_back(ann, contest, reading).status_code == 422

    def test_one_that_never_arrived_is_refused(self, ann, contest):
        assert send_back(ann, contest, uuid4()).json()["text"] == "that reading never arrived"

    def test_one_of_another_contest_is_refused(self, ann, contest):
        reading, other = uuid4(), a_contest(cards=())
        read_card(other.classes.get(number=1), 101, "3124", "Ann", reading)
        assert send_back(ann, contest, reading).status_code == 422
        assert Reading.objects.get().withdrawn_at is None

    def test_not_on_a_laptop_that_changed_hands(self, ann, contest):
        reading = uuid4()
        send(ann, contest, submission=reading)
        assert send_back(ann, contest, reading, by="Bob").status_code == 401

    def test_it_refuses_get(self, ann, contest):
        assert ann.get(at(contest, "desk-take-back", uuid4())).status_code == 405


def test_a_claim_of_a_helper_who_left_says_nothing_to_the_next(contest, as_helper):
    bob = let_in(contest, Duty.TABULATOR, "Bob")
    take_stack(bob, contest.classes.get(number=1), "A")
    show_out(bob, "superintendent")
    assert "taken by" not in body(as_helper(contest, Duty.TABULATOR, "Ann").get(at(contest)))
