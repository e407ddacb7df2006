"""A practice, from nothing to the answer: the coach's laptop and the members' phones."""

import re
from contextlib import ExitStack

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import expect

from contest.book.pair_notes import Note
from contest.models import Practice, PracticeClass, PracticePlacing, PracticeSet
from contest.pair_notes import fingerprint
from contest.practice.joining import join_practice
from contest.practice.making import add_class, make_practice
from contest.practice.pictures import put_picture
from contest.practice.running import go_to, hand_in, set_key, write_pair_notes
from contest.practice.sets import hand_in_outline
from tests.browser.moments import still_loading
from tests.browser.soundness import (
    PHONE,
    PROJECTOR,
    assert_sound,
    assert_sound_at_every_width,
    assert_sound_in_every_way,
)
from tests.browser.walks import walk

pytestmark = pytest.mark.any_database

Step = PracticeClass.Step
PLACED = {"Ana": "3124", "Ben": "3142", "Cleo": "1324", "12": "4213", "Ed": "3124", "Fay": "2134"}
SCORES = {"Ana": 50, "Ben": 48, "Cleo": 47, "12": 15, "Ed": 50, "Fay": 34}


def a_practice(step=Step.PLACING, placed=PLACED, **made):
    asked = {"name": "Market steers", "animals": "1234", "minutes": 12, "keeps": False} | made
    practice = make_practice(**asked, by="coach")
    judged = practice.classes.get()
    for name, placing in placed.items():
        hand_in(join_practice(practice, name), 1, placing, {})
    set_key(judged, "3124", (3, 5, 2)) if asked["animals"] == "1234" else None
    for to in range(1, step + 1):
        go_to(judged, to - 1, to)
    return practice


def a_member(make_page, practice, name, **options):
    page = make_page(None, **PHONE, **options)
    page.goto(f"/practice/?code={practice.code}")
    page.get_by_label("First name or number").fill(name)
    page.get_by_role("button", name="Join").click()
    expect(page.get_by_text(name, exact=True)).to_be_visible()
    return page


def tap(page, placing):
    for animal in placing:
        page.get_by_role("button", name=f"Place animal {animal} next").click()


def test_a_coach_gets_from_nothing_to_the_answer_with_six_phones(make_page):
    coach = make_page()
    coach.goto("/")
    with ExitStack() as walks:
        way = walks.enter_context(walk("a practice: the coach, from nothing to the answer", actions=25))
        way.click(coach.get_by_role("link", name="practices", exact=True))
        way.fill(coach.get_by_label("What is placed"), "Market steers")
        way.click(coach.get_by_role("button", name="Make the practice"))
        code = coach.locator(".code").inner_text().split()[-1]
        phones = {name: make_page(None, **PHONE) for name in PLACED}
        ways = {name: walks.enter_context(walk(f"a practice: the member {name}", actions=12)) for name in PLACED}
        for name, phone in phones.items():
            phone.goto(f"/practice/?code={code}")  # as the square code has it
            ways[name].fill(phone.get_by_label("First name or number"), name)
            ways[name].click(phone.get_by_role("button", name="Join"))
            expect(phone.get_by_text("The coach begins the class")).to_be_visible()
        expect(coach.get_by_text("6 members are in")).to_be_visible()
        way.click(coach.get_by_role("button", name="Start the clock"))
        for name, phone in phones.items():
            for animal in PLACED[name]:
                ways[name].click(phone.get_by_role("button", name=f"Place animal {animal} next"))
            ways[name].click(phone.get_by_role("button", name="Hand it in"))
            expect(phone.get_by_text(f"You handed in {PLACED[name]}")).to_be_visible()
        expect(coach.get_by_text("6 of 6 have handed in")).to_be_visible()
        way.click(coach.get_by_role("button", name="Close the class"))
        way.click(coach.get_by_role("button", name="Show what the group did"))
        for phone in phones.values():
            expect(phone.get_by_role("heading", name="Pair by pair")).to_be_visible()
            expect(phone.get_by_role("heading", name="Official placing")).to_have_count(0)
        way.click(coach.get_by_role("link", name="Type the official placing"))
        way.fill(coach.get_by_label("Placing, the best first"), "3124")
        for name, cut in (("Top", "3"), ("Middle", "5"), ("Bottom", "2")):
            way.fill(coach.get_by_label(f"{name} cut"), cut)
        way.click(coach.get_by_role("button", name="Save"))
        way.click(coach.get_by_role("link", name="Notes on the pairs"))
        top = coach.get_by_role("group", name="Top pair: 3 over 1")
        way.fill(top.get_by_label("What decided it"), "longer and more level")
        way.fill(top.get_by_label("Grant the lower animal"), "1 is wider in front")
        way.fill(top.get_by_label("Fault the lower animal"), "1 is shallow in the flank")
        way.click(coach.get_by_role("button", name="Save the notes"))
        for step in ("official placing", "cuts", "scores", "what one switch would have changed"):
            way.click(coach.get_by_role("button", name=f"Show the {step}".replace("the what", "what")))
        expect(coach.get_by_text("4 of 6 would have scored more")).to_be_visible()
        way.click(coach.get_by_role("button", name="Show the official’s reasons"))
        for name, phone in phones.items():
            expect(phone.get_by_text("1 is shallow in the flank")).to_be_visible()
            expect(phone.locator(".practice-own")).to_have_text(f"{SCORES[name]} of 50")
            expect(phone.get_by_text("Had you switched one pair")).to_be_visible()
    expect(phones["Cleo"].locator(".practice-switches li").first).to_have_text(
        "3 over 1: 3124 would have scored 50 (+3)"
    )


def test_a_placing_goes_out_by_itself_once_the_network_is_back(make_page):
    practice = a_practice(placed={})
    phone = a_member(make_page, practice, "Ana")
    tap(phone, "3124")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Hand it in").click()
    expect(phone.locator(".outbox-sign")).to_have_attribute("data-state", "offline")
    assert not PracticePlacing.objects.exists()
    phone.context.set_offline(False)
    expect(phone.get_by_text("You handed in 3124")).to_be_visible()
    assert PracticePlacing.objects.get().placing == "3124"


def test_what_was_placed_and_noted_is_kept_on_the_device_and_notes_go_only_where_they_are_let(make_page):
    practice = a_practice(placed={})
    phone = a_member(make_page, practice, "Ana")
    tap(phone, "31")
    phone.get_by_text("Your notes", exact=True).click()
    phone.get_by_role("textbox", name="3, Good").fill("deep in the rib")
    phone.reload()
    expect(phone.locator(".places li b")).to_have_text(["3", "1"])
    phone.get_by_text("Your notes", exact=True).click()
    expect(phone.get_by_role("textbox", name="3, Good")).to_have_value("deep in the rib")
    tap(phone, "24")
    phone.get_by_role("button", name="Hand it in").click()
    expect(phone.get_by_text("You handed in 3124")).to_be_visible()
    assert PracticePlacing.objects.get().notes == {}
    phone.get_by_text("Your notes", exact=True).click()
    phone.get_by_label("Hand in my notes").check()
    with phone.expect_navigation():  # once it is saved
        phone.get_by_role("button", name="Hand it in anew").click()
    assert PracticePlacing.objects.get().notes == {"3": {"good": "deep in the rib"}}


def test_what_is_noted_before_the_script_is_there_is_kept(make_page):
    phone = a_member(make_page, a_practice(placed={}), "Ana")
    with still_loading(phone, "practice-mine.js"):
        phone.get_by_text("Your notes", exact=True).click()
        phone.get_by_role("textbox", name="3, Good").fill("deep in the rib")
    tap(phone, "3124")
    open_builder(phone)
    expect(phone.get_by_role("textbox", name="Top pair: 3 over 1 Why over")).to_have_value("deep in the rib")
    phone.reload()
    phone.get_by_text("Your notes", exact=True).click()
    expect(phone.get_by_role("textbox", name="3, Good")).to_have_value("deep in the rib")


def open_builder(phone):
    phone.get_by_text("Your set of reasons", exact=True).click()


def test_notes_become_the_outline_of_a_set_on_the_device_alone_until_it_is_handed_in(make_page):
    practice = a_practice(placed={}, animals="ABXY")
    phone = a_member(make_page, practice, "Ana")
    phone.get_by_text("Your notes", exact=True).click()
    phone.get_by_role("textbox", name="X, Good").fill("long and level")
    phone.get_by_role("textbox", name="A, Good").fill("wide in front")
    phone.get_by_role("textbox", name="A, Faults").fill("shallow")
    open_builder(phone)
    expect(phone.get_by_text("Place the class first")).to_be_visible()
    phone.context.set_offline(True)
    tap(phone, "XABY")
    why = phone.get_by_role("textbox", name="Top pair: X over A Why over")
    expect(why).to_have_value("long and level")
    expect(phone.get_by_role("textbox", name="Top pair: X over A Grant")).to_have_value("wide in front")
    fault = phone.get_by_role("textbox", name="Top pair: X over A Fault")
    expect(fault).to_have_value("shallow")
    expect(phone.get_by_role("textbox", name="Middle pair: A over B Why over")).to_have_value("wide in front")
    why.focus()
    phone.keyboard.press("Tab")
    phone.keyboard.press("Tab")
    expect(fault).to_be_focused()
    phone.keyboard.type("I fault A, ")
    phone.get_by_role("button", name="Move animal A up").click()
    expect(phone.get_by_role("textbox", name="Top pair: A over X Why over")).to_have_value("wide in front")
    phone.get_by_role("button", name="Move animal X up").click()
    expect(fault).to_have_value(re.compile("I fault A, "))  # what they said themselves comes back with its pair
    phone.get_by_role("textbox", name="Opening").fill("These cattle")
    assert not PracticeSet.objects.exists()
    phone.context.set_offline(False)
    phone.reload()
    open_builder(phone)
    expect(phone.get_by_role("textbox", name="Opening")).to_have_value("These cattle")
    assert_sound_at_every_width(phone, "the outline")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Hand in my outline").dblclick()
    expect(phone.locator(".outbox-sign")).to_have_attribute("data-state", "offline")
    with phone.expect_navigation():  # once it is saved
        phone.context.set_offline(False)
    open_builder(phone)
    expect(phone.get_by_text("You handed one in")).to_be_visible()
    kept = PracticeSet.objects.get().outline
    assert (kept["placing"], kept["opening"], kept["1-why"]) == ("XABY", "These cattle", "long and level")
    assert PracticePlacing.objects.count() == 0


def test_the_clock_of_a_set_tells_of_its_end_to_be_seen_and_felt_and_never_heard(make_page):
    practice = a_practice(placed={})
    phone = a_member(make_page, practice, "Ana")
    phone.evaluate("void (navigator.vibrate = shakes => (window.shaken ??= []).push(shakes))")
    open_builder(phone)
    phone.clock.install()
    phone.get_by_role("button", name="Start", exact=True).press("Enter")
    clock = phone.get_by_role("timer")
    expect(clock).to_have_text("2:00")
    expect(phone.get_by_role("button", name="Stop", exact=True)).to_be_focused()
    phone.clock.run_for(91_000)
    expect(phone.get_by_text("30 seconds left")).to_be_visible()
    phone.clock.run_for(34_000)
    expect(phone.locator("[data-said]")).to_have_text("The time is over")
    expect(clock).to_have_text("+0:05")
    assert phone.evaluate("window.shaken") == [200, [300, 150, 300]]
    assert phone.locator("audio").count() == 0


def test_a_set_is_scored_by_the_coach_and_by_a_member_whose_network_was_cut(make_page):
    practice = a_practice(Step.CLOSED, placed={})
    ana, ben = (a_member(make_page, practice, name) for name in ("Anastasia", "Ben"))
    coach = make_page(**PROJECTOR)
    coach.goto(practice.get_absolute_url())
    coach.get_by_role("link", name="Reasons", exact=True).click()
    coach.get_by_label("Members score each other").check()
    coach.get_by_role("button", name="Save").click()
    coach.get_by_role("button", name="Let speak: Anastasia").dblclick()
    expect(coach.get_by_text("speaks now")).to_be_visible()
    expect(ana.get_by_text("It is your turn to give your set.")).to_be_visible()
    ben.get_by_role("link", name="Score the set that you hear").click()
    expect(ben.get_by_role("heading", name="The set that you hear")).to_be_visible()
    expect(ben.get_by_text("Anastasia")).to_have_count(0)
    assert_sound_at_every_width(ben, "scoring what is heard")
    marks = {"Accuracy": "8", "Delivery": "7", "Terms": "9", "Organization": "8"}
    for aspect, mark in marks.items():
        ben.get_by_label(aspect).fill(mark)
    ben.get_by_label("Comment").fill("a clear opening")
    ben.context.set_offline(True)
    ben.get_by_role("button", name="Save").dblclick()
    expect(ben.locator(".outbox-sign")).to_have_attribute("data-state", "offline")
    coach.get_by_role("button", name="The set is over").click()
    coach.get_by_role("link", name="Score it: Anastasia").click()
    for aspect, mark in marks.items():
        coach.get_by_label(aspect).fill(mark)
    coach.get_by_label("Delivery").fill("11")
    coach.get_by_role("button", name="Save").click()
    expect(coach.get_by_text("less than or equal to 10")).to_be_visible()
    assert_sound_at_every_width(coach, "scoring a set")
    coach.get_by_label("Delivery").fill("9")
    coach.get_by_role("button", name="Save").click()
    expect(coach.get_by_text("42 of 50")).to_be_visible()
    ben.context.set_offline(False)
    expect(coach.get_by_text("40 of 50")).to_be_visible()  # although the set was over by then
    expect(coach.get_by_text("a clear opening")).to_be_visible()
    assert_sound_at_every_width(coach, "sets")
    expect(ana.get_by_text("a clear opening")).to_be_visible()
    expect(ana.get_by_text("42 of 50")).to_be_visible()
    expect(ana.get_by_text("Ben")).to_have_count(0)
    assert_sound_at_every_width(ana, "own scores")
    coach.get_by_role("link", name="Words to say it with").click()
    coach.get_by_label("Species").fill("Sheep")
    coach.get_by_label("Words, one line each").fill("open in the fleece")
    coach.get_by_role("button", name="Save").click()
    expect(coach.get_by_role("heading", name="Sheep")).to_be_visible()
    assert_sound_at_every_width(coach, "terms")


def test_an_outline_that_the_coach_reads_stays_open_while_others_hand_theirs_in(make_page):
    practice = a_practice(Step.CLOSED, placed={})
    ana, ben = (join_practice(practice, name) for name in ("Ana", "Ben"))
    hand_in_outline(ana, 1, "3124", {"opening": "These steers"})
    coach = make_page(**PROJECTOR)
    coach.goto(f"{practice.get_absolute_url()}classes/1/reasons/")
    coach.get_by_text("Outline", exact=True).click()
    expect(coach.get_by_text("These steers")).to_be_visible()
    hand_in_outline(ben, 1, "3142", {"opening": "This class"})
    expect(coach.get_by_text("Outline", exact=True)).to_have_count(2)
    expect(coach.get_by_text("These steers")).to_be_visible()
    expect(coach.get_by_text("This class")).to_be_hidden()


def test_a_class_is_placed_with_the_keyboard_alone_and_put_in_another_order(make_page):
    practice = a_practice(placed={}, animals="ABXY")
    phone = a_member(make_page, practice, "Ana")
    phone.get_by_role("button", name="Place animal A next").focus()
    for _ in "ABXY":
        phone.keyboard.press("Enter")
    expect(phone.locator(".places li b")).to_have_text(["A", "B", "X", "Y"])
    expect(phone.get_by_role("button", name="Hand it in")).to_be_focused()
    up = phone.get_by_role("button", name="Move animal Y up")
    up.focus()
    phone.keyboard.press("Enter")
    expect(up).to_be_focused()
    phone.keyboard.press("Space")
    expect(phone.locator("#tap-said")).to_have_text("Animal Y is in place 2")
    phone.get_by_role("button", name="Take animal A out of the placing").click()
    phone.get_by_role("button", name="Hand it in").click()
    expect(phone.get_by_text("1 animal has no place yet")).to_be_visible()
    phone.keyboard.press("Enter")
    phone.get_by_role("button", name="Hand it in").click()
    expect(phone.get_by_text("You handed in YBXA")).to_be_visible()


def test_an_animal_is_dragged_to_another_place(make_page):
    phone = a_member(make_page, a_practice(placed={}), "Ana")
    tap(phone, "1234")
    last = phone.locator(".places li").last.locator(".grip").bounding_box()
    first = phone.locator(".places li").first.bounding_box()
    phone.mouse.move(last["x"] + 5, last["y"] + 5)
    phone.mouse.down()
    phone.mouse.move(first["x"] + 5, first["y"] + 2, steps=5)
    phone.mouse.up()
    expect(phone.locator(".places li b")).to_have_text(["4", "1", "2", "3"])
    expect(phone.locator("#tap-said")).to_have_text("Animal 4 is in place 1")


def test_phones_go_on_to_the_next_class_by_themselves(make_page):
    practice = a_practice(Step.SWITCHES, placed={})
    phone = a_member(make_page, practice, "Ana")
    coach = make_page()
    coach.goto(practice.get_absolute_url())
    coach.get_by_role("link", name="Another class").click()
    coach.get_by_label("What is placed").fill("Breeding heifers")
    coach.get_by_role("button", name="Go on to it").click()
    expect(coach.get_by_role("heading", name="Breeding heifers")).to_be_visible()
    expect(phone.get_by_role("heading", name="Breeding heifers")).to_be_visible()
    coach.get_by_role("button", name="Start the clock").click()
    expect(phone.get_by_role("button", name="Hand it in")).to_be_visible()


def test_a_practice_is_deleted_at_one_press(make_page):
    practice = a_practice()
    phone = a_member(make_page, practice, "Gus")
    coach = make_page()
    coach.goto(practice.get_absolute_url())
    coach.get_by_role("button", name="Delete it now").click()
    expect(coach.get_by_text("None yet.")).to_be_visible()
    assert not PracticePlacing.objects.exists()
    expect(phone.get_by_text("is over, or the coach has taken you out")).to_be_visible()


@pytest.mark.parametrize("step", [Step.JOINING, Step.PLACING, Step.GROUP, Step.SWITCHES], ids=lambda step: step.name)
def test_every_page_is_sound_at_every_step(make_page, step):
    practice = a_practice(step)
    coach = make_page()
    for address in ("/practices/", practice.get_absolute_url(), f"{practice.get_absolute_url()}screen/"):
        coach.goto(address)
        assert_sound_at_every_width(coach, (step, address))
    phone = a_member(make_page, practice, "Gus")
    if step == Step.PLACING:
        tap(phone, "31")
        phone.get_by_text("Your notes", exact=True).click()
    assert_sound_in_every_way(phone, step)
    if step == Step.JOINING:
        for address in (
            f"{practice.get_absolute_url()}classes/1/key/",
            f"{practice.get_absolute_url()}another/",
            f"{practice.get_absolute_url()}classes/1/notes/",
        ):
            coach.goto(address)
            assert_sound_at_every_width(coach, address)
        phone.goto("/practice/")
        assert_sound_at_every_width(phone, "joining")


@pytest.mark.parametrize(
    ("step", "shown"),
    [(Step.GROUP, "Pair by pair"), (Step.CUTS, "Official placing"), (Step.SCORES, "What the group did")],
)
def test_nothing_on_the_screen_is_too_small_for_the_back_row(make_page, step, shown):
    practice = a_practice(step)
    screen = make_page(**PROJECTOR)
    screen.goto(f"{practice.get_absolute_url()}screen/")
    expect(screen.get_by_role("heading", name=shown)).to_be_visible()
    sizes = screen.eval_on_selector_all(
        ".practice-answer :is(th, td, p, li):not(.lost), .practice-counted, h1",
        "all => all.map(one => parseFloat(getComputedStyle(one).fontSize))",
    )
    assert min(sizes) >= 42


def test_all_of_eight_animals_is_on_the_screen_at_every_step(make_page):
    practice = a_practice(Step.JOINING, placed={}, animals="12345678", name="Market steers, " * 6 + "lightweight")
    judged = practice.classes.get()
    for name, placing in enumerate(
        ["12345678", "87654321", *("12345678"[at:] + "12345678"[:at] for at in range(1, 8))]
    ):
        hand_in(join_practice(practice, str(name)), 1, placing, {})
    set_key(judged, "12345678", (1, 2, 3, 4, 3, 2, 1))
    write_pair_notes(judged, [Note("longer")] * 7, fingerprint([Note()] * 7))
    screen = make_page(**PROJECTOR)
    for step in range(Step.PLACING, Step.REASONS + 1):
        go_to(judged, step - 1, step)
        screen.goto(f"{practice.get_absolute_url()}screen/")
        expect(screen.get_by_text("9 of 9 have handed in")).to_be_visible()
        assert screen.evaluate("document.documentElement.scrollHeight <= innerHeight"), Step(step).name
        assert screen.evaluate("document.documentElement.scrollWidth <= innerWidth"), Step(step).name
        if step == Step.GROUP:
            assert_sound(screen, "the table of pairs")


def drawn(tmp_path, animal, colour):
    """A picture of an animal as a plain shape, as a file."""
    image = Image.new("RGB", (900, 600), "white")
    shape = ImageDraw.Draw(image)
    shape.ellipse((150, 150, 700, 400), fill=colour)
    shape.rectangle((650, 120, 780, 220), fill=colour)
    for leg in (220, 300, 560, 640):
        shape.rectangle((leg, 350, leg + 30, 560), fill=colour)
    path = tmp_path / f"{animal}.jpg"
    image.save(path)
    return path


def test_a_class_is_shown_by_the_coachs_own_pictures(make_page, tmp_path):
    practice = a_practice(Step.JOINING, placed={})
    coach = make_page()
    coach.goto(practice.get_absolute_url())
    coach.get_by_role("link", name="Pictures").click()
    expect(coach.get_by_text("Photographs of animals, not of children.")).to_be_visible()
    for view in ("from the side", "from behind"):
        for animal, colour in (("1", "brown"), ("2", "black")):
            coach.get_by_label("Photograph").set_input_files(drawn(tmp_path, animal, colour))
            coach.get_by_label("Animal").select_option(animal)
            coach.get_by_label("Seen", exact=True).select_option(view)
            coach.get_by_label("What it shows").fill(f"a {colour} steer, {view}")
            coach.get_by_role("button", name="Add the picture").click()
            expect(coach.get_by_alt_text(f"a {colour} steer, {view}")).to_be_visible()
    assert_sound_at_every_width(coach, "pictures")
    phone = a_member(make_page, practice, "Ana")
    expect(phone.get_by_alt_text("a brown steer, from the side")).to_have_count(0)
    coach.set_viewport_size(PROJECTOR)
    coach.goto(practice.get_absolute_url())
    coach.get_by_role("button", name="Start the clock").click()
    expect(phone.get_by_alt_text("a brown steer, from the side")).to_be_visible()
    assert_sound_at_every_width(phone, "a class by its pictures")
    coach.goto(f"{practice.get_absolute_url()}screen/")
    expect(coach.get_by_alt_text("a black steer, from the side")).to_be_in_viewport(ratio=1)
    coach.get_by_role("link", name="From behind").click()
    expect(coach.get_by_alt_text("a black steer, from behind")).to_be_in_viewport(ratio=1)
    expect(coach.get_by_alt_text("a black steer, from the side")).to_have_count(0)
    assert_sound_at_every_width(coach, "the screen")


def test_a_practice_is_given_to_another_coach_in_a_file(make_page, tmp_path):
    practice = a_practice()
    add_class(practice, "Breeding heifers", "ABC", 8)
    put_picture(practice.classes.first(), "1", "side", "a brown steer", drawn(tmp_path, "1", "brown").read_bytes())
    coach, other = make_page(), make_page()
    coach.goto(practice.get_absolute_url())
    assert_sound_at_every_width(coach, "other classes")
    with coach.expect_download() as download:
        coach.get_by_role("link", name="Save it to a file").click()
    download.value.save_as(tmp_path / "steers.zip")
    other.goto("/practices/")
    other.get_by_role("link", name="open a practice from a file").click()
    other.get_by_label("File of the practice").set_input_files(drawn(tmp_path, "1", "brown"))
    other.get_by_role("button", name="Open it").click()
    expect(other.get_by_role("cell", name="it is neither a folder nor a zip")).to_be_visible()
    assert_sound_at_every_width(other, "refused")
    other.get_by_label("File of the practice").set_input_files(tmp_path / "steers.zip")
    other.get_by_role("button", name="Open it").click()
    expect(other.get_by_role("heading", name="Market steers")).to_be_visible()
    expect(other.get_by_role("button", name="Start the clock")).to_be_visible()
    phone = a_member(make_page, Practice.objects.first(), "Ana")
    other.get_by_role("button", name="Go on with 2 Breeding heifers").click()
    expect(other.get_by_role("heading", name="Breeding heifers")).to_be_visible()
    expect(phone.get_by_role("heading", name="Breeding heifers")).to_be_visible()
    other.get_by_role("button", name="Go on with 1 Market steers").click()
    other.get_by_role("button", name="Start the clock").click()
    expect(phone.get_by_alt_text("a brown steer")).to_be_visible()


def test_a_picture_is_turned_cropped_and_moved_with_the_keyboard_alone(make_page, tmp_path):
    practice = a_practice(Step.JOINING, placed={})
    judged = practice.classes.get()
    for animal in "12":
        put_picture(judged, animal, "side", f"steer {animal}", drawn(tmp_path, animal, "brown").read_bytes())
    coach = make_page()
    coach.goto(f"{practice.get_absolute_url()}classes/1/pictures/")
    coach.get_by_role("button", name="Move the picture up: 2, from the side").press("Enter")
    expect(coach.locator("li img")).to_have_count(2)
    expect(coach.locator("li b")).to_have_text(["2", "1"])
    expect(coach.get_by_role("button", name="Move the picture up: 2")).to_have_count(0)
    assert_sound_at_every_width(coach, "pictures in order")
    coach.get_by_role("link", name="Turn or crop the picture: 2").press("Enter")
    coach.get_by_label("Turn it").select_option("a quarter to the right")
    left = coach.get_by_label("on the left")
    left.focus()
    for _ in range(10):
        coach.keyboard.press("ArrowRight")
    expect(left).to_have_value("10")
    expect(coach.locator("output").nth(2)).to_have_text("10 %")
    seen = coach.locator(".practice-crop").bounding_box()
    frame = coach.locator(".practice-frame").bounding_box()
    assert seen["height"] / seen["width"] == pytest.approx(900 / 600, rel=0.01)  # as it will be once it is turned
    assert frame["x"] - seen["x"] == pytest.approx(seen["width"] / 10, abs=2)
    assert_sound_at_every_width(coach, "turning and cropping")
    coach.get_by_label("What it shows").fill("the other steer, upright")
    coach.get_by_role("button", name="Save").press("Enter")
    upright = coach.get_by_alt_text("the other steer, upright")
    expect(upright).to_be_visible()
    assert upright.evaluate("async one => { await one.decode(); return [one.naturalWidth, one.naturalHeight] }") == [
        540,
        900,
    ]
