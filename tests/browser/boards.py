"""Boards in real browsers: brought through all they may show, turned through their pages, and looked at closely."""

from dataclasses import replace

from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Contest
from contest.records import save_record
from scoring.board.queue import queue_lists
from scoring.models import KeyRelease
from tests.scoring.board.cast import OVERALL, TEAMS, go
from tests.scoring.results.cast import release

PHONE = (360, 740)


def demo_with_names():
    record = read_book(DEMO_BOOK)
    return save_record(replace(record, rules=replace(record.rules, show_people_as="name")), by="test")


def board_of(contest):
    return f"/board/{contest.pk}/"


LEGIBLE = 42  # pixels at 1280x720: what can be read from 15 m in a bright hall
SMALL_TYPE = """(least) => {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const around = node.parentElement;
    if (!node.textContent.trim() || around.closest("script, noscript, .hidden, .skip")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    if (!range.getClientRects().length || !around.checkVisibility({ visibilityProperty: true })) continue;
    const drawn = around.ownerSVGElement ? around.getScreenCTM().a : 1;
    const size = drawn * parseFloat(getComputedStyle(around).fontSize);
    if (size < least) found.push([size, node.textContent.trim()]);
  }
  return found;
}"""


def assert_whole(page, where, named_in_full=True):
    """Nothing scrolls, every row that is shown is shown whole, and who is on stage is named in full."""
    page.evaluate("document.fonts.ready")
    expect(page.locator("html.paged")).to_be_attached()
    found = page.evaluate(
        """() => {
          const root = document.documentElement;
          const foot = document.querySelector(".foot").offsetHeight
            ? document.querySelector(".foot").getBoundingClientRect().top
            : window.innerHeight;
          const rows = [...document.querySelectorAll("[data-rows] > tr")].filter((row) => row.offsetHeight);
          const boxes = rows.map((row) => [row, row.closest("[data-box]").getBoundingClientRect().bottom]);
          return {
            down: root.scrollHeight - window.innerHeight,
            across: root.scrollWidth - window.innerWidth,
            cut: boxes.filter(([row, end]) => row.getBoundingClientRect().bottom > Math.min(end, foot) + 1).length,
            spilt: [...document.querySelectorAll("[data-box] > table")].filter(
              (table) => table.offsetWidth > table.parentElement.clientWidth
            ).length,
            names: [...document.querySelectorAll(".theatre, .theatre [data-fit]")].filter(
              (part) => part.scrollHeight > 1.15 * part.clientHeight
            ).length,
            rows: rows.length,
          };
        }"""
    )
    rows, names = found.pop("rows"), found.pop("names")
    assert not names or not named_in_full, where
    assert not any(found.values()), (where, found)
    return rows


def every_state(contest):
    """Brings a contest through all that its board may show, and names each."""
    yield "judging"
    for judged in contest.classes.filter(keys__isnull=False).distinct()[:3]:
        KeyRelease.objects.create(judging_class=judged, by="Sue")
    yield "with keys"
    release(contest)
    contest = Contest.objects.get(pk=contest.pk)
    yield "standings"
    queue_lists(contest, [OVERALL, TEAMS], 10, "Sue")
    yield "awaited"
    go(contest, "begin")
    yield "begun"
    go(contest, "next", "next", "next")
    yield "some revealed"
    go(contest, "show")
    yield "all revealed"


SCENES = {
    "with keys": "judging",
    "begun": "ceremony",
    "some revealed": "ceremony",
    "all revealed": "ceremony",
    "one key": "one-key",
    "one list": "standings",
}
"""What the board is in a state that is not called as its scene is."""


def open_board(page, contest, state):
    """A board in this state: what is served may be half a second old, and is another one at its next question."""
    page.goto(board_of(contest))
    expect(page.locator(f"#board.{SCENES.get(state, state)}")).to_be_visible()


def all_pages(page):
    """Turns the board through every page it has, once, and yields where it is."""
    page.evaluate("document.fonts.ready")  # by which the rows are dealt to pages anew
    expect(page.locator("html.paged")).to_be_attached()
    seen = set()
    while True:
        where = page.evaluate(
            """() => {
              const sheet = [...document.querySelectorAll("[data-sheet]")].find((sheet) => !sheet.hidden);
              return sheet.id + " " + sheet.querySelector("[data-page-of]").textContent;
            }"""
        )
        if where in seen:
            return
        seen.add(where)
        yield where
        page.keyboard.press("ArrowRight")
