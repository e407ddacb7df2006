"""Printing only what says something else than when a file of it was made last."""

import re
from dataclasses import replace
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from contest.models import Contestant
from contest.privacy.anonymising import anonymise
from scoring.models import LastPrints
from scoring.prints import jobs
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice, WrongChoice
from scoring.prints.rendering import html_of
from tests.factories import a_contest
from tests.scoring.prints.papers import demo, material_of
from tests.waiting import eventually

CHANGED = [name for name, document in DOCUMENTS.items() if "changed" in document.asks]


def made(material, document, **choice):
    return html_of(DOCUMENTS[document], material, Choice(**choice))


def after(material, before):
    """The material when a file of all that was made."""
    return replace(material, printed=before.said)


def numbers_in(page, pattern):
    return {int(number) for number in re.findall(pattern, page)}


def renamed(number):
    record = demo().record
    people = tuple(p._replace(first_name="Newly") if p.number == number else p for p in record.contestants)
    return material_of(replace(record, contestants=people))


@pytest.mark.parametrize("document", CHANGED)
def test_nothing_is_printed_twice_that_says_the_same(document):
    material = demo()
    before = made(material, document)
    with pytest.raises(WrongChoice, match="nothing on it has changed since a file of it was made last"):
        made(after(material, before), document, changed=True)
    later = replace(after(material, before), revision=99)  # the foot alone
    with pytest.raises(WrongChoice):
        made(later, document, changed=True)
    assert made(material, document, changed=True).said == before.said  # never made: all of it
    assert made(after(material, before), document).said == before.said  # not asked: all of it


def test_a_name_changes_its_own_packet_and_its_team_s_page_alone():
    before = made(demo(), "packets")
    now = made(after(renamed(102), before), "packets", changed=True)
    assert set(now.said) == {"102", "JR/Cobblewick"}
    assert numbers_in(now.html, r'data-part="Cobblewick, (\d+)"') == {102}
    assert now.html.count('<section class="packet-page">') == 1


def test_a_packet_changes_with_the_mean_and_places_on_it():
    record = demo().record
    card = next(card for card in record.cards if card.number == 102 and card.class_number == 1)
    cards = tuple(c._replace(placing=c.placing[::-1]) if c is card else c for c in record.cards)
    before = made(demo(), "packets")
    now = made(after(material_of(replace(record, cards=cards)), before), "packets", changed=True)
    juniors = {str(p.number) for p in demo().present if p.division == "JR"}
    assert "102" in now.said and set(now.said) >= juniors
    assert not any(f"{p.number}" in now.said for p in demo().present if p.division == "SR")


def test_a_card_changes_with_its_class_and_not_with_a_name_that_it_does_not_bear():
    before = made(demo(), "placing-cards")
    with pytest.raises(WrongChoice):
        made(after(renamed(102), before), "placing-cards", changed=True)
    record = demo().record
    classes = (replace(record.classes[0], name="Another name"), *record.classes[1:])
    now = made(after(material_of(replace(record, classes=classes)), before), "placing-cards", changed=True)
    assert {key.partition("/")[2] for key in now.said} == {str(record.classes[0].number)}


def test_what_was_provisional_is_printed_again_once_it_is_released():
    before = made(demo(), "award-sheets")
    released = replace(after(demo(), before), released=1)
    assert made(released, "award-sheets", changed=True).said.keys() == before.said.keys()


@pytest.mark.django_db(transaction=True)
def test_files_of_the_shop_and_of_the_command_are_remembered_and_forgotten_with_the_names(tmp_path):
    contest = a_contest()
    job = jobs.order_job(contest, DOCUMENTS["packets"], Choice(numbers=(101,)), "Sue")
    jobs.go_on()
    eventually(lambda: jobs.line.is_idle)
    job.refresh_from_db()
    assert job.state == "done", job.problem
    out = tmp_path / "p.html"
    call_command("print", contest.pk, "packets", changed=True, out=str(out), stdout=StringIO())
    page = out.read_text(encoding="utf-8")
    assert "Given102x" in page and 'data-part="Barley Hill, 101"' not in page
    with pytest.raises(CommandError, match="nothing on it has changed"):
        call_command("print", contest.pk, "packets", changed=True, out=str(out), stdout=StringIO())
    assert "Given" not in str(LastPrints.objects.get().sheets)
    Contestant.objects.filter(contest=contest, number=101).update(first_name="Other")
    anonymise(contest, "Sue")
    assert not LastPrints.objects.exists()
