"""What every reply carries, and which names the laptop answers to."""

import pytest
from django.test import Client

from contest.web.middleware import is_known_host


@pytest.mark.parametrize(
    "host",
    [
        "localhost:8000",
        "laptop",
        "judges.lan",
        "laptop.local.",
        "192.168.1.7:8000",
        "10.0.0.2",
        "[fe80::1]:8000",
        "tanbark.local:8000",
        "Laptop.Local",
    ],
)
def test_it_answers_to_addresses_and_local_names(host):
    assert is_known_host(host)


@pytest.mark.parametrize("host", ["evil.example", "192.168.1.7.evil.example", "", "a/b", "evil.example:8000"])
def test_it_does_not_answer_to_public_names(host):
    assert not is_known_host(host)


def test_a_listed_name_is_answered_to(settings):
    assert not is_known_host("judging.example.org")
    settings.EXTRA_HOSTS = ["judging.example.org"]
    assert is_known_host("judging.example.org:8000")


@pytest.mark.django_db
def test_what_is_larger_than_any_form_is_refused_before_it_is_read_whoever_sends_it(client):
    class Unread:
        def read(self, *args):
            raise AssertionError("it was read")

        readline = read

    length = 17 * 1024 * 1024 + 1
    reply = client.generic("POST", "/contests/new/", content_type="multipart/form-data; boundary=x")
    assert reply.status_code == 302  # a stranger is led to the join page
    reply = client.post("/contests/new/", CONTENT_LENGTH=str(length), **{"wsgi.input": Unread()})
    assert reply.status_code == 413
    assert "A file may have 16 MB" in reply.content.decode()


def test_a_public_name_gets_no_page():
    reply = Client(headers={"host": "evil.example"}).get("/healthz")
    assert reply.status_code == 400
    assert b"TANBARK_HOSTS" in reply.content


def test_every_reply_forbids_inline_script_and_framing():
    headers = Client().get("/healthz").headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
