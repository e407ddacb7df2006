"""Nobody sees a page without the join code."""

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import include, path

from contest import access

ADDRESS = "/a-page/"


def a_page(request):
    return HttpResponse("a page")


urlpatterns = [path("a-page/", a_page), path("", include("contest.urls"))]

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]


def type_in(client, code, **more):
    return client.post("/join/", {"code": code, **more})


def test_a_stranger_is_sent_to_the_join_page_and_comes_back_after_it(client, join_code):
    reply = client.get(ADDRESS + "?v=1")
    assert reply.status_code == 302
    assert reply.url == "/join/?next=%2Fa-page%2F%3Fv%3D1"
    assert type_in(client, join_code, next="/a-page/?v=1").url == "/a-page/?v=1"
    assert client.get(ADDRESS).content == b"a page"


def test_a_post_without_the_code_changes_nothing_and_has_nowhere_to_come_back_to(client, join_code):
    assert client.post(ADDRESS).url == "/join/"


def test_htmx_is_sent_with_the_whole_page(client, join_code):
    reply = client.get(ADDRESS, headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/somewhere/"})
    assert reply.headers["HX-Redirect"] == "/join/?next=%2Fsomewhere%2F"


def test_the_health_page_is_open_to_all(client, join_code):
    assert client.get("/healthz").content == b"ok\n"


@pytest.mark.parametrize(
    "spoil", [str.lower, lambda code: code.replace("-", ""), lambda code: f"  {code.replace('-', ' ')} "]
)
def test_the_code_may_be_typed_in_any_manner(client, join_code, spoil):
    assert type_in(client, spoil(join_code)).status_code == 302
    assert client.get(ADDRESS).status_code == 200


@pytest.mark.parametrize("wrong", ["", "AAAA-AAAA", "-", "é"])
def test_a_wrong_code_is_refused_beside_the_input(client, join_code, wrong):
    reply = type_in(client, wrong)
    assert reply.status_code == 422
    assert reply.context["form"].errors["code"]
    assert client.get(ADDRESS).status_code == 302


def test_a_new_code_shows_everybody_out(joined, settings):
    assert joined.get(ADDRESS).status_code == 200
    (settings.DATA_FOLDER / "join-code").write_text("ZZZZ-ZZZZ\n")
    assert joined.get(ADDRESS).status_code == 302


def test_without_a_code_nobody_gets_in(client, settings, tmp_path):
    settings.DATA_FOLDER = tmp_path
    assert type_in(client, "").status_code == 422
    assert client.get(ADDRESS).status_code == 302


def test_joining_changes_the_session_so_that_a_planted_one_is_worth_nothing(client, join_code):
    session = client.session
    session["planted"] = True
    session.save()
    client.cookies["sessionid"] = before = session.session_key
    type_in(client, join_code)
    assert client.cookies["sessionid"].value != before


@pytest.mark.parametrize(
    "elsewhere", ["https://evil.example/", "//evil.example/", "javascript:alert(1)", "/\\evil.example"]
)
def test_it_never_sends_to_another_site(client, join_code, elsewhere):
    assert type_in(client, join_code, next=elsewhere).url == "/"
    assert client.get("/join/", {"next": elsewhere}).url == "/"


def test_the_form_is_refused_without_its_csrf_token(join_code):
    assert type_in(Client(enforce_csrf_checks=True), join_code).status_code == 403


def test_guessing_is_stopped_even_for_the_right_code_but_other_devices_go_on(client, join_code):
    for _ in range(access.WRONG_CODES.amount):
        assert type_in(client, "AAAA-AAAA").status_code == 422
    reply = type_in(client, join_code)
    assert reply.status_code == 429
    assert "Too many wrong codes" in str(reply.context["form"].errors)
    assert client.get(ADDRESS).status_code == 302
    assert type_in(Client(REMOTE_ADDR="192.0.2.9"), join_code).status_code == 302


def test_right_codes_are_not_counted(join_code):
    for _ in range(access.WRONG_CODES.amount + 1):
        assert type_in(Client(), join_code).status_code == 302


def test_a_visit_asks_the_database_nothing(joined, django_assert_num_queries):
    joined.get(ADDRESS)
    with django_assert_num_queries(0):
        assert joined.get(ADDRESS).status_code == 200


def test_codes_differ_and_hold_nothing_that_looks_alike():
    codes = {access.new_code() for _ in range(200)}
    assert len(codes) == 200
    assert not set("".join(codes)) & set("01258OILU")
    assert all(len(code) == 9 and code[4] == "-" for code in codes)
