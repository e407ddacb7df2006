"""What looks mixed up: on the page of doubts and the checklist, mended by one press, waved through, and undone."""

import re
from dataclasses import replace

import numpy as np
import pytest

from contest.keys import hand_in_key
from contest.models import Card, Reading, State, WavedMixup
from contest.records import save_record
from contest.records.tallying import tallied
from contest.slips.mixups import count_at_last_look, open_findings
from scoring.results.checklist import checklist
from tests.bench.mixups import simulate
from tests.pages import body

pytestmark = pytest.mark.django_db

CLEAN = simulate.contest(
    np.random.default_rng(7), simulate.Crowd(people=30, classes=6, mean=45, agrees=True, in_group=10)
)


def contest_with(spoil=None, seed=3):
    record = spoil(np.random.default_rng(seed), CLEAN)[0] if spoil else CLEAN
    return save_record(record, by="test")


def doubts(superintendent, contest):
    return body(superintendent.get(f"/contests/{contest.pk}/watch/doubts/"))


def first_form(page):
    """What the form of the first finding sends."""
    form = page.split('<form class="notice mixup"', 1)[1].split("</form>", 1)[0]
    return dict(re.findall(r'<input type="hidden" name="(mixup|shown|submission)" value="([^"]+)"', form))


def press(superintendent, contest, act, **fields):
    """Press a button of the first finding, as the page of doubts sends it, and return the page that follows."""
    sent = first_form(doubts(superintendent, contest))
    address = f"/contests/{contest.pk}/watch/doubts/mixed-up/"
    return superintendent.post(address, {**sent, "act": act, **fields}, follow=True)


def undo(superintendent, contest, response):
    did = re.search(r'name="did" value="([^"]+)"', body(response))[1]
    submission = re.search(r'name="submission" value="([^"]+)"', body(response))[1]
    address = f"/contests/{contest.pk}/watch/doubts/undo/"
    return superintendent.post(address, {"did": did, "submission": submission, "back": "doubts"}, follow=True)


def findings(contest):
    contest.refresh_from_db()
    return [str(finding.line) for finding in open_findings(contest)]


def cards(contest):
    return {
        (judged, number): placing
        for judged, number, placing in Card.objects.filter(judging_class__contest=contest).values_list(
            "judging_class__number", "contestant__number", "placing"
        )
    }


RIGHT = {(card.class_number, card.number): card.placing for card in CLEAN.cards}


def test_nothing_is_told_of_a_contest_with_nothing_wrong(superintendent):
    contest = contest_with()
    assert "Looks mixed up" not in doubts(superintendent, contest)
    assert "Nothing waits for you." in doubts(superintendent, contest)


def test_a_stack_upside_down_is_turned_by_one_press_and_turned_back_by_another(superintendent):
    contest = contest_with(simulate.upside_down)
    page = doubts(superintendent, contest)
    line = r"Class \d, group [ABC]: the 10 cards fit better from last to first, \d+ against \d+ points\."
    assert re.search(line, page)
    assert "Nothing waits for you." not in page
    assert count_at_last_look(contest) == 1
    wrong = cards(contest)
    response = press(superintendent, contest, "turn")
    assert "✓ Done." in body(response)
    assert cards(contest) == RIGHT
    assert set(Card.objects.values_list("state", flat=True)) == {State.SETTLED}
    assert findings(contest) == []
    assert contest.trail.filter(what="card_read").exists()
    undo(superintendent, contest, response)
    assert cards(contest) == wrong
    assert len(findings(contest)) == 1


def test_stacks_are_exchanged_and_each_reading_stays_its_readers(superintendent):
    contest = contest_with(simulate.stacks_swapped)
    (line,) = findings(contest)
    assert re.match(
        r"Group [ABC]: the 10 cards read as class \d and the 10 read as class \d fit better the other", line
    )
    wrong, readers = cards(contest), sorted(Reading.objects.filter(withdrawn_at=None).values_list("by", "number"))
    response = press(superintendent, contest, "exchange")
    assert cards(contest) == RIGHT
    assert sorted(Reading.objects.filter(withdrawn_at=None).values_list("by", "number")) == readers
    assert findings(contest) == []
    undo(superintendent, contest, response)
    assert cards(contest) == wrong


def test_a_key_is_typed_again_and_then_nothing_is_told(superintendent):
    contest = contest_with(simulate.key_reversed)
    (finding,) = open_findings(contest)
    (number,) = finding.mixup.classes
    page = doubts(superintendent, contest)
    assert f'href="/contests/{contest.pk}/watch/keys/{number}/"' in page
    assert f"Key class {number} again" in page
    assert press(superintendent, contest, "key").status_code == 409
    judged, right = contest.classes.get(number=number), CLEAN.classes[number - 1]
    hand_in_key(judged, right.official, right.cuts, "Ben", "typed from last to first")
    assert findings(contest) == []


def test_two_classes_whose_keys_were_typed_for_each_other_lead_to_both_keys(superintendent):
    contest = contest_with(simulate.classes_swapped)
    (finding,) = open_findings(contest)
    assert finding.mixup.kind == "classes"
    for number in finding.mixup.classes:
        assert f"Key class {number} again" in doubts(superintendent, contest)


def test_it_is_waved_through_for_a_reason_that_the_trail_keeps_and_that_can_be_undone(superintendent):
    contest = contest_with(simulate.upside_down)
    assert press(superintendent, contest, "wave", quick="made up").status_code == 422
    quick = "the papers were looked at, and they are right"
    response = press(superintendent, contest, "wave", quick=quick, reason="Sue and Ben looked at every paper")
    assert WavedMixup.objects.get().reason == "Sue and Ben looked at every paper"
    assert "What looked mixed up stays as it is." in body(response)
    assert findings(contest) == []
    assert contest.trail.filter(what="mixup_waved").count() == 1
    assert [item for item in checklist(contest, tallied(contest)) if item.finding] == []
    undo(superintendent, contest, response)
    assert not WavedMixup.objects.exists()
    assert len(findings(contest)) == 1


def test_whoever_presses_after_the_cards_changed_is_told_and_nothing_is_done(superintendent):
    contest = contest_with(simulate.upside_down)
    sent = first_form(doubts(superintendent, contest))
    address = f"/contests/{contest.pk}/watch/doubts/mixed-up/"
    press(superintendent, contest, "turn")
    response = superintendent.post(address, {**sent, "act": "turn", "submission": "5" * 32})
    assert "say something else now" in body(response, 409)
    assert cards(contest) == RIGHT


def test_the_checklist_tells_it_with_the_same_press_and_it_blocks_without_a_reason(superintendent):
    contest = contest_with(simulate.upside_down)
    (item,) = (item for item in checklist(contest, tallied(contest)) if item.finding)
    page = body(superintendent.get(f"/contests/{contest.pk}/results/"))
    anchor = item.finding.anchor
    assert f'form="{anchor}" name="act" value="turn">Turn the stack</button>' in page
    assert f'<form id="{anchor}" method="post"' in page
    assert f'id="reason-{item.key}"' in page
    assert item.address.endswith(f"/watch/doubts/#{anchor}")


def test_the_cards_that_lay_upside_down_within_a_stack_are_turned_and_no_others(superintendent):
    contest = contest_with(lambda rng, record: simulate.some_upside_down(rng, record, 0.6))
    (finding,) = open_findings(contest)
    assert finding.mixup.kind == "some"
    assert f"Turn these {len(finding.mixup.numbers)} cards" in doubts(superintendent, contest)
    wrong, (number,) = cards(contest), finding.mixup.classes
    press(superintendent, contest, "turn")
    turned = {card for card, placing in cards(contest).items() if placing != wrong[card]}
    assert turned == {(number, who) for who in finding.mixup.numbers}


def test_a_stack_of_a_class_that_is_not_read_yet_is_given_to_it(superintendent):
    group = {person.number for person in CLEAN.contestants if person.group == "A"}
    others = [card for card in CLEAN.cards if card.number not in group or card.class_number not in (1, 3)]
    astray = [card._replace(class_number=1) for card in CLEAN.cards if card.number in group and card.class_number == 3]
    contest = save_record(replace(CLEAN, cards=(*others, *astray)), by="test")
    assert "Give them to class 3" in doubts(superintendent, contest)
    press(superintendent, contest, "exchange")
    assert cards(contest) == {card: placing for card, placing in RIGHT.items() if card[1] not in group or card[0] != 1}
    assert findings(contest) == []
