"""Results in a real browser: from the checklist over the release and a correction to what goes home."""

import http.server
import re
import threading
from functools import partial

import pytest
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Contest
from contest.records import save_record
from scoring.core.record import Card, ReasonsScore
from scoring.models import Release, TakeHomeLink
from scoring.results.links import make_links
from scoring.results.publishing import publish
from tests.browser.moments import still_loading
from tests.browser.soundness import assert_sound, assert_sound_at_every_width, assert_sound_in_every_way
from tests.browser.test_pages import LONG, console_errors
from tests.factories import ClassFactory, DivisionFactory, a_contest, people
from tests.scoring.results.cast import change_key, correct, read, ready, release

SIZES = [(360, 740), (1280, 720)]


@pytest.fixture
def contest(transactional_db):
    return ready()


@pytest.fixture
def demo(transactional_db):
    return save_record(read_book(DEMO_BOOK), by="test")


def superintendents(contest):
    team = contest.divisions.first().teams.first()
    start = f"/contests/{contest.pk}/"
    number = contest.contestants.first().number
    division = contest.divisions.first().code
    yield f"{start}standings/"
    yield f"{start}standings/?sort=number&down=1&find={number}"
    yield f"{start}standings/contestants/{number}/"
    yield f"{start}standings/{division}/teams/{team.pk}/"
    yield f"{start}results/"
    yield f"{start}results/links/"


def public(contest):
    yield f"/results/{contest.pk}/"
    yield f"/public/{contest.pk}/classes/{contest.classes.first().number}/"
    yield from (f"/home/{link.token}/" for link in TakeHomeLink.objects.all()[:1])
    yield from (f"/home/{link.token}/" for link in TakeHomeLink.objects.exclude(contestant=None)[:1])


def press(page, name):
    with page.expect_navigation():
        page.get_by_role("button", name=name).first.click()


def test_every_page_fits_and_is_accessible(make_page, demo):
    page, stranger = make_page(), make_page(who=None)
    errors = console_errors(page) + console_errors(stranger)
    stranger.goto(f"/results/{demo.pk}/")
    assert_sound_at_every_width(stranger, "before the release")
    for address in superintendents(demo):
        assert page.goto(address).status == 200
        assert_sound_at_every_width(page, address)
    release(demo)
    make_links(demo, "Sue")
    change_key(demo, number=demo.classes.first().number, official="4321", cuts=(5, 5, 4))
    for address in superintendents(demo):
        assert page.goto(address).status == 200
        assert_sound_in_every_way(page, address)
    for address in public(demo):
        assert stranger.goto(address).status == 200
        assert_sound_in_every_way(stranger, address)
    assert errors == []


def test_long_names_fit_too(make_page, transactional_db):
    contest = a_contest(
        divisions=(DivisionFactory(name=LONG),),
        classes=(ClassFactory(name=LONG, reasons=("SR",), cuts=(10, 12, 0)), ClassFactory(number=1234567, void=True)),
        contestants=people(9, first_name=LONG, last_name=LONG, team=LONG[:150]),
    )
    page = make_page()
    for address in superintendents(contest):
        page.goto(address)
        assert_sound_at_every_width(page, address)
    release(contest)
    make_links(contest, "Sue")
    change_key(contest, "4213", (5, 5, 4))
    for address in superintendents(contest):
        page.goto(address)
        assert_sound_at_every_width(page, address)
    correct(contest, LONG[:200])
    for address in (*superintendents(contest), *public(contest)):
        page.goto(address)
        for more in page.locator("details.moves:not([open]) > summary").all():
            more.click()
        assert_sound_at_every_width(page, address)


def test_from_the_checklist_to_the_release_and_an_announced_correction(make_page, contest):
    read(contest, 1, 101, "3142", "Zoe")
    page, crowd = make_page(), make_page(who=None)
    crowd.goto(f"/results/{contest.pk}/")
    expect(crowd.get_by_text("The results are not out yet.")).to_be_visible()
    page.goto(f"/contests/{contest.pk}/results/")
    press(page, "Go on to the release…")
    expect(page.get_by_role("alert")).to_contain_text("Mend every line that is left")
    expect(page.get_by_role("checkbox")).to_have_count(0)
    assert_sound(page, "what blocks")
    page.get_by_label("Not mended, because").fill("the card is torn")
    press(page, "Go on to the release…")
    expect(page.get_by_role("heading", name="What becomes public where")).to_be_visible()
    assert_sound(page, "before the release")
    assert not Release.objects.exists()
    press(page, "No ceremony: make everything public now")
    expect(page.get_by_role("status")).to_contain_text("The results are released.")

    crowd.evaluate("location.reload()")  # which does not mind that the page, as it waits, may just do so itself
    first = crowd.locator("table.individuals tbody tr").first
    expect(first).to_contain_text("101")
    change_key(contest)
    crowd.reload()
    expect(first).to_contain_text("101")

    page.reload()
    row = page.get_by_role("row", name=re.compile("^102 3")).first
    expect(row).to_contain_text("▲ up to 1")
    page.get_by_label("Why the results change").fill("the key of class 1 was mistyped")
    press(page, "Announce the correction")
    expect(page.get_by_role("status")).to_contain_text("The correction is announced.")
    expect(page.get_by_role("heading", name="Nothing has changed since")).to_be_visible()
    crowd.reload()
    expect(first).to_contain_text("102")
    said = crowd.get_by_text(re.compile(r"^Corrected, \d\d:\d\d, the key of class 1 was mistyped\.$"))
    expect(said).to_be_visible()


def test_from_a_total_to_the_pairs_lost_by_keyboard_alone(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/standings/")
    find = page.get_by_role("searchbox", name="Find")
    find.focus()
    page.keyboard.type("given102")
    expect(page.locator("table.individuals tbody tr:visible")).to_have_count(1)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("102")
    expect(page.get_by_text("3 over 1 was 1 over 3: −3")).to_be_visible()
    assert "given102" not in page.url
    page.get_by_role("link", name="Barley Hill").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Barley Hill")
    expect(page.get_by_role("columnheader", name=re.compile("^101"))).to_contain_text("● counts")


def test_lists_are_sorted_and_searched_without_a_script(make_page, contest):
    page = make_page(java_script_enabled=False)
    page.goto(f"/contests/{contest.pk}/standings/")
    page.get_by_role("link", name="No.", exact=True).click()
    numbers = page.locator("table.individuals tbody tr:visible .no")
    expect(numbers).to_have_text(["101", "102", "103", "104"])
    page.get_by_role("searchbox", name="Find").fill("103")
    page.get_by_role("button", name="Find").click()
    expect(numbers).to_have_text(["103"])


def test_what_is_searched_stays_in_the_address_unless_it_may_be_a_name(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/standings/")
    find, people = page.get_by_role("searchbox", name="Find"), page.locator("table.individuals tbody tr:visible")
    find.press_sequentially("102")
    expect(people).to_have_count(1)
    expect(page.locator("#found")).to_have_text("1 of 4 contestants, 1 of 2 teams")
    expect(page).to_have_url(re.compile(r"\?find=102$"))
    page.get_by_role("link", name="Placing").click()
    expect(page).to_have_url(re.compile(r"/SR/placing/\?find=102$"))
    expect(people).to_have_count(1)
    find.fill("")
    expect(people).to_have_count(4)
    expect(page.locator("#found")).to_have_text("4 contestants, 2 teams")
    expect(page).not_to_have_url(re.compile("find="))
    for name in ("given103", "somebody else"):
        find.fill(name)
        expect(people).to_have_count(1 if "103" in name else 0)
        expect(page).not_to_have_url(re.compile("find="))
    expect(page.get_by_text("No contestant fits.")).to_be_visible()


def test_a_list_is_narrowed_by_what_was_typed_before_the_script_came(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/standings/")
    find = page.get_by_role("searchbox", name="Find")
    with still_loading(page, "search.js"):
        find.press_sequentially("103")
        expect(find).to_have_value("103")
    expect(page.locator("table.individuals tbody tr:visible")).to_have_count(1)
    expect(page).to_have_url(re.compile(r"\?find=103$"))


def test_rows_that_are_not_found_are_gone_on_a_phone_too(make_page, contest):
    page = make_page(width=360, height=740)
    page.goto(f"/contests/{contest.pk}/standings/?find=otztal")
    expect(page.locator("table.individuals tbody tr:visible")).to_have_count(2)
    expect(page.locator("table.teams tbody tr:visible")).to_have_count(1)


def test_a_list_is_sorted_by_keyboard_and_says_how(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/standings/")
    page.get_by_role("link", name="Team", exact=True).first.focus()
    page.keyboard.press("Enter")
    head = page.get_by_role("columnheader", name="Team").first
    expect(head).to_have_attribute("aria-sort", "ascending")
    expect(page.get_by_role("table", name="Individuals, Senior, Overall, sorted by Team")).to_be_visible()
    page.wait_for_load_state()
    page.keyboard.press("Tab")  # on from the head of the individuals, not from the top of the page
    expect(page.get_by_role("link", name="Rank").first).to_be_focused()


def test_everybody_can_search_the_public_lists(make_page, contest):
    release(contest)
    page = make_page(who=None)
    page.goto(f"/results/{contest.pk}/")
    find = page.get_by_role("searchbox", name="Find")
    find.press_sequentially("104")
    expect(page.locator("table.individuals tbody tr:visible")).to_have_count(1)
    page.keyboard.press("Enter")
    expect(page.locator("table.individuals tbody tr:visible")).to_have_count(1)


def test_open_pages_hear_of_a_release_and_of_a_correction(make_page, contest):
    crowd, page = make_page(who=None), make_page()
    for one in (crowd, page):
        one.clock.install()
    crowd.goto(f"/results/{contest.pk}/")
    page.goto(f"/contests/{contest.pk}/standings/")
    release(contest)
    crowd.clock.fast_forward(11_000)
    expect(crowd.locator("table.individuals tbody tr").first).to_contain_text("101")
    change_key(contest)
    page.clock.fast_forward(11_000)
    page.get_by_text("The standings have changed.").get_by_role("link", name="Show it").click()
    expect(page.locator("table.individuals tbody tr").first).to_contain_text("102")
    expect(crowd.get_by_text("There is something newer.")).to_have_count(0)
    correct(contest, "the key of class 1")
    crowd.clock.fast_forward(11_000)
    crowd.get_by_text("There is something newer.").get_by_role("link", name="Show it").click()
    expect(crowd.locator("table.individuals tbody tr").first).to_contain_text("102")


def test_a_page_without_an_answer_says_since_when(make_page, contest):
    release(contest)
    page = make_page(who=None)
    page.clock.install()
    page.goto(f"/results/{contest.pk}/")
    page.route("**/results/**", lambda route: route.abort())
    for _ in range(3):
        with page.expect_event("requestfailed"):
            page.clock.fast_forward(11_000)
    expect(page.get_by_text(re.compile(r"^No answer since \d\d:\d\d:\d\d\. Still trying\.$"))).to_be_visible()
    page.unroute_all()
    page.clock.fast_forward(11_000)
    expect(page.get_by_text("No answer since")).to_be_hidden()


def test_a_key_waits_for_its_reasons_unless_somebody_says_why(make_page, transactional_db):
    contest = ready(reasons=())
    page, crowd = make_page(), make_page(who=None)
    page.goto(f"/contests/{contest.pk}/results/")
    page.get_by_text("not yet").first.click()
    press(page, "Show it all the same")
    expect(page.get_by_text("4 sets of reasons not heard yet: 101, 102, 103, 104. Say why")).to_be_visible()
    page.get_by_label("Why it is shown all the same").first.fill("the reasons are cancelled")
    press(page, "Show it all the same")
    expect(page.get_by_role("status")).to_contain_text("The key is shown in public.")
    crowd.goto(f"/results/{contest.pk}/")
    crowd.get_by_role("link", name="Aged geldings").click()
    expect(crowd.get_by_role("img", name="3, 1, 2, 4; top cut 3, middle cut 5, bottom cut 2")).to_be_visible()
    expect(crowd.get_by_text("101")).to_have_count(0)


def test_a_link_is_handed_out_and_withdrawn(make_page, contest):
    release(contest)
    page, family = make_page(), make_page(who=None)
    page.goto(f"/contests/{contest.pk}/results/links/")
    press(page, "Make the links")
    card = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name="Contestant 102"))
    address = card.get_by_role("link").get_attribute("href")
    expect(card.get_by_role("img")).to_be_visible()
    family.goto("/home/" + address.rpartition("/home/")[2])
    expect(family.get_by_role("heading", level=1)).to_contain_text("102")
    card.get_by_text("Change").click()
    with page.expect_navigation():
        card.get_by_role("button", name="Withdraw it").click()
    expect(card).to_have_count(0)
    assert family.reload().status == 404


def test_protests_are_taken_noted_and_decided(make_page, contest):
    release(contest)
    page = make_page()
    page.goto(f"/contests/{contest.pk}/results/")
    press(page, "Take protests until then")
    page.get_by_text("Note a protest").click()
    page.get_by_label("Whose protest").fill("Coach of Barley Hill")
    page.get_by_label("What it is about").fill("The card of 102 in class 1.")
    press(page, "Note it")
    press(page, "Close: the results are final")
    expect(page.get_by_role("alert")).to_contain_text("First decide the protest that is open.")
    page.get_by_label("What was decided").fill("The card says 1324.")
    press(page, "Decide it")
    press(page, "Close: the results are final")
    expect(page.get_by_role("status")).to_contain_text("the results are final")


def test_a_tie_is_decided_by_draw_and_two_contestants_stand_side_by_side(make_page, transactional_db):
    cards = tuple(Card(judged, number, "3124", "3124") for number in (101, 102, 103, 104) for judged in (1, 2))
    contest = ready(cards=cards, reasons=tuple(ReasonsScore(1, number, "A", 4000) for number in (101, 102, 103, 104)))
    page = make_page(width=360, height=740)
    errors = console_errors(page)
    page.goto(f"/contests/{contest.pk}/standings/side-by-side/?one=101&other=102")
    expect(page.get_by_role("row", name=re.compile("Class 1, Aged geldings"))).to_contain_text("3124")
    assert_sound(page, "side by side")
    page.goto(f"/contests/{contest.pk}/standings/SR/overall/")
    page.get_by_role("link", name="Decide shared places").click()
    expect(page.get_by_role("region", name="Place 1 is shared")).to_be_visible()
    assert_sound(page, "ties")
    tie = page.get_by_role("region", name="Place 1 is shared")
    for number, place in zip((101, 102, 103, 104), "2413", strict=True):
        tie.get_by_label(str(number), exact=True).fill(place)
    tie.get_by_label("by draw").check()
    tie.get_by_label("Why").fill("coin thrown before both coaches")
    tie.get_by_role("button", name="Decide it so").click()
    expect(page.get_by_text("by draw: coin thrown before both coaches")).to_be_visible()
    release(contest)
    crowd = make_page(who=None)
    crowd.goto(f"/results/{contest.pk}/")
    expect(crowd.get_by_role("row", name=re.compile("^1 103"))).to_contain_text(
        "ahead of 101 by draw: coin thrown before both coaches"
    )
    assert errors == []


@pytest.fixture
def served(demo, tmp_path):
    """A static copy of the demo's results, as a folder and behind a plain web server."""
    release(Contest.objects.get(pk=demo.pk))
    make_links(Contest.objects.get(pk=demo.pk), "Sue")
    folder = tmp_path / "site"
    publish(Contest.objects.get(pk=demo.pk), folder)

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *args):
            pass

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield folder, f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.mark.parametrize("way", ["file", "web"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_static_copy_works_from_a_folder_and_from_any_web_server(make_page, served, way, width, height):
    folder, address = served
    page = make_page(who=None, width=width, height=height)
    errors = console_errors(page)
    failed = []
    aborted = "net::ERR_ABORTED"  # by going on to the next page
    page.on("requestfailed", lambda request: request.failure != aborted and failed.append(request.url))
    page.goto(f"{folder.as_uri()}/index.html" if way == "file" else address)
    if way == "web":  # from a folder, the checker may not read the styles that it looks through
        assert_sound(page, "index")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    loaded = "document.fonts.ready.then(() => [...document.fonts].filter(face => face.status === 'loaded').length)"
    assert page.evaluate(loaded) >= 1
    page.get_by_role("link", name="Senior", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Senior, Overall")
    page.get_by_role("navigation", name="Keys").get_by_role("link").first.click()
    expect(page.get_by_role("heading", name="What each placing scores")).to_be_visible()
    if way == "web":
        assert_sound(page, "class")
    page.get_by_role("link", name="Marrowby Spring Sheep Judging Day").click()
    expect(page).to_have_title(re.compile("^Junior, Overall"))
    token = TakeHomeLink.objects.filter(team__isnull=False).first().token
    home = f"home/{token}/"
    page.goto(f"{folder.as_uri()}/{home}index.html" if way == "file" else address + home)
    expect(page.get_by_role("heading", level=1)).to_contain_text("Team")
    if way == "web":
        assert_sound(page, "home")
    page.get_by_role("link", name="Marrowby Spring Sheep Judging Day").click()
    expect(page).to_have_title(re.compile("^Junior, Overall"))
    assert (failed, errors) == ([], [])


def test_a_card_that_decides_is_read_once_more_without_showing_what_was_read(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/results/")
    expect(page.get_by_text("The chance that one changed a first place")).to_be_visible()
    page.get_by_role("link", name="Every award, what decides it").click()
    award = page.locator("li", has=page.get_by_text("Senior, Overall: 101, place 1")).first
    expect(award).to_contain_text("cards and scores decide it")
    award.get_by_text("To be read once more").click()
    assert_sound(page, "the cards that decide")
    award.get_by_role("link", name=re.compile("Read them.*Class 1, cards")).click()
    expect(page.locator("[data-part=now]")).to_have_text("101")
    assert "3124" not in page.locator("main").inner_text()
    page.keyboard.press("Enter")  # all four digits
    page.keyboard.type("3124")
    expect(page.locator("#last")).to_contain_text("101")
    expect(page.locator("[data-part=now]")).not_to_have_text("101")
