"""The reasons' day in a real browser: planning, a room on a tablet, the waiting hall, notes and fairness."""

import re
from datetime import timedelta

from django.urls import reverse
from playwright.sync_api import expect

from contest.models import Duty, ReasonsReading, ReasonsScore
from reasons.day import search
from reasons.day.room_events import mark_no_show
from reasons.models import SetNote, Slot
from tests.browser.soundness import PHONE, PROJECTOR, assert_sound, assert_sound_at_every_width
from tests.reasons.day.cast import first_room, planned_contest, reasons_contest
from tests.reasons.planning.examples import in_one_room

TABLET = {"width": 768, "height": 1024}
FONT_SIZE = "element => parseFloat(getComputedStyle(element).fontSize)"


def address(name, contest, *args):
    return reverse(name, args=[contest.pk, *args])


def open_room(make_page, contest, **size):
    room, official = first_room(contest)
    page = make_page((contest, Duty.ROOM, str(official), official), **{**TABLET, **size})
    page.goto(address("reasons-room", contest, room.pk, official.pk))
    expect(page.locator("#now")).not_to_be_empty()
    return page, room, official


def give(page, points):
    tens, ones = divmod(points, 10)
    page.get_by_role("group", name="Tens").get_by_role("button", name=str(tens)).click()
    page.get_by_role("group", name="Ones").get_by_role("button", name=str(ones)).click()


def saved(page):
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")
    expect(page.locator("#sign")).to_have_attribute("data-state", "saved")


def test_a_room_of_twenty_sets_with_the_network_cut_in_the_middle_loses_nothing(make_page):
    contest = planned_contest(people=20, rooms=1, classes=(3,))
    page, room, _official = open_room(make_page, contest)
    numbers = list(room.slots.order_by("starts_at").values_list("contestant__number", flat=True))
    assert len(numbers) == 20
    for place, number in enumerate(numbers):
        if place == 7:
            saved(page)
            page.context.set_offline(True)
        if place == 14:
            page.context.set_offline(False)
        expect(page.locator("#now")).to_have_text(str(number))
        page.get_by_role("button", name="Begin").click()
        give(page, 31 + place % 20 if place % 20 < 19 else 50)
        page.get_by_role("button", name="Stop").click()
        if place == 10:
            expect(page.locator("#sign")).to_have_attribute("data-state", "offline")
            expect(page.locator("#sign")).to_contain_text("entries kept on this device")
            expect(page.locator("#unsent")).to_be_visible()
            expect(page.locator("#heard .unsent")).to_have_count(3)
            assert not ReasonsScore.objects.filter(contestant__number=number).exists()
        if place < 19:
            page.get_by_role("button", name=re.compile("^Next")).click()
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")
    expect(page.locator(".unsent:visible")).to_have_count(0)
    assert set(ReasonsScore.objects.values_list("state", flat=True)) == {"settled"}
    given = {score.contestant.number: score.hundredths for score in ReasonsScore.objects.select_related("contestant")}
    assert given == {n: 100 * (31 + place if place < 19 else 50) for place, n in enumerate(numbers)}
    assert set(room.slots.values_list("state", flat=True)) == {Slot.State.HEARD}
    for slot in room.slots.all():
        assert slot.began_at < slot.stopped_at
    assert ReasonsReading.objects.filter(withdrawn_at=None).count() == 20


def test_what_was_typed_without_a_network_is_there_after_the_page_comes_back(make_page):
    contest = planned_contest(people=6, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    first = page.locator("#now").inner_text()
    events = "**/events/"
    page.route(events, lambda route: route.abort())
    page.get_by_role("button", name="Begin").click()
    give(page, 44)
    page.get_by_label(re.compile("Your notes")).fill("Strong close")
    page.get_by_label(re.compile("Your notes")).blur()
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "3")
    page.reload()
    expect(page.locator("#now")).to_have_text(first)
    expect(page.locator("#given")).to_have_text("44")
    expect(page.locator("#note")).to_have_value("Strong close")
    page.unroute(events)
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")
    assert SetNote.objects.get(contestant__number=int(first)).note == "Strong close"
    assert ReasonsScore.objects.get().hundredths == 4400


def test_what_was_refused_stays_until_somebody_has_seen_it(make_page):
    contest = planned_contest(people=4, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").click()
    give(page, 40)
    saved(page)
    contest.releases.create(version=1, revision=1, by="Sue", book=b"")
    give(page, 44)
    expect(page.locator("#trouble")).to_contain_text("the results are released")
    expect(page.locator("#given")).to_have_text("40")  # what counts is shown again
    assert_sound(page)
    page.reload()
    expect(page.locator("#trouble")).to_contain_text("the results are released")
    page.get_by_role("button", name="Seen").click()
    expect(page.locator("#trouble")).to_be_hidden()
    page.reload()
    expect(page.locator("#now")).not_to_be_empty()
    expect(page.locator("#trouble")).to_be_hidden()
    assert ReasonsScore.objects.get().hundredths == 4000


def test_a_room_by_keyboard_alone(make_page):
    contest = planned_contest(people=4, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Stop")).to_be_focused()
    page.keyboard.type("43")
    expect(page.locator("#given")).to_have_text("43")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name=re.compile("^Next"))).to_be_focused()
    saved(page)
    assert ReasonsScore.objects.get().hundredths == 4300


def test_thinking_again_half_points_and_fifty_at_most(make_page):
    contest = planned_contest(people=4, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").click()
    give(page, 38)
    page.get_by_role("button", name="½").click()
    expect(page.locator("#given")).to_have_text("38.5")
    page.get_by_role("group", name="Tens").get_by_role("button", name="5").click()
    expect(page.get_by_role("group", name="Ones").get_by_role("button", name="1")).to_be_disabled()
    page.get_by_role("group", name="Ones").get_by_role("button", name="0").click()
    expect(page.locator("#given")).to_have_text("50")
    saved(page)
    score = ReasonsScore.objects.get()
    assert (score.hundredths, score.state) == (5000, "settled")


def test_a_half_is_typed_as_it_is_written(make_page):
    contest = planned_contest(people=4, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").click()
    for typed, given in (("43.5", "43.5"), ("41", "41"), ("39,5", "39.5"), ("39.0", "39"), ("50.5", "50")):
        page.keyboard.type(typed)
        expect(page.locator("#given")).to_have_text(given)
    page.keyboard.type("04")  # a slip of the hand that is asked for, and what is typed on does not answer
    expect(page.get_by_text(re.compile("^4 points for .* is very low"))).to_be_visible()
    page.keyboard.type("44")
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(page.locator("#given")).to_have_text("50")
    page.keyboard.type("04")
    page.get_by_role("button", name="It is right").click()
    expect(page.locator("#given")).to_have_text("4")


def test_component_marks_add_up(make_page):
    contest = planned_contest(
        people=4, rooms=1, classes=(3,), hours={"components": [["accuracy", 20], ["terms", 15], ["delivery", 15]]}
    )
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").click()
    for name, points in (("accuracy", "17.5"), ("terms", "12"), ("delivery", "99")):
        page.get_by_label(re.compile(name)).fill(points)
        page.get_by_label(re.compile(name)).blur()
    expect(page.locator("#given")).to_have_text("44.5")
    expect(page.get_by_label(re.compile("delivery"))).to_have_value("15")
    saved(page)
    assert ReasonsScore.objects.get().hundredths == 4450
    assert SetNote.objects.get().marks == {"accuracy": 17.5, "terms": 12, "delivery": 15}


def test_absent_out_of_order_and_heard_again(make_page):
    contest = planned_contest(people=5, rooms=1, classes=(3,))
    page, room, _ = open_room(make_page, contest)
    first = page.locator("#now").inner_text()
    page.get_by_role("button", name="Absent").click()
    expect(page.locator("#now")).not_to_have_text(first)
    third = page.locator("#coming li .number").nth(1).inner_text()
    page.locator("#coming").get_by_role("button", name=re.compile(f"^{third}")).click()
    expect(page.locator("#now")).to_have_text(third)
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("button", name="Stop").click()
    page.get_by_role("button", name="Hear again").click()
    expect(page.locator("#stage-label")).to_have_text("Speaking")
    saved(page)
    assert room.slots.get(contestant__number=int(first)).state == Slot.State.ABSENT
    assert room.slots.get(contestant__number=int(third)).state == Slot.State.SPEAKING


def test_whoever_speaks_stays_until_stopped_and_a_tap_on_another_asks(make_page):
    contest = planned_contest(people=5, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    speaker = page.locator("#now").inner_text()
    page.get_by_role("button", name="Begin").click()
    other = page.locator("#coming li .number").nth(2).inner_text()
    page.locator("#coming").get_by_role("button", name=re.compile(f"^{other}")).click()
    expect(page.get_by_role("dialog", name=f"{speaker} is speaking.")).to_be_visible()
    assert_sound(page)
    page.keyboard.press("Enter")  # what changes nothing has the focus
    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(page.locator("#now")).to_have_text(speaker)
    give(page, 43)
    page.locator("#coming").get_by_role("button", name=re.compile(f"^{other}")).click()
    page.get_by_role("button", name=f"Stop {speaker}, go to {other}").click()
    expect(page.locator("#now")).to_have_text(other)
    saved(page)
    assert ReasonsScore.objects.get().contestant.number == int(speaker)
    assert Slot.objects.get(state=Slot.State.HEARD).contestant.number == int(speaker)


def test_a_score_waits_for_the_beginning_and_can_be_cleared(make_page):
    contest = planned_contest(people=3, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    number = page.locator("#now").inner_text()
    expect(page.get_by_role("group", name="Tens")).to_be_hidden()
    page.keyboard.type("43")
    expect(page.locator("#given")).to_have_text("–")
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("button", name="Has not begun").click()
    expect(page.locator("#stage-label")).to_have_text("Next")
    expect(page.locator("#now")).to_have_text(number)
    page.get_by_role("button", name="Begin").click()
    give(page, 43)
    expect(page.get_by_role("button", name="Has not begun")).to_be_hidden()
    page.get_by_role("button", name="Clear").click()
    expect(page.locator("#given")).to_have_text("–")
    saved(page)
    assert not ReasonsScore.objects.exists()
    assert Slot.objects.get(state=Slot.State.SPEAKING).contestant.number == int(number)


def test_a_double_tap_begins_and_does_not_stop(make_page):
    contest = planned_contest(people=3, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    # Both taps at one place, where the button to stop comes to stand.
    at_one_place = "({ style }) => Object.assign(style, { position: 'fixed', top: 0, left: 0 })"
    page.eval_on_selector_all(".doing button", f"all => all.forEach({at_one_place})")
    page.get_by_role("button", name="Begin").dblclick()
    expect(page.locator("#stage-label")).to_have_text("Speaking")
    saved(page)
    assert Slot.objects.get(state=Slot.State.SPEAKING).stopped_at is None


def test_the_limit_is_said_quietly(make_page):
    contest = planned_contest(people=3, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    page.clock.install()
    page.reload()
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("#clock")).to_have_attribute("data-over", "no")
    page.clock.run_for(121_000)
    expect(page.locator("#clock")).to_have_attribute("data-over", "yes")
    expect(page.locator("#limit")).to_have_text("over 2:00")
    expect(page.locator("#limit")).to_have_role("status")


def test_no_name_and_no_placing_in_a_room_that_may_not_see_it(make_page):
    contest = planned_contest(people=4, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    text = page.content()
    for person in contest.contestants.all():
        assert person.first_name not in text
        assert person.last_name not in text
    assert "3124" not in text


def test_the_room_is_accessible_at_every_width(make_page):
    contest = planned_contest(people=12, rooms=1, classes=(3,))
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").click()
    give(page, 41)
    saved(page)
    assert_sound_at_every_width(page, sizes=[TABLET, PHONE, PROJECTOR])


def test_every_page_is_accessible_and_fits(make_page):
    contest = planned_contest(people=12, rooms=6)
    page = make_page("superintendent")
    for name in ("", "-timetable", "-rooms", "-hall", "-notes", "-fairness", "-sheets"):
        page.goto(address(f"reasons{name}", contest))
        assert_sound_at_every_width(page, name)


def test_planning_from_nothing_with_the_keyboard(make_page):
    contest = reasons_contest(people=8, rooms=2)
    page = make_page("superintendent")
    page.goto(address("reasons", contest))
    page.get_by_role("button", name="Plan").press("Enter")
    expect(page.get_by_role("heading", name="Draft timetable")).to_be_visible()
    assert_sound(page)
    assert not Slot.objects.exists()
    page.get_by_role("button", name="Use this timetable").press("Enter")
    expect(page.get_by_role("heading", name="The timetable is in force")).to_be_visible()
    assert Slot.objects.count() == 16
    page.get_by_role("link", name="The whole timetable").click()
    page.get_by_label("Number").fill("103")
    page.get_by_label("Number").press("Enter")
    expect(page.get_by_role("region", name="Number 103").get_by_role("listitem")).to_have_count(2)
    assert_sound(page)


def test_planning_again_says_who_moves_and_keeps_what_is_typed_wrong(make_page):
    contest = planned_contest(people=8, rooms=2)
    page = make_page("superintendent")
    page.goto(address("reasons", contest))
    page.get_by_label("Who comes later").fill("101 soon")
    page.get_by_role("button", name="Plan again").click()
    expect(page.get_by_text("needs a number and a time")).to_be_visible()
    expect(page.get_by_label("Who comes later")).to_have_value("101 soon")
    page.get_by_label("Who comes later").fill("101 9:30")
    page.get_by_role("button", name="Plan again").click()
    expect(page.get_by_role("heading", name="Who moves")).to_be_visible()
    expect(page.get_by_role("row", name=re.compile("^101 "))).not_to_have_count(0)


def test_a_draft_gets_better_while_one_looks_at_it(make_page, monkeypatch):
    monkeypatch.setattr(search, "first_draft", lambda planning, seconds: planning.draft(in_one_room(planning.task)))
    contest = reasons_contest(people=20, rooms=4)
    page = make_page("superintendent")
    page.goto(address("reasons", contest))
    page.get_by_role("button", name="Plan").click()
    expect(page.get_by_text("Done: there is no better one.")).to_be_visible()
    page.get_by_role("button", name="Use this timetable").click()
    expect(page.get_by_role("heading", name="The timetable is in force")).to_be_visible()
    assert len(set(Slot.objects.values_list("room", flat=True))) == 4


def test_the_waiting_hall_follows_the_rooms(make_page, monkeypatch):
    contest = planned_contest(people=6, rooms=1, classes=(3,))
    room, _ = first_room(contest)
    hall = make_page(None)
    hall.goto(address("reasons-hall", contest))
    expect(hall.locator("[data-clock]")).to_have_text(re.compile(r"^\d\d:\d\d$"))
    first, second, _third, absent = room.slots.order_by("starts_at").values_list("contestant__number", flat=True)[:4]
    expect(hall.locator(".goes-in b")).to_have_text(str(first))
    page, *_ = open_room(make_page, contest)
    page.get_by_role("button", name="Begin").click()
    expect(hall.locator(".speaks b")).to_have_text(str(first))
    expect(hall.locator(".goes-in b")).to_have_text(str(second))
    began = room.slots.get(state="speaking")
    room.slots.filter(pk=began.pk).update(began_at=began.starts_at + timedelta(minutes=10))
    monkeypatch.setattr("reasons.day.hall.minute_now", lambda contest: 9 * 60 + 21)
    mark_no_show(room.slots.get(contestant__number=absent), "test")
    called = hall.locator(".called b")
    expect(called).to_have_text(str(absent))
    expect(hall.locator("h2")).to_contain_text("runs 10 minutes late")
    expect(hall.locator(".goes-in")).to_contain_text("09:22 planned 09:12")
    sizes = hall.locator("#main :is(b, h1, h2, p, dd, span)").evaluate_all(f"all => all.map({FONT_SIZE})")
    largest = called.evaluate(FONT_SIZE)
    assert largest > max(size for size in sizes if size != largest)
    assert_sound(hall)
    hall.set_viewport_size({"width": 360, "height": 740})
    assert_sound(hall)


def test_notes_from_a_phone_reach_the_room_that_may_see_them(make_page):
    contest = planned_contest(people=4, rooms=1, classes=(3,))
    room, _official = first_room(contest)
    room.shows_key = True
    room.save(update_fields=["shows_key"])
    phone = make_page((contest, Duty.OFFICIAL, "Ann"), 360, 740)
    phone.goto(address("reasons-class-notes", contest, 3))
    assert_sound(phone)
    phone.get_by_role("group", name=re.compile("Top pair")).get_by_label("What decided it").fill("Sounder feet")
    phone.get_by_role("button", name="Save the notes").click()
    expect(phone.get_by_text("Sounder feet")).to_be_visible()
    page, *_ = open_room(make_page, contest)
    page.locator(".facts summary").click()
    expect(page.get_by_text("Sounder feet")).to_be_visible()
