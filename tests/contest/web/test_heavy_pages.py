"""Which pages take long shows by itself. That they wait for each other is the server's: see serving/test_turns.py."""

from types import SimpleNamespace

import pytest
from django.urls import resolve

from contest.web import heavy_pages
from contest.web.heavy_pages import HeavyPages, is_heavy

PAGE, OTHER = "/contests/7/", "/sign-in/"


@pytest.fixture(autouse=True)
def work(monkeypatch):
    """What a request takes, in seconds of the processor."""
    heavy_pages.forget_all()
    clock = [0.0]
    monkeypatch.setattr(heavy_pages.time, "thread_time", lambda: clock[0])

    def takes(seconds, path=PAGE, method="GET", fails=False):
        def answer(request):
            clock[0] += seconds
            if fails:
                raise ValueError("as a view may")

        HeavyPages(answer)(SimpleNamespace(method=method, resolver_match=resolve(path)))

    yield takes
    heavy_pages.forget_all()


def test_a_page_that_took_long_is_heavy_whatever_it_shows_and_no_other_is(work):
    assert not is_heavy("GET", PAGE)
    work(0.1)
    assert is_heavy("GET", PAGE) and is_heavy("GET", "/contests/8/")
    assert not is_heavy("GET", OTHER)
    assert not is_heavy("POST", PAGE)
    assert not is_heavy("GET", "/no/such/page")


def test_what_is_made_quickly_or_changes_something_is_never_heavy(work):
    work(0.001)
    work(0.1, method="POST")
    assert not is_heavy("GET", PAGE)


def test_a_page_that_fails_after_long_is_heavy_too(work):
    with pytest.raises(ValueError, match="as a view may"):
        work(0.1, fails=True)
    assert is_heavy("GET", PAGE)


def test_a_page_that_is_made_quickly_for_long_enough_is_no_heavy_one_any_more(work):
    work(0.1)
    work(0.001)
    assert is_heavy("GET", PAGE)
    for _ in range(30):
        work(0.001)
    assert not is_heavy("GET", PAGE)
