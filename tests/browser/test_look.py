"""One look: every part on one page in every light, and as much of a page of work as can be on the first screen."""

import pytest
from playwright.sync_api import expect

from tests.bench.full_contest import make_full_contest
from tests.browser.test_pages import violations

WAYS = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "print": {"color_scheme": "light"},
    "phone": {"width": 360, "height": 740},
}


@pytest.mark.parametrize("way", WAYS)
def test_all_that_pages_are_made_of_can_be_read_in_every_way(make_page, way):
    page = make_page(**WAYS[way])
    page.goto("/look/")
    if way == "print":
        page.emulate_media(media="print")
    expect(page.get_by_role("heading", name="Look", exact=True)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    assert violations(page) == []


IN_VIEW = """
  selector => [...document.querySelectorAll(selector)].filter((row) => {
    const box = row.getBoundingClientRect();
    return box.height && box.top >= 0 && box.bottom <= innerHeight && box.left >= 0 && box.right <= innerWidth;
  }).length
"""


BROKEN_WORDS = """
  names => names.flatMap((name) => [...name.firstChild.data.matchAll(/\\S+/g)].filter((word) => {
    const range = document.createRange();
    range.setStart(name.firstChild, word.index);
    range.setEnd(name.firstChild, word.index + word[0].length);
    return range.getClientRects().length > 1;
  }).map((word) => word[0]))
"""


def test_a_page_of_work_shows_many_rows_without_scrolling(make_page, transactional_db):
    contest = make_full_contest(
        150, 40, absent=0, unread=2
    )  # a card of somebody absent has three ways on, and is higher
    page = make_page()
    for place, rows, least in (
        ("standings/", ".individuals tbody tr", 12),
        ("entries/", "#people tbody tr", 12),
        ("watch/doubts/", ".doubts > li, .mixup", 3),
        ("watch/keys/", ".keylist > li", 8),
        ("watch/progress/", ".cells tbody tr", 8),
    ):
        page.goto(f"/contests/{contest.pk}/{place}")
        assert page.evaluate(IN_VIEW, rows) >= least, place
        assert page.evaluate("scrollY") == 0
    for place in (f"/contests/{contest.pk}/standings/", f"/results/{contest.pk}/"):
        page.goto(place)
        assert page.locator(".individuals tbody .name bdi").evaluate_all(BROKEN_WORDS) == []
