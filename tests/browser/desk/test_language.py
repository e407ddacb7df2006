"""The page of a stack in a made-up language: whatever its scripts say is marked."""

import re

import pytest
from playwright.sync_api import expect

from contest.models import Duty
from reasons.scores.officials import add_official
from tests.reasons.cast import contest_with_reasons
from tests.texts import pseudo

MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
KEYS = {"Enter", "Backspace", "Delete", "Tab", "Esc"}


@pytest.fixture
def spoken(made_up_texts):
    with pseudo.spoken(made_up_texts):
        yield


def unmarked(page, *names):
    """The words on the desk that are neither marked nor names."""
    texts = page.locator("#desk").evaluate(
        """(desk) => {
          const shown = desk.cloneNode(true);
          for (const hidden of shown.querySelectorAll("script, noscript, template")) hidden.remove();
          const labels = [...shown.querySelectorAll("[aria-label]")].map((element) => element.ariaLabel);
          return [shown.textContent, ...labels];
        }"""
    )
    found = set()
    for text in texts:
        while MARKED.search(text):
            text = MARKED.sub(" ", text)
        for name in names:
            text = text.replace(name, " ")
        found |= set(re.findall(r"[^\W\d_]{2,}", text))
    return found - KEYS


def press_all(page, *rounds):
    """Presses keys, and gives each round of them once it was pressed."""
    for keys in rounds:
        for key in keys:
            page.keyboard.press(key)
        yield keys


def test_what_is_said_of_cards_is_marked(make_page, contest, spoken):
    page = make_page(who=(contest, Duty.TABULATOR, "Ann"), digits=None)
    page.set_extra_http_headers({"Accept-Language": pseudo.LEFT_TO_RIGHT})
    page.goto(f"/contests/{contest.pk}/desk/")
    page.locator("#stack").fill("1A")
    page.keyboard.press("Enter")
    expect(page.locator("[data-part=now]")).to_have_text("101")
    rounds = (
        ["9"],
        ["+"],
        ["9"],
        ["Enter"],
        ["1", "2", "3"],
        ["/"],
        [*"999", "Enter"],
        ["-"],
        [*"/101", "Enter"],
        ["*"],
    )
    ends = (["+"], ["z"], ["Backspace"], [" "], ["1", "1"], ["Enter", "/", "0"], ["Escape", "?"])
    for keys in press_all(page, *rounds, *ends):
        assert unmarked(page, "Aged geldings") == set(), keys
    expect(page.locator("#sign")).to_have_attribute("data-state", "saved")
    assert unmarked(page, "Aged geldings") == set()


def test_what_is_said_of_scores_is_marked(make_page, transactional_db, spoken):
    contest = contest_with_reasons()
    official = add_official(contest, "Mr. Brook", "test")
    names = ("Yearling ewes", "Mr. Brook", "Questions", "Team activity", "Barley Hill", "Copper Run", "Little Elms")
    for name, address in (("Ann", f"reasons/3/{official.pk}/"), ("Ben", "marks/TEAM/")):
        page = make_page(who=(contest, Duty.REASONS, name))
        page.set_extra_http_headers({"Accept-Language": pseudo.LEFT_TO_RIGHT})
        page.goto(f"/contests/{contest.pk}/scores/{address}")
        expect(page.locator("[data-part=now]")).not_to_have_text("")
        rounds = (
            [*"999"],
            ["Backspace"] * 4,
            [*"43", ".", "5", "Enter"],
            ["-"],
            [*"/201", "Enter"],
            ["Escape", "+"],
            ["z"],
        )
        for keys in press_all(page, *rounds, [*"/7", "Enter"], ["Escape", "Escape", "?"]):
            assert unmarked(page, *names, "Senior", "Junior") == set(), (address, keys)
