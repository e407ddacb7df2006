"""A small contest, and a helper who sits down at one of its stacks."""

import pytest
from playwright.sync_api import expect

from contest.models import Duty
from tests.browser.desk.hands import now
from tests.factories import ClassFactory, a_contest, people


@pytest.fixture
def contest(transactional_db):
    """Two classes and one group of six, numbered from 101."""
    return a_contest(
        classes=(ClassFactory(official=None, cuts=None), ClassFactory(number=2, name="Yearlings")),
        contestants=people(6, group="A"),
        cards=(),
    )


@pytest.fixture
def make_page(make_page):
    """Makes pages on laptops that know how many digits of a card their reader types; None: not yet."""

    def make(who="superintendent", digits=3, **options):
        page = make_page(who=who, **options)
        if who and digits:
            name = f"tanbark-digits:{who[2].lower() if isinstance(who, tuple) else who}"
            page.add_init_script(f"localStorage.getItem('{name}') ?? localStorage.setItem('{name}', {digits})")
        return page

    return make


@pytest.fixture
def sit(make_page):
    """Sits a helper down at a stack."""

    def sit(contest, name="Ann", stack="1A", now_is="101", **options):
        page = make_page(who=(contest, Duty.TABULATOR, name), **options)
        page.goto(f"/contests/{contest.pk}/desk/")
        page.locator("#stack").fill(stack)
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text(now_is)
        return page

    return sit
