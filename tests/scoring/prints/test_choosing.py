"""Whom a document is made for: a team by name, one contestant."""

from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.urls import reverse

from scoring.models import PrintJob
from scoring.prints import jobs
from scoring.prints.choice import Choice, WrongChoice, choice_from
from scoring.prints.choosing import named
from scoring.prints.views import print_shop
from tests.factories import ContestantFactory, a_contest
from tests.scoring.prints.papers import demo, html

pytestmark = pytest.mark.any_database

RECORD = demo().record


@pytest.mark.parametrize(
    ("typed", "teams", "numbers"),
    [
        ("Ockerby Fold", ("Ockerby Fold",), ()),
        ("ockerby", ("Ockerby Fold",), ()),
        ("  zoe LINDQVARN ", (), (102,)),
        ("lindq", (), (102,)),
    ],
)
def test_a_name_or_a_part_that_nobody_else_has_is_enough(typed, teams, numbers):
    assert named(RECORD, typed) == (teams, numbers)


@pytest.mark.parametrize(
    ("typed", "why"),
    [("Nobody Such", "no team and nobody is called “Nobody Such”"), ("o", "“o” may be .* and .* more: type all")],
)
def test_a_name_of_nobody_or_of_several_is_refused_in_words(typed, why):
    with pytest.raises(WrongChoice, match=why):
        named(RECORD, typed)


def test_a_team_is_printed_whole_and_nobody_else():
    team = [person for person in demo().present if person.team == "Ockerby Fold"]
    page = html(demo(), "packets", Choice(teams=("Ockerby Fold",)))
    assert page.count('<section class="packet-page person">') == len(team)
    assert all(person.last_name in page for person in team)
    assert "Cobblewick" not in page


def test_a_team_that_has_nobody_here_prints_nothing_at_all():
    with pytest.raises(WrongChoice, match="nobody of Gone is here"):
        html(demo(), "packets", Choice(teams=("Gone",)))


@pytest.fixture
def contest(db, monkeypatch):
    monkeypatch.setattr(jobs, "go_on", lambda: None)
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "")
    others = [ContestantFactory(number=number, team="Mill End") for number in (201, 202)]
    return a_contest(contestants=(ContestantFactory(number=101), *others), cards=())


def ordered(superintendent, contest, **typed):
    sent = {"submission": str(uuid4()), "paper": "a4", "copies": "1", "documents": ["packets", "results"], **typed}
    return superintendent.post(reverse("prints", args=[contest.pk]), sent)


def test_the_page_takes_a_team_or_a_contestant_by_name_for_what_has_people(superintendent, contest):
    assert ordered(superintendent, contest, whose="mill").status_code == 302
    made = {job.document: choice_from(job.choice) for job in PrintJob.objects.all()}
    assert (made["packets"].teams, made["packets"].numbers) == (("Mill End",), ())
    assert made["results"] == Choice(address=made["results"].address)
    assert "A4; Mill End;" in superintendent.get(reverse("prints", args=[contest.pk])).content.decode()
    last_name = contest.contestants.get(number=202).last_name
    ordered(superintendent, contest, whose=last_name, numbers="101")
    again = PrintJob.objects.filter(document="packets").first()
    assert choice_from(again.choice).numbers == (202, 101)
    assert last_name not in str(again.choice)


def test_a_name_that_is_several_is_said_beside_what_was_typed(superintendent, contest):
    page = ordered(superintendent, contest, whose="Given")
    assert page.status_code == 422
    assert "type all of the name, or the number." in page.content.decode()
    assert not PrintJob.objects.exists()


def test_the_command_takes_names_too(contest, tmp_path):
    out = tmp_path / "packets.html"
    call_command("print", contest.pk, "packets", who=["Mill End"], out=str(out), stdout=StringIO())
    assert out.read_text(encoding="utf-8").count('class="packet-page person"') == 2
