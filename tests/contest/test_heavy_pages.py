"""Heavy pages are made one at a time, and nothing else waits for them."""

import threading
from types import SimpleNamespace

import pytest

from contest import heavy_pages
from contest.heavy_pages import HeavyPages

SOON = 10  # seconds that none of these tests takes unless something is stuck


@pytest.fixture(autouse=True)
def nothing_known():
    heavy_pages.forget_all()
    yield
    heavy_pages.forget_all()


def ask(name, work, method="GET"):
    """A request as the middleware sees it, answered by `work`."""
    request = SimpleNamespace(method=method, resolver_match=SimpleNamespace(view_name=name))

    def answer(request):
        middleware.process_view(request, None, (), {})
        return work()

    middleware = HeavyPages(answer)
    return middleware(request)


def heavy(name):
    heavy_pages._note(name, 1.0)


def beside(name, then, method="GET"):
    """What another request comes to while a heavy page is being made: "passed" or "waited", and the thread."""
    passed = threading.Event()
    other = threading.Thread(target=ask, args=[name, passed.set, method])
    other.start()
    then.append(other)
    return "passed" if passed.wait(SOON if name != "doubts" or method == "POST" else 0.3) else "waited"


@pytest.mark.parametrize(
    ("name", "method", "what"),
    [("doubts", "GET", "waited"), ("news", "GET", "passed"), ("doubts", "POST", "passed")],
)
def test_a_heavy_page_waits_for_another_and_everything_else_passes_by(name, method, what):
    heavy("results")
    heavy("doubts")
    others = []
    assert ask("results", lambda: beside(name, others, method)) == what
    others[0].join(SOON)
    assert not others[0].is_alive()


def test_a_page_that_fails_lets_the_next_one_in():
    heavy("results")

    def fail():
        raise ValueError("as a view may")

    with pytest.raises(ValueError, match="as a view may"):
        ask("results", fail)
    assert ask("results", lambda: "made") == "made"


def test_a_page_that_is_made_quickly_for_long_enough_is_no_heavy_one_any_more():
    heavy("results")
    for _ in range(30):
        ask("results", lambda: None)
    others = []
    assert ask("results", lambda: beside("results", others)) == "passed"
    others[0].join(SOON)
