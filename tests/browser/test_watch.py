"""Progress, doubts and keys in a real browser: live without a reload, by keyboard alone, and sound at every size."""

import re

import pytest
from playwright.sync_api import expect

from contest.keys import enter_key
from contest.models import Card, Duty, Key, Reading
from reasons.scores.officials import add_official
from tests.browser.moments import still_loading, stopped
from tests.browser.soundness import assert_sound, assert_sound_at_every_width, assert_sound_in_every_way
from tests.browser.test_pages import console_errors
from tests.browser.walks import walk
from tests.contest.watch.cast import differing, read, small_contest, the_class, the_contestant
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory
from tests.slips import read_mark, read_reasons


@pytest.fixture
def contest(transactional_db):
    return small_contest()


@pytest.fixture
def start(contest):
    return f"/contests/{contest.pk}/watch/"


def every_kind_of_doubt(contest):
    differing(contest)
    read(contest, 1, 102, "3124", "Ann")
    read(contest, 1, 102, "3142", "Ann")
    read(contest, 1, 999, "3124")
    read(contest, 1, 201, "unreadable")
    read(contest, 2, 104, "3124")
    part, contestant = contest.parts.get(), the_contestant(contest, 101)
    official = add_official(contest, "A", "Sue")
    for by, points in (("Ann", 4000), ("Ben", 4150)):
        read_mark(part, contestant, points, by)
        read_reasons(the_class(contest, 2), official, contestant, points, by)


def every_state_of_a_key(contest):
    enter_key(the_class(contest, 1), "3142", (3, 9, 5), "Ann", "the official corrected it")
    enter_key(the_class(contest, 2), "3124", (3, 5, 2), "Ann")
    enter_key(the_class(contest, 2), "3142", (3, 5, 2), "Ben")


def test_every_page_fits_and_is_accessible(make_page, contest, start):
    every_kind_of_doubt(contest)
    every_state_of_a_key(contest)
    page = make_page()
    errors = console_errors(page)
    addresses = ["progress/", "progress/1/", "progress/1/?group=A", "doubts/", "cards/1/101/", "cards/1/999/"]
    for address in [*addresses, "keys/", "keys/1/", "keys/2/"]:
        assert page.goto(start + address).status == 200
        assert_sound_in_every_way(page, address)
    assert errors == []


def test_many_groups_and_long_names_fit_too(make_page, transactional_db):
    long = "Grünwälder-Šťastná " + "Unbreakable" * 12
    groups = [*"ABCDEFGHIJK", long]
    contest = small_contest(
        divisions=(DivisionFactory(), DivisionFactory(code="JR", name=long)),
        classes=(ClassFactory(name=long), ClassFactory(number=1234567, void=True, divisions=("SR", "JR"))),
        parts=(),
        contestants=tuple(ContestantFactory(number=number, group=group) for number, group in enumerate(groups, 1)),
    )
    differing(contest, number=3)
    page = make_page()
    for address in ("progress/", "progress/1/", "doubts/", "keys/", "keys/1/"):
        page.goto(f"/contests/{contest.pk}/watch/{address}")
        assert_sound_at_every_width(page, address)


def test_a_reading_is_seen_on_the_page_of_progress_without_a_reload(make_page, contest, start):
    page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
    page.goto(f"{start}progress/")
    page.evaluate("window.sameVisit = true")
    cell = page.get_by_role("row", name=re.compile("Aged geldings")).get_by_role("cell").first
    expect(cell).to_contain_text("2 missing")
    read(contest, 1, 101, "3124")
    expect(cell).to_contain_text("1 once")
    expect(cell).to_contain_text("1 missing")
    assert page.evaluate("window.sameVisit")


def test_what_has_the_focus_keeps_it_and_the_page_does_not_jump(make_page, contest, start):
    page = make_page(width=360, height=400)
    page.goto(f"{start}progress/")
    link = page.get_by_role("link", name=re.compile("Yearling ewes"))
    link.focus()
    where = page.evaluate("window.scrollY")
    assert where > 0
    read(contest, 1, 101, "3124")
    expect(page.locator(".count .once").first).to_be_visible()
    expect(link).to_be_focused()
    assert page.evaluate("window.scrollY") == where


def test_a_lost_network_is_said_plainly_and_what_happened_meanwhile_is_caught_up(make_page, contest, start):
    page = make_page()
    page.goto(f"{start}progress/")
    status = page.locator("[data-poll-status]")
    expect(status).to_have_text(re.compile(r"^updated \d\d:\d\d:\d\d$"))
    page.context.set_offline(True)
    expect(status).to_have_text(re.compile("Not updated since"))
    expect(status).to_have_attribute("aria-live", "assertive")
    assert_sound(page, "offline")
    read(contest, 1, 101, "3124")
    page.context.set_offline(False)
    expect(status).to_have_text(re.compile("^updated"))
    expect(page.locator(".count .once").first).to_be_visible()


def test_a_page_that_nobody_sees_asks_seldom_and_catches_up_when_it_comes_to_light(make_page, contest, start):
    page = stopped(make_page())
    page.goto(f"{start}progress/")
    polls = []
    page.on("request", lambda request: polls.append(request.url) if "progress/?v=" in request.url else None)
    page.evaluate("Object.defineProperty(document, 'hidden', {value: true, configurable: true})")
    page.clock.run_for(20_000)
    assert len(polls) == 0
    page.evaluate("Object.defineProperty(document, 'hidden', {value: false, configurable: true})")
    with page.expect_response(re.compile(r"progress/\?v=")):
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert len(polls) == 1


def test_a_helper_who_is_shown_out_leaves_the_page(make_page, contest, start):
    from contest.helpers.joining import show_out
    from contest.models import Helper

    page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
    page.goto(f"{start}progress/")
    show_out(Helper.objects.get(), "Sue")
    page.wait_for_url(re.compile("/join/"))


def test_the_keyboard_alone_opens_the_missing_numbers_of_a_cell(make_page, contest, start):
    page = make_page()
    page.goto(f"{start}progress/")
    page.get_by_role("link", name=re.compile("Aged geldings")).focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Class 1, group A")
    expect(page.locator(".numbers .missing")).to_contain_text("101")


def test_doubts_are_decided_one_after_the_other_by_keyboard_alone(make_page, contest, start):
    differing(contest, number=101)
    differing(contest, number=102)
    differing(contest, number=103)
    page = make_page()
    page.goto(f"{start}doubts/")
    focused = page.locator(":focus")
    with walk("decide three cards whose readings differ", actions=6) as person:
        expect(focused).to_have_attribute("id", "card-1-101-counts")
        person.type(page, "b")
        expect(page.locator("#card-1-101 [data-meaning]")).to_have_text("counts as 3142")
        person.press(page, "Enter")
        expect(focused).to_have_attribute("id", "card-1-102-counts")
        person.type(page, "43_1")
        expect(page.locator("#card-1-102 [data-meaning]")).to_have_text("counts as 4321")
        person.press(page, "Enter")
        expect(focused).to_have_attribute("id", "card-1-103-counts")
        person.type(page, "u")
        person.press(page, "Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("No doubts")
    expect(page.get_by_text("Nothing waits for you.")).to_be_visible()
    assert_sound(page, "no doubts")
    assert list(Card.objects.values_list("placing", flat=True)) == ["3142", "4321", "unreadable"]
    assert Reading.objects.get(number=102, decides=True).on_card == "43_1"


def test_enter_brings_nobody_back_who_was_scratched_and_a_misread_number_comes_first(make_page, contest, start):
    read(contest, 1, 104, "3124", "Ann")
    read(contest, 1, 104, "3124", "Ben")
    page = make_page()
    page.goto(f"{start}doubts/")
    expect(page.get_by_role("button", name="104 is here")).to_be_visible()
    assert_sound(page, "a card of somebody absent")
    page.keyboard.press("Enter")
    expect(page.get_by_text("say whose card it is")).to_be_visible()
    assert not the_contestant(contest, 104).present
    expect(page.get_by_label("Belongs to contestant")).to_be_focused()
    with walk("say whose card a scratched contestant's card is", actions=2) as person:
        person.type(page, "103")
        person.press(page, "Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("No doubts")
    assert not the_contestant(contest, 104).present
    card = Card.objects.get()
    assert (card.contestant.number, card.placing, card.state) == (103, "3124", "settled")


def test_each_decision_is_said_in_words_and_undone_in_sight_of_it(make_page, contest, start):
    for number in (101, 102):
        differing(contest, number=number)
    read(contest, 1, 999, "3124")
    read(contest, 1, 104, "3124")
    page = make_page()
    page.goto(f"{start}doubts/")
    undo = page.locator(".done").get_by_role("button", name="Undo")
    expect(page.locator("#card-1-101-counts")).to_be_focused()
    page.keyboard.type("b")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Class 1, contestant 101: 3142 counts.")).to_be_visible()
    assert_sound(page, "decided")
    with walk("undo a decision", actions=1) as person:
        person.click(undo)
    expect(page.get_by_text("All is as it was before.")).to_be_visible()
    expect(page.locator(":focus")).to_have_attribute("id", "card-1-101-counts")
    assert Card.objects.get(contestant__number=101).state == "doubt"
    stray = page.locator("[id^=reading-]").filter(has=page.get_by_text("Unknown number"))
    stray.get_by_label("Belongs to contestant").fill("103")
    stray.get_by_role("button", name="Move it there").click()
    expect(page.get_by_text("the reading 3124 is of Class 1, contestant 103 now.")).to_be_visible()
    expect(undo).to_be_in_viewport()
    undo.click()
    expect(page.get_by_text("All is as it was before.")).to_be_visible()
    assert Reading.objects.get(withdrawn_at=None, number=999).placing == "3124"
    assert not Card.objects.filter(contestant__number=103).exists()
    page.get_by_role("button", name="104 is here").click()
    expect(page.get_by_text("104 is here and competes.")).to_be_visible()
    assert the_contestant(contest, 104).present
    undo.click()
    expect(page.get_by_text("All is as it was before.")).to_be_visible()
    assert not the_contestant(contest, 104).present
    page.get_by_role("button", name="Leave 104 absent").click()
    expect(page.get_by_text("Class 1, contestant 104: 3124 is kept and counts for nobody.")).to_be_visible()
    page.get_by_role("button", name=re.compile("Undo.*contestant 104")).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("4 doubts")


def test_a_doubt_says_where_its_paper_lies_and_two_that_were_interchanged_are_mended_at_once(make_page, contest, start):
    for number, (first, second) in {101: ("3124", "1342"), 102: ("1342", "3124")}.items():
        differing(contest, number=number, first=first, second=second)
    read(contest, 1, 103, "3124", "Ann")
    read(contest, 1, 999, "3124", "Ann")
    page = make_page()
    page.goto(f"{start}doubts/")
    expect(page.locator("#card-1-101 .lies")).to_have_text("Group A, paper 1 of 2. It lies before 102.")
    expect(page.locator("#card-1-102 .lies")).to_have_text("Group A, paper 2 of 2. It lies after 101.")
    expect(page.locator("[id^=reading-] .lies")).to_have_text("Read after 103. Probably group B.")
    assert_sound(page, "interchanged")
    page.locator("#card-1-101").get_by_role("link", name="102", exact=True).click()
    expect(page.locator(":focus")).to_have_attribute("id", "card-1-102-counts")
    with walk("mend two cards that were interchanged", actions=1) as person:
        as_ben = "As Ben read them: 101 is 1342, 102 is 3124"
        person.click(page.locator("#card-1-102").get_by_role("button", name=as_ben))
    expect(page.get_by_text("Class 1, contestant 101: 1342 counts.")).to_be_visible()
    expect(page.get_by_text("Class 1, contestant 102: 3124 counts.")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text("1 doubt")
    assert {row.contestant.number: row.placing for row in Card.objects.filter(state="settled")} == {
        101: "1342", 102: "3124"
    }  # fmt: skip
    page.locator(".done").get_by_role("button", name="Undo").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("3 doubts")


def test_the_reason_follows_what_is_typed_until_another_is_picked(make_page, contest, start):
    differing(contest)
    page = make_page()
    page.goto(f"{start}doubts/")
    reason = page.get_by_label("Reason", exact=True)
    for typed, fits in {
        "n": "no card was handed in",
        "u": "the card cannot be read",
        "31_4": "the missing place by elimination",
        "3142": "as the card says",
    }.items():
        page.get_by_label("What counts").fill(typed)
        expect(reason).to_have_value(fits)
    reason.select_option("one reading was a slip of the hand")
    page.get_by_label("What counts").fill("n")
    expect(reason).to_have_value("one reading was a slip of the hand")


def test_a_stack_that_was_read_as_another_class_or_group_is_moved_in_four_actions(make_page, transactional_db):
    groups = {101: "A", 102: "A", 103: "A", 104: "A", 201: "B", 202: "B", 203: "B", 204: "B"}
    contest = small_contest(
        classes=(ClassFactory(), ClassFactory(number=2, name="Yearling ewes")),
        contestants=tuple(ContestantFactory(number=number, group=group) for number, group in groups.items()),
        divisions=(DivisionFactory(),),
        parts=(),
    )
    for number, placing in zip((101, 102, 103, 104), ("3124", "1342", "4321", "2134"), strict=True):
        read(contest, 1, number, placing, "Ann")
        read(contest, 1, number, placing[::-1], "Ben")  # of class 2, or of group B
    page = make_page()
    page.goto(f"/contests/{contest.pk}/watch/doubts/")
    for there, moved in {"Class 2, group A": (2, 101), "Class 1, group B": (1, 201)}.items():
        with walk(f"move four readings to {there.lower()}", actions=4) as person:
            person.click(page.get_by_role("link", name="Move what Ben read"))
            expect(page.get_by_role("button", name="Move them there")).to_be_visible()
            assert_sound(page, "a run")
            person.choose(page.get_by_label("These cards are really of"), there)
            person.click(page.get_by_role("button", name="Move them there"))
            expect(page.get_by_role("heading", level=1)).to_have_text("No doubts")
        card = Card.objects.get(judging_class__number=moved[0], contestant__number=moved[1])
        assert (card.placing, card.state) == ("4213", "once")
        page.locator(".done").get_by_role("button", name="Undo").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("4 doubts")
    page.get_by_role("link", name="Move what Ben read").click()
    page.get_by_label("to number").fill("102")
    page.get_by_label("These cards are really of").select_option("Class 2, group A")
    page.get_by_role("button", name="Move them there").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("2 doubts")


def test_what_a_decision_means_is_said_although_it_was_typed_before_the_script_came(make_page, contest, start):
    differing(contest)
    page = make_page()
    page.goto(f"{start}doubts/")
    field = page.get_by_label("What counts")
    with still_loading(page, "decide.js"):
        expect(field).to_be_focused()
        page.keyboard.type("31_4")
        expect(field).to_have_value("31_4")
    expect(page.get_by_text("counts as 3124")).to_be_visible()
    expect(page.get_by_label("Reason", exact=True)).to_have_value("the missing place by elimination")


def test_a_mistyped_decision_keeps_what_was_typed_and_says_why(make_page, contest, start):
    differing(contest)
    page = make_page()
    page.goto(f"{start}doubts/")
    expect(page.locator("#card-1-101-counts")).to_be_focused()
    page.keyboard.type("3122")
    page.get_by_label("or in your own words").fill("a stain")
    page.keyboard.press("Enter")
    field = page.get_by_label("What counts")
    expect(field).to_be_focused()
    expect(field).to_have_value("3122")
    expect(page.get_by_label("or in your own words")).to_have_value("a stain")
    expect(page.get_by_text("places animal 2 more than once")).to_be_visible()
    assert_sound(page, "refused")


def test_two_who_decide_the_same_card_see_each_other(make_page, contest, start):
    differing(contest)
    first, second = make_page(), make_page()
    first.goto(f"{start}doubts/")
    second.goto(f"{start}doubts/")
    for page in (first, second):
        expect(page.get_by_label("What counts")).to_be_focused()
    first.keyboard.type("a")
    first.keyboard.press("Enter")
    expect(first.get_by_role("heading", level=1)).to_have_text("No doubts")
    second.keyboard.type("b")
    second.keyboard.press("Enter")
    expect(second.get_by_role("heading", level=1)).to_have_text("Changed meanwhile")
    expect(second.get_by_label("What counts")).to_have_value("b")
    assert_sound(second, "conflict")
    assert Card.objects.get().placing == "3124"


def test_an_open_list_of_doubts_says_that_it_has_changed_and_leaves_alone_what_is_typed(make_page, contest, start):
    differing(contest)
    page = make_page()
    page.goto(f"{start}doubts/")
    expect(page.get_by_label("What counts")).to_be_focused()
    page.keyboard.type("31")
    read(contest, 1, 999, "3124")
    expect(page.get_by_text("The list has changed.")).to_be_visible()
    expect(page.get_by_label("What counts")).to_have_value("31")
    expect(page.get_by_label("What counts")).to_be_focused()


def test_a_key_is_typed_in_one_line_with_its_grid_beside_it(make_page, contest, start):
    page = make_page(who=(contest, Duty.KEYS, "Ann"))
    page.goto(f"{start}keys/")
    page.get_by_role("link", name=re.compile("Yearling ewes")).click()
    expect(page.get_by_label("Placing and cuts")).to_be_focused()
    page.keyboard.type("3124 ")
    expect(page.get_by_text("now the three cuts")).to_be_visible()
    page.keyboard.type("3 10 2")
    expect(page.locator(".twentyfour li")).to_have_count(24)
    expect(page.get_by_text("the middle cut is 10, more than 8")).to_be_visible()
    assert_sound(page, "preview")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Class 2: typed once.")).to_be_visible()
    assert str(Key.objects.get(judging_class__number=2)) == "3124 3-10-2"


def test_two_who_type_different_keys_settle_it_between_them(make_page, contest, start):
    enter_key(the_class(contest, 2), "3124", (3, 5, 2), "Ann")
    page = make_page(who=(contest, Duty.KEYS, "Ben"))
    page.goto(f"{start}keys/2/")
    expect(page.get_by_label("Placing and cuts")).to_be_focused()
    page.keyboard.type("3142 352")
    page.keyboard.press("Enter")
    expect(page.get_by_text("That is not what Ann typed.")).to_be_visible()
    assert_sound(page, "two entries")
    expect(page.locator(":focus")).to_have_role("radio")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.type("I misread it")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Class 2: confirmed.")).to_be_visible()
    key = Key.objects.get(judging_class__number=2)
    assert (str(key), key.confirmed_by) == ("3124 3-5-2", "Ben")
