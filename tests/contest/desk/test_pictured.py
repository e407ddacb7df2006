"""Stacks of scanned cards: their pictures in the place of paper, and not a word of what the scanner read."""

import pytest
from django.urls import reverse

from contest.scanning import working
from contest.scanning.reader import Trouble
from contest.scanning.rules import change_rules
from tests.contest.scanning.cards import scanned, seen
from tests.factories import RulesFactory, a_contest, people

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    made = a_contest(rules=RulesFactory(readings_per_card=2), contestants=people(4), cards=())
    change_rules(made, "Sue", on=True)
    return made


def desk(client, contest, **asked):
    return client.get(reverse("desk-stack", args=[contest.pk, 1]), {"group": "", **asked})


def test_the_page_of_a_stack_has_the_pictures_and_not_what_the_scanner_read(contest, superintendent):
    first, second = scanned(contest, seen(contest, 101, "3412"), seen(contest, 103, "4312"))
    answer = desk(superintendent, contest)
    pictures = answer.context["page"]["pictures"]
    assert pictures == {
        n: [reverse("scanning-picture", args=[contest.pk, card.pk])] for n, card in ((101, first), (103, second))
    }
    assert answer.context["page"]["expected"] == [101, 102, 103, 104]
    assert "3412" not in answer.text
    assert "4312" not in answer.text


def test_what_waits_for_a_person_or_was_put_aside_is_not_shown_here(contest, superintendent):
    waits, aside = scanned(
        contest, seen(contest, 101, troubles=[Trouble.FAINT]), seen(contest, 102, troubles=[Trouble.FAINT])
    )
    working.put_aside(aside, "Ann", "no card there")
    assert desk(superintendent, contest).context["page"]["pictures"] == {}
    assert 'id="pictures"' not in desk(superintendent, contest).text
    working.read(waits, working.Typed(""), "Ann")
    assert list(desk(superintendent, contest).context["page"]["pictures"]) == [101]


def test_the_pictures_are_of_the_stack_alone(contest, superintendent):
    contest.contestants.filter(number__in=(102, 103)).update(group="B")
    scanned(contest, *(seen(contest, number) for number in (101, 102, 103)))
    assert list(desk(superintendent, contest, group="B").context["page"]["pictures"]) == [102, 103]
    loose = superintendent.get(reverse("desk-loose", args=[contest.pk, 1]))
    assert loose.context["page"]["pictures"] == {}
    again = superintendent.get(reverse("desk-loose", args=[contest.pk, 1]), {"again": "103"})
    assert list(again.context["page"]["pictures"]) == [103]
