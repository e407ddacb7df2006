"""What the tests of the desk do and look at with a page."""

import re

from playwright.sync_api import expect

from contest.models import Reading

PLACINGS = ["3124", "1243", "2314", "2134", "1432", "3412"]  # none begins with the digit that the one before ends with
NUMBERS = range(101, 107)
SIZES = {"phone": {"width": 360, "height": 740}, "projector": {"width": 1280, "height": 720}}


def now(page):
    return page.locator("[data-part=now]")


def message(page):
    return page.locator("[data-part=message]")


def progress(page):
    return page.locator("[data-part=read]")


def desk(page):
    return page.locator("#desk")


def row(page, number):
    return page.locator("#last li").filter(has=page.locator(".no", has_text=re.compile(f"^{number}$")))


def kind(page, number, what):
    expect(row(page, number).first).to_have_attribute("data-kind", what)


def keys(page, text):
    for key in text:
        page.keyboard.press(key)


def sign(page):
    return page.locator("#sign")


def all_sent(page):
    expect(sign(page)).to_have_attribute("data-waiting", "0")
    expect(sign(page)).to_have_attribute("data-state", "saved")


def readings(**which):
    return list(Reading.objects.filter(withdrawn_at=None, **which).order_by("pk").values_list("number", "placing"))


def cut(page):
    page.context.set_offline(True)


def restore(page):
    page.context.set_offline(False)
