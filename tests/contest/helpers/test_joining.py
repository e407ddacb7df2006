"""Coming in with a name and a code, and going out again."""

import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client

from contest.access import SESSION_NAME
from contest.helpers.codes import codes_of
from contest.helpers.joining import NameTaken, leave, let_in, show_duty_out, show_out
from contest.helpers.throttling import WRONG
from contest.models import Duty, Helper, StackClaim
from tests.factories import a_contest
from tests.pages import html_in
from tests.trails import trail_of

pytestmark = pytest.mark.django_db


def code_for(contest, duty=Duty.ANNOUNCER):
    return codes_of(contest)[duty]


def join(client, code, name="Ann", **more):
    return client.post("/join/", {"submission": uuid4(), "name": name, "code": code, **more})


def what_happened(contest):
    return [(entry.by, entry.what) for entry in trail_of(contest)][1:]


class TestJoinPage:
    @pytest.mark.parametrize(
        ("duty", "page"), [(Duty.TABULATOR, "desk/"), (Duty.KEYS, "watch/keys/"), (Duty.ANNOUNCER, "announcer/")]
    )
    def test_a_helper_lands_on_the_first_page_of_the_duty(self, client, duty, page):
        contest = a_contest()
        reply = join(client, code_for(contest, duty))
        assert reply.url == f"/contests/{contest.pk}/{page}?welcome"
        assert "Welcome, <bdi>Ann</bdi>." in html_in(client.get(reply.url))
        assert "Welcome" not in html_in(client.get(reply.url.removesuffix("?welcome")))
        helper = Helper.objects.get()
        assert (helper.contest, helper.duty, helper.name) == (contest, duty, "Ann")

    def test_the_code_may_come_with_the_address(self, client):
        page = client.get("/join/?code=ABCD-EFGH").content.decode()
        assert 'value="ABCD-EFGH"' in page
        assert page.index("autofocus") < page.index('name="code"')

    @pytest.mark.parametrize(
        "spoil", [str.lower, lambda code: code.replace("-", ""), lambda code: f"  {code.replace('-', ' ')} "]
    )
    def test_the_code_may_be_typed_in_any_manner(self, client, spoil):
        assert join(client, spoil(code_for(a_contest()))).status_code == 302

    @pytest.mark.parametrize("wrong", ["AAAA-AAAA", "-", "é", "'; drop", "x" * 41])
    def test_a_wrong_code_is_refused_beside_the_input_and_all_is_kept(self, client, wrong):
        a_contest()
        reply = join(client, wrong, name="Ann Bee")
        assert reply.status_code == 422
        assert reply.context["form"].errors["code"]
        assert 'value="Ann Bee"' in reply.content.decode()
        assert not Helper.objects.exists()

    @pytest.mark.parametrize("name", ["", "   ", "x" * 61])
    def test_a_name_is_needed(self, client, name):
        reply = join(client, code_for(a_contest()), name=name)
        assert reply.status_code == 422
        assert reply.context["form"].errors["name"]

    @pytest.mark.parametrize("name", ["Ann", "ANN", "  ann ", "superintendent"])
    def test_a_name_that_is_taken_is_refused_with_a_way_out(self, superintendent, client, name):
        contest = a_contest()
        let_in(contest, Duty.KEYS, "Ann")
        reply = join(client, code_for(contest), name=name)
        assert reply.status_code == 422
        assert "Add an initial" in reply.content.decode()
        assert contest.helpers.count() == 1

    def test_the_same_device_comes_back_as_the_same_helper_and_for_another_duty_as_a_new_one(self, client):
        contest = a_contest()
        join(client, code_for(contest, Duty.TABULATOR), device="secret")
        for another in ({"device": "other"}, {"device": ""}, {}):
            assert join(Client(), code_for(contest, Duty.TABULATOR), **another).status_code == 422
        again = Client()
        assert join(again, code_for(contest, Duty.TABULATOR), name=" ann", device="secret").status_code == 302
        assert again.session[SESSION_NAME] == client.session[SESSION_NAME] == contest.helpers.get().pk
        assert "secret" not in contest.helpers.get().device
        assert join(Client(), code_for(contest, Duty.KEYS), device="secret").status_code == 302
        assert list(contest.helpers.filter(left_at=None).values_list("duty", flat=True)) == ["keys"]

    def test_the_same_form_sent_twice_lets_one_helper_in(self):
        contest = a_contest()
        form = {"submission": uuid4(), "name": "Ann", "code": code_for(contest)}
        clients = Client(), Client()  # a double click: both are sent before the first is answered
        replies = [client.post("/join/", form) for client in clients]
        assert [reply.status_code for reply in replies] == [302, 302]
        assert contest.helpers.count() == 1
        assert {client.session[SESSION_NAME] for client in clients} == {contest.helpers.get().pk}

    def test_the_same_submission_with_another_name_is_refused(self, client):
        contest = a_contest()
        submission = uuid4()
        join(Client(), code_for(contest), submission=submission)
        reply = join(client, code_for(contest), name="Bob", submission=submission)
        assert reply.status_code == 422
        assert "was sent before" in reply.content.decode()
        assert contest.helpers.count() == 1

    def test_they_come_back_to_the_page_they_wanted_if_it_is_theirs(self, client):
        contest = a_contest()
        wanted = f"/contests/{contest.pk}/desk/?v=1"
        assert join(client, code_for(contest, Duty.TABULATOR), next=wanted).url == wanted

    @pytest.mark.parametrize(
        "elsewhere",
        [
            "https://evil.example/",
            "//evil.example/",
            "javascript:alert(1)",
            "/\\evil.example",
            "/none/",
            "/contests/1/",
        ],
    )
    def test_any_other_page_becomes_their_first(self, client, elsewhere):
        contest = a_contest()
        assert join(client, code_for(contest), next=elsewhere).url == f"/contests/{contest.pk}/announcer/?welcome"

    def test_joining_changes_the_session_so_that_a_planted_one_is_worth_nothing(self, client):
        session = client.session
        session["planted"] = True
        session.save()
        before = session.session_key
        join(client, code_for(a_contest()))
        assert client.cookies["sessionid"].value != before

    def test_the_form_is_refused_without_its_csrf_token(self):
        assert join(Client(enforce_csrf_checks=True), code_for(a_contest())).status_code == 403

    def test_wrong_codes_without_end_keep_nobody_out_who_has_the_right_one(self, client):
        """All from one address, as where a whole hall is behind one access point."""
        code, statuses = code_for(a_contest()), Counter()
        for number in range(600):
            statuses[join(client, "AAA-AAA-AAA").status_code] += 1
            if number % 200 == 199:
                assert join(Client(), code, name=f"Ann {number}").status_code == 302
        assert set(statuses) == {422, 429}
        assert statuses[422] >= WRONG.amount  # more only where this takes minutes

    def test_a_wrong_code_too_many_says_so_in_words_and_all_is_kept(self, client):
        for _ in range(WRONG.amount):
            assert join(client, "AAA-AAA-AAA").status_code == 422
        page = join(client, "AAA-AAA-AAA", name="Ann Bee").content.decode()
        assert "Many wrong ones came from here" in page
        assert 'value="Ann Bee"' in page

    def test_right_codes_are_not_counted(self, client):
        code = code_for(a_contest())
        for number in range(WRONG.amount + 1):
            assert join(Client(), code, name=f"Ann {number}").status_code == 302
        assert join(client, "AAA-AAA-AAA").status_code == 422

    def test_whoever_is_in_is_told_so_and_stays_in(self, as_helper):
        contest = a_contest()
        ann = as_helper(contest, Duty.ANNOUNCER)
        assert "Go on as <bdi>Ann</bdi>" in ann.get("/join/").content.decode()
        join(ann, code_for(contest, Duty.KEYS), name="Bob")
        assert contest.helpers.count() == 1

    def test_a_superintendent_needs_no_code(self, superintendent):
        assert "needs no join code" in html_in(superintendent.get("/join/"))


class TestLeaving:
    def test_it_ends_on_this_device_and_frees_the_name(self, as_helper):
        contest = a_contest()
        ann = as_helper(contest, Duty.ANNOUNCER)
        assert ann.post("/leave/").url == "/join/"
        assert ann.get(f"/contests/{contest.pk}/lobby/").status_code == 302
        assert "has signed this device out" not in ann.get("/join/").content.decode()
        let_in(contest, Duty.KEYS, "ann")

    def test_it_is_a_post(self, as_helper):
        assert as_helper(a_contest(), Duty.ANNOUNCER).get("/leave/").status_code == 405

    def test_a_stranger_may_try(self, client):
        assert client.post("/leave/").url == "/join/"


class TestFunctions:
    def test_names_are_tidied_and_compared_in_every_alphabet(self):
        contest = a_contest()
        assert let_in(contest, Duty.KEYS, "  Šárka \t Nováková ").name == "Šárka Nováková"
        with pytest.raises(NameTaken):
            let_in(contest, Duty.TABULATOR, "šárka nováková")
        let_in(a_contest(), Duty.KEYS, "Šárka Nováková")

    def test_coming_and_going_is_on_the_trail_and_touches_no_score(self):
        contest = a_contest()
        ann, bob = let_in(contest, Duty.KEYS, "Ann"), let_in(contest, Duty.KEYS, "Bob")
        leave(ann)
        show_out(bob, by="Sue")
        assert what_happened(contest) == [
            ("Ann", "joined as keys"),
            ("Bob", "joined as keys"),
            ("Ann", "left"),
            ("Sue", "shown out"),
        ]
        assert set(contest.trail.values_list("touches", flat=True)[1:]) == {"nothing"}

    def test_going_out_twice_is_going_out_once(self):
        contest = a_contest()
        ann = let_in(contest, Duty.KEYS, "Ann")
        leave(ann)
        left_at = contest.helpers.get().left_at
        leave(ann)
        show_out(ann, by="Sue")
        assert contest.helpers.get().left_at == left_at
        assert len(what_happened(contest)) == 2

    def test_whoever_goes_out_gives_their_stack_back(self):
        contest = a_contest()
        ann, bob = let_in(contest, Duty.TABULATOR, "Ann"), let_in(contest, Duty.TABULATOR, "Bob")
        for helper in (ann, bob):
            StackClaim.objects.create(helper=helper, judging_class=contest.classes.get(), group="A")
        show_out(ann, by="Sue")
        assert list(StackClaim.objects.filter(given_back_at=None).values_list("helper__name", flat=True)) == ["Bob"]

    def test_a_whole_duty_goes_out_of_one_contest(self):
        contest, other = a_contest(), a_contest()
        for name in ("Ann", "Bob"):
            let_in(contest, Duty.TABULATOR, name)
        let_in(contest, Duty.KEYS, "Cleo")
        let_in(other, Duty.TABULATOR, "Ann")
        assert show_duty_out(contest, Duty.TABULATOR, by="Sue") == 2
        assert set(Helper.objects.filter(left_at=None).values_list("name", "contest")) == {
            ("Cleo", contest.pk),
            ("Ann", other.pk),
        }
        assert what_happened(contest)[-1] == ("Sue", "all out: tabulator")
        assert show_duty_out(contest, Duty.TABULATOR, by="Sue") == 0


@pytest.mark.django_db(transaction=True)
def test_of_many_who_want_one_name_at_once_one_gets_it():
    contest = a_contest()
    start = threading.Barrier(6)

    def come(name):
        start.wait(timeout=20)
        try:
            return let_in(contest, Duty.TABULATOR, name).name
        except NameTaken:
            return None
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as pool:
        names = list(pool.map(come, ["Šárka", "ŠÁRKA", "šárka"] * 2))
    assert sum(name is not None for name in names) == 1
    assert contest.helpers.count() == 1
