"""On to the next level: who goes by which list, who declines, the file of their entries and the paper."""

import pytest
from django.urls import reverse

from contest.models import Contest, Duty
from scoring.core.going_on import Wanted
from scoring.next_level.choosing import choice_of, decline, set_list
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from tests.pages import html_in
from tests.scoring.results.cast import ready, release
from tests.trails import trail_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

PLACES = {"list": "SR/overall/individuals", "places": "2", "alternates": "1"}


@pytest.fixture
def contest():
    made = ready()
    release(made)
    return Contest.objects.get(pk=made.pk)


def sent(client, contest, name, data, *args, follow=True):
    from uuid import uuid4

    address = reverse(name, args=[contest.pk, *args])
    return client.post(address, {"submission": str(uuid4()), **data}, follow=follow)


def going(contest):
    return [row.who for chosen in choice_of(contest).chosen for row in chosen.rows if row.state == "goes"]


def test_lists_are_chosen_and_the_first_go_with_those_who_stand_in(superintendent, contest):
    page = html_in(sent(superintendent, contest, "next-level-set", PLACES))
    assert "goes" in page
    assert "alternate 1" in page
    assert "2 contestants go on" in page
    assert "Given104x" in page or "Given101x" in page


def test_who_declines_is_passed_over_for_a_reason_and_comes_after_all(superintendent, contest):
    sent(superintendent, contest, "next-level-set", PLACES)
    first, second = going(contest)
    page = html_in(
        sent(
            superintendent,
            contest,
            "next-level-decline",
            {"kind": "individuals", "division": "SR", "who": str(first), "reason": "a wedding that day"},
        )
    )
    assert "does not go" in page
    assert "a wedding that day" in page
    assert "goes, moved up" in page
    assert going(contest)[0] == second
    assert trail_of(contest)[-1].what == f"next level: contestant {first} does not go"
    row = choice_of(contest).not_coming[0].pk
    sent(superintendent, contest, "next-level-comes", {}, row)
    assert going(contest) == [first, second]


def test_declining_needs_a_reason_and_can_be_taken_back(superintendent, contest):
    sent(superintendent, contest, "next-level-set", PLACES)
    who = {"kind": "individuals", "division": "SR", "who": str(going(contest)[0])}
    assert sent(superintendent, contest, "next-level-decline", {**who, "reason": " "}).status_code == 422
    before = going(contest)
    sent(superintendent, contest, "next-level-decline", {**who, "reason": "ill"})
    contest.refresh_from_db()
    sent(superintendent, contest, "take-back-change", {"sure": "yes"}, contest.revision)
    assert going(contest) == before


def test_nothing_is_told_before_the_release_and_nobody_else_sees_it(superintendent, as_helper, client):
    contest = ready()
    sent(superintendent, contest, "next-level-set", PLACES)
    page = html_in(superintendent.get(reverse("next-level", args=[contest.pk])))
    assert "once the results are released" in page
    assert "Given101x" not in page
    assert sent(superintendent, contest, "next-level-file", {}).status_code == 409
    for who in (client, as_helper(contest, Duty.ANNOUNCER, "Ann")):
        assert who.get(reverse("next-level", args=[contest.pk])).status_code in (302, 404)
        assert sent(who, contest, "next-level-file", {}, follow=False).status_code in (302, 404)


def test_the_file_names_those_who_go_and_nobody_else_and_keeps_what_families_wish(superintendent, contest):
    set_list(contest, Wanted("SR", "overall", "teams", 1), "Sue")
    set_list(contest, Wanted("SR", "overall", "individuals", 1, 1, besides_teams=True), "Sue")
    response = sent(superintendent, contest, "next-level-file", {"came_from": "Perry"})
    lines = response.content.decode("utf-8-sig").splitlines()
    assert lines[0] == "number,division,team,first_name,last_name,role,show_name,came_from"
    teams = {line.split(",")[2] for line in lines[1:]}
    assert len(lines) == 4
    assert teams == {going(contest)[0], ""}
    assert all(line.endswith(",Perry") for line in lines[1:])
    assert [line.split(",")[6] for line in lines if line.startswith("104,")] in ([], ["no"])
    assert "no-store" in response["Cache-Control"]


def test_a_member_who_declines_is_in_no_file(contest):
    set_list(contest, Wanted("SR", "overall", "teams", 2), "Sue")
    decline(contest, "individuals", "SR", "101", "ill", "Sue")
    assert [person.number for person in choice_of(contest).people if person.number == 101] == []
    assert {person.number for person in choice_of(contest).people} == {102, 103, 104}


def test_the_paper_names_nobody_whose_family_says_no_and_tells_no_reason(contest):
    set_list(contest, Wanted("SR", "overall", "individuals", 3, 1), "Sue")
    decline(contest, "individuals", "SR", "102", "a wedding that day", "Sue")
    document = DOCUMENTS["next-level"]
    html, _pages, _said = html_of(document, gather_material(contest.pk, document), Choice())
    assert "Given101x" in html
    assert "104" in html
    assert "Given104x" not in html
    assert "does not go" in html
    assert "wedding" not in html
