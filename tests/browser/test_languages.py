"""The pages in languages made up for tests: words 1.4 times as long, and lines that begin at the right."""

import pytest

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.records import save_record
from tests.browser.conftest import SIZES
from tests.texts import pseudo

PAGES = (
    *("", "setup/", "setup/rules/", "entries/", "entries/groups/", "helpers/", "entries/check-in/", "desk/"),
    *("reasons/", "reasons/rooms/", "reasons/fairness/", "scores/", "watch/progress/", "watch/doubts/", "watch/keys/"),
    *("standings/", "results/", "announcer/", "prints/", "trail/"),
)


@pytest.fixture
def demo(transactional_db, made_up_texts):
    with pseudo.spoken(made_up_texts):
        yield save_record(read_book(DEMO_BOOK), by="test")


@pytest.mark.parametrize("language", [pseudo.LEFT_TO_RIGHT, pseudo.RIGHT_TO_LEFT])
def test_no_page_is_wider_than_the_screen(make_page, demo, language):
    page = make_page()
    page.set_extra_http_headers({"Accept-Language": language})
    wide = {}
    for part in PAGES:
        answer = page.goto(f"/contests/{demo.pk}/{part}")
        assert answer.ok, part
        assert page.locator("html").get_attribute("lang") == language
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            if over > 0:
                wide[part, width] = over
    assert wide == {}


def test_a_page_is_mirrored_and_a_placing_is_not(make_page, demo):
    page = make_page()
    places = {}
    for language in (pseudo.LEFT_TO_RIGHT, pseudo.RIGHT_TO_LEFT):
        page.set_extra_http_headers({"Accept-Language": language})
        page.goto(f"/contests/{demo.pk}/")
        head, key = page.locator("h1").bounding_box(), page.locator(".key").first
        places[language] = head["x"] < 1280 / 2 - head["width"] / 2
        animals = key.evaluate("(key) => getComputedStyle(key).direction")
        assert animals == "ltr"
    assert places == {pseudo.LEFT_TO_RIGHT: True, pseudo.RIGHT_TO_LEFT: False}
