"""The front door: what a spectator finds at the bare address, and links that are opened before their time."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from contest.models import Contest
from scoring.board.queue import queue_lists
from scoring.models import TakeHomeLink
from scoring.results.links import make_links
from tests.factories import RulesFactory, a_contest
from tests.pages import html_in
from tests.reasons.day.cast import planned_contest
from tests.scoring.board.cast import OVERALL, go
from tests.scoring.results.cast import ready, release

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def at(address):
    return html_in(Client().get(address, follow=True))


def of_today(contest):
    Contest.objects.filter(pk=contest.pk).update(held_on=timezone.localdate())
    return Contest.objects.get(pk=contest.pk)


def a_draft():
    return a_contest(
        rules=RulesFactory(name="Next year's secret plans", held_on=timezone.localdate() + timedelta(days=40)), cards=()
    )


def test_a_stranger_sees_todays_contest_and_only_then_the_way_in_for_helpers():
    contest = of_today(planned_contest(people=4))
    earlier = a_contest(rules=RulesFactory(name="A contest of last month"))
    page = at("/")
    for name in ("/board/{}/", "/contests/{}/reasons/hall/", "/contests/{}/reasons/timetable/", "/results/{}/"):
        assert f'href="{name.format(contest.pk)}"' in page
    assert "after the ceremony" in page
    assert page.index("Waiting hall") < page.index("I help here")
    assert earlier.name not in page
    assert Client().get("/board/").url == f"/board/{contest.pk}/"


def test_with_results_out_it_searches_every_list_for_a_number_or_a_team():
    contest = of_today(ready())
    release(contest)
    page = at("/")
    assert f'action="/results/{contest.pk}/find/"' in page
    assert "after the ceremony" not in page
    number = at(f"/results/{contest.pk}/find/?find=103")
    for title in ("Overall", "Placing", "Reasons"):
        assert f"Senior, {title}, individuals" in number
    assert "103 Given103x Family103x" in number
    assert "101" not in number
    team = at(f"/results/{contest.pk}/find/?find=otztal")
    assert "Senior, Overall, teams" in team
    assert "103 Given103x" in team
    assert "Barley Hill" not in team
    assert "No number and no team" in at(f"/results/{contest.pk}/find/?find=Given103x")


def test_a_link_before_its_time_says_after_the_ceremony_and_not_mistyped():
    contest = ready()
    queue_lists(contest, [OVERALL], 10, "Sue")
    release(contest)
    make_links(contest, "Sue")
    go(contest, "begin", "next")
    token = TakeHomeLink.objects.filter(contest=contest).first().token
    pages = [f"/results/{contest.pk}/", f"/results/{contest.pk}/SR/overall/", f"/results/{contest.pk}/find/?find=103"]
    for address in [*pages, f"/public/{contest.pk}/classes/1/", f"/home/{token}/"]:
        page = at(address)
        assert "They will be here after the ceremony." in page, address
        assert "141.01" not in page
        assert "Given103x" not in page
    assert Client().get(f"/home/{token}x/").status_code == 404


def test_drafts_are_nobodys_business(superintendent):
    contest = a_contest()
    draft = a_draft()
    assert Client().get("/board/").url == f"/board/{contest.pk}/"
    assert draft.name not in at("/")
    for address in (f"/board/{draft.pk}/", f"/contests/{draft.pk}/reasons/hall/", f"/results/{draft.pk}/"):
        assert "secret plans" not in at(address), address
    assert Client().get(f"/board/{draft.pk}/").status_code == 404
    assert superintendent.get(f"/board/{draft.pk}/").status_code == 200


def test_without_any_contest_it_says_so():
    page = at("/")
    assert "No contest today" in page
    assert "I help here" in page
