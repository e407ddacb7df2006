"""The desk in real browsers: a stack read with the keyboard alone, cut networks, shared stacks, shown out and back."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from contest.models import Card, Duty, Reading
from tests.factories import ClassFactory, a_contest, people

pytestmark = pytest.mark.django_db(transaction=True)

PLACINGS = ["3124", "1243", "4321", "2134", "1432", "3412"]
SIZES = {"phone": (360, 740), "projector": (1280, 720)}


def a_stack(count=6, **parts):
    """A contest with one class and one stack of unread cards, group A, numbered from 101."""
    return a_contest(
        classes=(ClassFactory(official=None, cuts=None), ClassFactory(number=2, name="Yearlings")),
        contestants=people(count, group="A"),
        cards=(),
        **parts,
    )


@pytest.fixture
def contest(transactional_db):
    return a_stack()


@pytest.fixture
def sit(make_page):
    """Sits a helper down at the first stack; everything after that is typed."""

    def sit(contest, name="Ann", **options):
        page = make_page(who=(contest, Duty.TABULATOR, name), **options)
        page.goto(f"/contests/{contest.pk}/desk/")
        page.locator("#stack").fill("1A")
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text("101")
        return page

    return sit


def now(page):
    return page.locator("[data-part=now]")


def message(page):
    return page.locator("[data-part=message]")


def row(page, place=0):
    return page.locator("#last li").nth(place)


def readings(**which):
    return list(Reading.objects.filter(withdrawn_at=None, **which).order_by("pk").values_list("number", "placing"))


def all_sent(page):
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")
    expect(page.locator("#sign")).to_have_attribute("data-state", "saved")


def test_a_stack_costs_exactly_three_keys_a_card(sit, contest):
    page = sit(contest)
    for placing in PLACINGS:
        for key in placing[:3]:
            page.keyboard.press(key)
    all_sent(page)
    assert readings() == list(zip(range(101, 107), PLACINGS, strict=True))
    page.screenshot(path="/tmp/shots/desk-end.png")
