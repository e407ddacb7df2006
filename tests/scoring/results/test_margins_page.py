"""The cards that decide: told before a release, and read once more without showing what was read."""

import re
from collections import OrderedDict

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from contest.models import Contest, Duty, Reading, State
from contest.models import ReasonsScore as ScoreRow
from contest.records.tallying import tallied
from contest.slips.cards import CardSlip
from contest.slips.reading import decide, set_aside
from reasons.scores.officials import add_official
from scoring.core.fields import Field
from scoring.core.margins import margins_of
from scoring.results import closeness
from scoring.results.readings import looked_at, looked_at_by_now
from tests.pages import html_in
from tests.scoring.results.cast import PLACINGS, read, ready, the_class
from tests.slips import read_reasons

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    """Every card read by Ann and by Ben alike."""
    contest = ready(cards=())
    for number, placings in PLACINGS.items():
        for class_number, placing in enumerate(placings, start=1):
            for by in ("Ann", "Ben"):
                read(contest, class_number, number, placing, by)
    return Contest.objects.get(pk=contest.pk)


def page(client, contest, **asked):
    return html_in(client.get(reverse("results-margins", args=[contest.pk]), asked))


def test_every_award_has_its_margin_and_what_decides_it(superintendent, contest):
    text = page(superintendent, contest)
    assert re.search(r"Senior, Overall</?[^>]*>?: 101, place 1|Senior, Overall: 101, place 1", text)
    assert "by 0.5 points" in text or "points</strong>" in text
    assert "published: typed twice, and compared" in text
    assert "Of 8 that two people read here, their readings differed on 0" in text
    again = re.findall(r'href="([^"]*/desk/classes/1/loose/\?again=[0-9-]+)"', text)
    assert again


def test_the_page_of_results_asks_for_the_closest_by_itself(superintendent, contest):
    results = html_in(superintendent.get(reverse("results", args=[contest.pk])))
    assert f'hx-get="{reverse("results-margins", args=[contest.pk])}"' in results
    part = html_in(superintendent.get(reverse("results-margins", args=[contest.pk]), headers={"HX-Request": "true"}))
    assert "<html" not in part
    assert "The chance that one changed a first place:" in part


def test_nobody_else_sees_it(as_helper, client, contest):
    address = reverse("results-margins", args=[contest.pk])
    for who in (client, as_helper(contest, Duty.TABULATOR, "Ann"), as_helper(contest, Duty.REASONS, "Bob")):
        assert who.get(address).status_code in (302, 404)


def test_the_desk_asks_for_those_cards_alone_and_shows_nothing_of_what_was_read(as_helper, contest):
    address = reverse("desk-loose", args=[contest.pk, 1]) + "?again=101-103"
    cleo = as_helper(contest, Duty.TABULATOR, "Cleo")
    shown = cleo.get(address)
    assert "class 1, cards to read once more" in html_in(shown).lower()
    assert shown.context["page"]["expected"] == [101, 103]
    assert not shown.context["page"]["loose"]
    assert not any(placing in html_in(shown) for placing in ("3142", "1324"))
    left = cleo.get(shown.context["page"]["addresses"]["expected"])
    assert (left.json()["numbers"], left.json()["next"]) == ([101, 103], None)
    ann = as_helper(contest, Duty.TABULATOR, "Ann").get(address).context["page"]
    assert (ann["expected"], ann["done"]) == ([], [101, 103])
    for nonsense in ("?again=x", "?again=", "?again=-1-99999999999"):
        assert cleo.get(reverse("desk-loose", args=[contest.pk, 1]) + nonsense).status_code == 200


def test_what_is_read_once_more_is_sure_and_what_differs_is_a_doubt(superintendent, contest):
    card = Field("class:1", 101)
    assert card not in looked_at(contest).sure
    read(contest, 1, 101, "3124", "Cleo")
    assert looked_at(contest).sure == {card}
    read(contest, 1, 102, "3124", "Cleo")
    assert CardSlip.of_number(the_class(contest, 1), 102).result().state == State.DOUBT
    assert looked_at(contest).sure == {card}
    page(superintendent, contest)


def test_a_decision_is_sure_and_whoever_read_it_twice_is_not_somebody_else(contest):
    read(contest, 1, 101, "3124", "ann")
    assert not looked_at(contest).sure
    decide(CardSlip.of_number(the_class(contest, 1), 103), "3142", "Sue", "as the card says")
    assert looked_at(contest).sure == {Field("class:1", 103)}


def test_differences_are_counted_between_the_first_two_people(contest):
    read(contest, 2, 103, "4231", "Cleo")
    compared = looked_at(contest).compared
    assert (compared.both, compared.differed) == (8, 0)
    Reading.objects.filter(by="Ben", judging_class__number=1, number=104).update(placing="2431")
    compared = looked_at(contest).compared
    assert (compared.both, compared.differed, compared.rate) == (8, 1, 1 / 16)
    low, high = compared.interval
    assert 0 < low < compared.rate < high < 0.5


def test_after_a_card_was_read_no_more_than_that_card_is_looked_at_again(contest):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            now = Contest.objects.get(pk=contest.pk)
            looked = looked_at_by_now(now)
        assert looked == looked_at(now)
        return [query for query in queries if "reasonsreading" in query["sql"]]

    assert asked()
    read(contest, 1, 101, "3124", "Cleo")
    read(contest, 2, 103, "4231", "Cleo")
    assert not asked()
    set_aside(Reading.objects.latest("pk"), "Sue", "the wrong card")
    assert not asked()
    official = add_official(contest, "A", "test")
    read_reasons(the_class(contest, 1), official, contest.contestants.get(number=101), 4000, "Ann")
    assert asked()


def test_a_reading_that_agrees_has_nothing_worked_out_again(contest, monkeypatch):
    asked = []

    def counted(record, *more):
        asked.append(record)
        return margins_of(record, *more)

    monkeypatch.setattr(closeness, "margins_of", counted)
    monkeypatch.setattr(closeness, "_kept", OrderedDict())  # another test may have made the same contest

    def now():
        fresh = Contest.objects.get(pk=contest.pk)
        return fresh, tallied(fresh)

    first = closeness.close_awards(*now())
    read(contest, 1, 101, "3124", "Cleo")
    second = closeness.close_awards(*now())
    assert (len(asked), second.margins) == (1, first.margins)
    assert second.looked.sure - first.looked.sure == {Field("class:1", 101)}
    decide(CardSlip.of_number(the_class(contest, 1), 101), "4321", "Sue", "as the card says")
    third = closeness.close_awards(*now())
    assert len(asked) == 2
    assert third.margins != first.margins


def test_what_two_people_read_of_a_reasons_score_counts_too(superintendent, contest):
    official = add_official(contest, "A", "test")
    ScoreRow.objects.filter(official=official).delete()
    for by in ("Ann", "Ben", "Cleo"):
        read_reasons(the_class(contest, 1), official, contest.contestants.get(number=101), 4000, by)
    looked = looked_at(contest)
    assert looked.compared.both == 9
    assert Field("reasons:1", 101, official="A") in looked.sure
    sheet = superintendent.get(reverse("scores-reasons-sheet", args=[contest.pk, 1, official.pk]) + "?again=101-102")
    assert sheet.context["page"]["expected"] == [101, 102]


def test_nothing_is_known_where_nobody_read_a_card_twice(superintendent):
    assert "No card or score was read by two people" in page(superintendent, ready(cards=()))
