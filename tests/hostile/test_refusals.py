"""What cannot be read is refused in words, and nothing else with it."""

import json
from uuid import uuid4

import pytest
from django.core.handlers.wsgi import WSGIHandler
from django.test import Client

from contest.models import Duty, Reading
from contest.uploads.pictures import DEEPEST, NotAPicture, checked
from contest.web.charset import only_utf_8
from contest.web.json_text import parsed
from tests.contest.setup.cast import in_use
from tests.factories import a_contest

FORM = "application/x-www-form-urlencoded"


@pytest.fixture
def tolerant():
    """A client that is answered as a browser is, also where something fails."""
    return Client(raise_request_exception=False)


def charset_told(content_type):
    """The status of an answer to a form of this type, and what the application was asked to read."""
    asked, statuses = [], []

    def application(environ, start_response):
        asked.append(environ["CONTENT_TYPE"])
        start_response("200 OK", [])
        return []

    said = b"".join(only_utf_8(application)({"CONTENT_TYPE": content_type}, lambda status, _: statuses.append(status)))
    return statuses[0][:3], said.decode(), asked


@pytest.mark.parametrize("charset", ["utf-16", "latin-1", "base64", "rot13", "nonsense", "", "utf-7"])
def test_another_character_set_is_refused_before_anything_is_decoded(charset):
    status, values_of, asked = charset_told(f"{FORM}; charset={charset}")
    assert (status, asked) == ("415", [])
    assert "UTF-8" in values_of


@pytest.mark.parametrize("charset", ["utf-8", "UTF-8", "utf8", '"utf-8"', "UTF_8"])
def test_utf_8_is_read_however_it_is_called(charset):
    assert charset_told(f"{FORM}; charset={charset}; boundary=x") == ("200", "", [f"{FORM}; boundary=x"])
    assert charset_told(FORM) == ("200", "", [FORM])


def test_the_served_application_is_guarded():
    from contest.wsgi import application

    assert application.__qualname__ == only_utf_8(WSGIHandler()).__qualname__


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("type_of", "body", "status", "words"),
    [
        (FORM, "&".join(f"a{number}=" for number in range(2000)), 400, "more fields than any form"),
        (FORM, "name=" + "x" * 3_000_000, 413, "longer than any form"),
        (FORM, "name=a%00b", 400, "NUL"),
        ("multipart/form-data; boundary=", "x", 400, "arrived damaged"),
        ("multipart/form-data", "x", 400, "arrived damaged"),
    ],
)
def test_a_form_that_cannot_be_read_is_refused_in_words(tolerant, type_of, body, status, words):
    for headers, page in ({}, True), ({"Accept": "application/json"}, False):
        reply = tolerant.post("/join/", body, content_type=type_of, headers=headers)
        assert reply.status_code == status
        assert words in reply.content.decode()
        assert ("<h1>" in reply.content.decode()) is page


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/join/%00", "/contests/%00/", "/join/?next=%00", "/?a%00=1"])
def test_an_address_with_what_no_text_holds_is_refused(tolerant, address):
    reply = tolerant.get(address)
    assert reply.status_code == 400
    assert "That could not be read" in reply.content.decode()


@pytest.mark.django_db
def test_a_length_that_is_none_is_refused(tolerant):
    assert tolerant.post("/join/", "name=a", content_type=FORM, CONTENT_LENGTH="abc").status_code == 400


@pytest.mark.django_db
@pytest.mark.parametrize("key", ["\\000aaaaaaaaaa", "'; drop table", "../../etc/passwd", "é" * 9, "x" * 9000])
def test_a_session_that_cannot_be_one_is_none(tolerant, key):
    assert tolerant.get("/", headers={"Cookie": f'sessionid="{key}"'}).status_code == 302


@pytest.mark.django_db
@pytest.mark.parametrize(
    "wanted", ["foo", "contest", "sign_out", "http://[", "/\\[", "/" + "x" * 5000, "//evil.example/"]
)
def test_only_a_path_is_gone_on_to(tolerant, superintendent, wanted):
    assert superintendent.get("/sign-in/", {"next": wanted}).url == "/"
    assert tolerant.get("/sign-in/", {"next": wanted}).status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["http://[", "//[", "http://testserver/" + "x" * 5000])
def test_a_page_that_says_it_is_no_page_is_led_to_the_join_page_all_the_same(tolerant, address):
    reply = tolerant.get("/contests/new/", headers={"HX-Request": "true", "HX-Current-URL": address})
    assert (reply.status_code, reply.headers["HX-Redirect"]) == (200, "/join/")


@pytest.mark.django_db
def test_a_page_that_cannot_be_come_back_to_is_left_out(tolerant):
    assert tolerant.get("/contests/1/?" + "x" * 5000).url == "/join/"


@pytest.mark.django_db
class TestScripts:
    @pytest.fixture
    def desk(self, as_helper):
        contest = a_contest()
        client = as_helper(contest, Duty.TABULATOR)
        client.raise_request_exception = False
        client.address = f"/contests/{contest.pk}/desk/readings/"
        return client

    @pytest.mark.parametrize(
        "body",
        [
            b"[" * 100_000,
            b'{"by":' * 100_000,
            b'{"by": ' + b"[" * 900 + b"]" * 900 + b"}",
            b'{"by": NaN}',
            b'{"by": "\\ud800"}',
            b'{"by": "\\u0000"}',
            b'{"number": 1' + b"0" * 5000 + b"}",
            "{}".encode("utf-16"),
            b"",
            b"null",
        ],
        ids=range(10),
    )
    def test_what_is_no_message_is_refused_in_words(self, desk, body):
        reply = desk.post(desk.address, body, content_type="application/json")
        assert reply.status_code == 422
        assert reply.json() == {"kind": "refused", "text": "submission: This field is required."}

    def test_a_form_sent_where_a_message_belongs_is_refused_in_words(self, desk):
        reply = desk.post(desk.address, {"by": "Ann"})
        assert (reply.status_code, reply.json()["kind"]) == (422, "refused")

    def test_a_sound_message_is_taken(self, desk):
        said = {"submission": str(uuid4()), "by": "Ann", "class_number": 1, "number": 101, "placing": "3124"}
        assert desk.post(desk.address, json.dumps(said), content_type="application/json").status_code == 200
        assert Reading.objects.filter(submission=said["submission"]).exists()


def test_json_is_read_as_it_is_meant():
    assert parsed('{"a": [1, "é\\ud83d\\ude00"]}') == {"a": [1, "é😀"]}
    assert parsed(b'{"a": {"b": [[1.5, null, true]]}}') == {"a": {"b": [[1.5, None, True]]}}
    assert parsed(r'["\\u0000"]') == [r"\u0000"]


@pytest.mark.parametrize("text", [r'["\u0000"]', r'["a\\\u0000"]', r'{"\u0000": 1}', r'["\ud800"]', "[[[[[[]]]]]]"])
def test_json_that_nothing_after_can_hold_is_refused(text):
    with pytest.raises(ValueError, match=r"."):
        parsed(text)


@pytest.mark.django_db
@pytest.mark.parametrize("step", ["zzz", "9223372036854775808", "class:", "class:²"])
def test_an_unknown_tie_step_is_refused_in_words(superintendent, step):
    contest = in_use()
    superintendent.raise_request_exception = False
    address = f"/contests/{contest.pk}/setup/ties/individual/"
    for order in {"shown": step, "add": "total"}, {"shown": "", "add": step}, {"shown": step, "wish": f"up {step}"}:
        reply = superintendent.post(address, {"submission": uuid4(), **order})
        assert reply.status_code in (409, 422)
        assert (
            "Nothing was saved" in reply.content.decode()
            or "nothing of yours was saved" in reply.content.decode()
            or "is not a tie step here" in reply.content.decode()
        )


class TestDrawings:
    @staticmethod
    def nested(deep):
        return b"<svg xmlns='http://www.w3.org/2000/svg'>" + b"<g>" * deep + b"</g>" * deep + b"</svg>"

    def test_one_that_is_nested_without_end_is_refused(self):
        for deep in DEEPEST, 50_000:
            with pytest.raises(NotAPicture, match="nested more than"):
                checked(self.nested(deep))

    @pytest.mark.parametrize("letters", ["big5", "foo", "utf-7"])
    def test_one_in_letters_that_nobody_reads_is_refused(self, letters):
        head = f"<?xml version='1.0' encoding='{letters}'?>".encode()
        with pytest.raises(NotAPicture, match="damaged"):
            checked(head + self.nested(1))
