"""Real pages in the system's own Chromium."""

import time

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from django.test.testcases import LiveServerThread
from playwright.sync_api import expect, sync_playwright

from contest.bootstrap.needs import chromium
from tests.accounts import an_account
from tests.browser import walks

# Root and containers have no sandbox; the rest keeps it from calling its maker.
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_terminal_summary(terminalreporter):
    if walks.COUNTED:
        terminalreporter.section("what people have to do")
        for counted in walks.COUNTED:
            terminalreporter.line(counted)


expect.set_options(timeout=30_000)  # however slow a page is: what is there is not waited for

SIZES = {"phone": (360, 740), "projector": (1280, 720)}


@pytest.fixture(params=SIZES)
def size(request):
    width, height = SIZES[request.param]
    return {"width": width, "height": height}


@pytest.fixture(scope="session", autouse=True)
def late_answers(pytestconfig):
    """With `--late-answers` whatever a browser asks for waits before the server looks at it, so that a test that looks
    at once after a click finds what was there before it."""
    seconds = pytestconfig.option.late_answers

    class LateServer(LiveServerThread.server_class):
        def set_app(self, application):
            def late(environ, start_response):
                time.sleep(seconds)
                return application(environ, start_response)

            super().set_app(late)

    with pytest.MonkeyPatch.context() as patch:
        if seconds:
            patch.setattr(LiveServerThread, "server_class", LateServer)
        yield seconds or 0


@pytest.fixture
def slowed(pytestconfig):
    """Lets a page compute as many times slower as `--slow-browser` says, so that whoever types is quicker than its
    scripts."""
    times = pytestconfig.option.slow_browser

    def slow(page):
        if times:
            page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": times})

    return slow


@pytest.fixture(scope="session")
def browser(late_answers):
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        # Playwright's loop runs in this thread, and Django would take the tests' own queries for asynchronous ones.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield browser
        browser.close()


def in_force(page):
    """Let `page.route` come back only once the page's requests are caught: the browser says so before it is true."""
    route = page.route

    def route_in_force(url, handler, **options):
        route(url, handler, **options)
        if page.url.startswith("http"):
            route("**/is-it-caught", lambda caught: caught.fulfill(status=204))
            page.wait_for_function("() => fetch('/is-it-caught').then((answer) => answer.status === 204, () => false)")
            page.unroute("**/is-it-caught")

    page.route = route_in_force


@pytest.fixture
def make_page(browser, live_server, transactional_db, as_helper, slowed, late_answers):
    """Makes pages, each like a device of its own.

    `who` is "superintendent", a helper as (contest, duty, name), or None for a stranger.

    A script that fails, or anything the content policy blocks, fails the test.
    """
    contexts, troubles = [], []

    def heard(message):
        if message.type == "error" and "Content Security Policy" in message.text:
            troubles.append(message.text)

    def signed_in(who):
        if who != "superintendent":
            return as_helper(*who)
        client = Client()
        client.force_login(User.objects.filter(username="superintendent").first() or an_account())
        return client

    def make(who="superintendent", width=1280, height=720, **options):
        context = browser.new_context(base_url=live_server.url, viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        if who:
            client = signed_in(who)
            name = settings.SESSION_COOKIE_NAME
            context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": live_server.url}])
        page = context.new_page()
        slowed(page)
        in_force(page)
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on("console", heard)
        return page

    yield make
    for context in contexts:
        context.close()
    time.sleep(late_answers)  # what was asked for last is answered before the database is emptied
    assert not troubles, "\n".join(troubles)


@pytest.fixture
def page(make_page):
    return make_page()
