import re

from playwright.sync_api import expect


def test_a_stranger_types_the_code_and_comes_in(make_page, join_code):
    page = make_page(joined=False)
    page.goto("/join/")
    page.get_by_label("Join code").fill(join_code.lower().replace("-", ""))
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/$"))
    expect(page).not_to_have_url(re.compile("join"))


def test_a_wrong_code_keeps_what_was_typed_and_says_so(make_page, join_code):
    page = make_page(joined=False)
    page.goto("/join/")
    page.get_by_label("Join code").fill("AAAA-AAAA")
    page.keyboard.press("Enter")
    expect(page.get_by_text("That is not the join code.")).to_be_visible()
    expect(page.get_by_label("Join code")).to_have_value("AAAA-AAAA")
