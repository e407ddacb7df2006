"""The list of entries and one entry: what the pages show, what they refuse, and who may use them."""

import json
import re
from dataclasses import asdict

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contest.entries.entered import values_of
from contest.entries.people import make_ineligible, scratch
from contest.models import Contest, Contestant, Duty
from tests.contest.entries.cast import contestant, read, submission, two_divisions
from tests.contest.entries.looking import base, hidden, text

pytestmark = pytest.mark.django_db
PAGES = ("", "add/", "load/", "numbers/", "groups/", "check-in/", "check-in/missing/")
POSTED = (
    "{}/move/",
    "{}/substitute/",
    "{}/state/",
    "{}/ineligible/",
    "{}/remove/",
    "groups/move/",
    "check-in/scratch/",
)


@pytest.mark.parametrize("page", PAGES)
def test_every_page_opens_for_the_superintendent_and_stays_on_no_device(superintendent, contest, page):
    response = superintendent.get(base(contest) + page)
    assert response.status_code == 200
    assert response.headers["Cache-Control"] == "private, no-store"
    assert superintendent.get(f"/contests/999999/entries/{page}").status_code == 404


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("duty", Duty)
def test_helpers_reach_check_in_and_nothing_else(as_helper, contest, page, duty):
    open_to_them = duty == Duty.CHECK_IN and page.startswith("check-in/")
    assert as_helper(contest, duty).get(base(contest) + page).status_code == (200 if open_to_them else 404)


def test_a_check_in_helper_of_another_contest_is_kept_out(as_helper, contest):
    helper = as_helper(two_divisions(), Duty.CHECK_IN)
    assert helper.get(base(contest) + "check-in/").status_code == 404
    assert helper.post(base(contest) + "check-in/", submission(number=101, do="in")).status_code == 404


def test_a_check_in_helper_cannot_scratch_the_missing(as_helper, contest):
    helper = as_helper(contest, Duty.CHECK_IN)
    assert helper.post(base(contest) + "check-in/scratch/", submission(count=5, sure="yes")).status_code == 404
    assert "Scratch all" not in text(helper.get(base(contest) + "check-in/missing/"))
    assert contest.contestants.filter(present=False).count() == 0


@pytest.mark.parametrize("page", PAGES)
def test_strangers_are_sent_to_join(client, contest, page):
    assert client.get(base(contest) + page).status_code == 302


@pytest.mark.parametrize("where", POSTED)
def test_what_changes_something_refuses_get(superintendent, contest, person, where):
    assert superintendent.get(base(contest) + where.format(person.pk)).status_code == 405


def test_the_list_refuses_post(superintendent, contest):
    assert superintendent.post(base(contest), submission()).status_code == 405


@pytest.mark.parametrize("where", POSTED[:5])
def test_an_entry_of_another_contest_is_not_found(superintendent, contest, where):
    other = contestant(two_divisions(), 101)
    fields = submission(shown="{}", do="scratch", reason="x")
    assert superintendent.post(base(contest) + where.format(other.pk), fields).status_code == 404
    assert superintendent.get(f"{base(contest)}{other.pk}/").status_code == 404


def test_the_list_counts_and_shows_states(superintendent, contest):
    scratch(contestant(contest, 101), "super")
    make_ineligible(contestant(contest, 102), "too old", "super")
    page = superintendent.get(base(contest))
    words = text(page)
    assert re.search(r"entered 5 .*teams 2 .*individuals 1 .*expected still 4 .*scratched 1 .*ineligible 1", words)
    assert "Given101x Family101x" in words
    assert "too old" not in words


@pytest.mark.parametrize(
    ("asked", "numbers"),
    [
        ({"division": "JR"}, [104, 105]),
        ({"team": "none"}, [105]),
        ({"state": "scratched"}, [101]),
        ({"state": "waiting"}, [102, 103, 104, 105]),
        ({"state": "nonsense"}, [101, 102, 103, 104, 105]),
        ({"group": "C"}, []),
    ],
)
def test_the_list_is_narrowed(superintendent, contest, asked, numbers):
    scratch(contestant(contest, 101), "super")
    if "division" in asked:
        asked = {"division": contest.divisions.get(code=asked["division"]).pk}
    page = superintendent.get(base(contest), asked).content.decode()
    assert [int(number) for number in re.findall(r'<th scope="row" class="no"><a href="\d+/">(\d+)', page)] == numbers


def test_a_long_list_takes_as_many_queries_as_a_short_one(superintendent, contest):
    def queries():
        superintendent.get(base(contest))
        with CaptureQueriesContext(connection) as captured:
            assert superintendent.get(base(contest)).status_code == 200
        return len(captured)

    few = queries()
    division = contest.divisions.first()
    Contestant.objects.bulk_create(Contestant(contest=contest, number=n, division=division) for n in range(300, 500))
    assert queries() == few <= 10


def test_a_walk_up_is_entered_once(superintendent, contest):
    form = submission(
        number="201",
        first_name="Ngozi",
        last_name="Adelumo",
        division=contest.divisions.get(code="JR").pk,
        team=" Cobblewick ",
        group="",
        hide_name="on",
    )
    for _ in range(2):
        response = superintendent.post(base(contest) + "add/", form)
        made = contestant(contest, 201)
        assert response.url == f"{base(contest)}{made.pk}/"
    assert (made.team.name, made.show_name) == ("Cobblewick", False)
    assert contest.contestants.count() == 6
    assert "201 is entered." in text(superintendent.get(response.url))
    assert "201 is entered." not in text(superintendent.get(response.url))
    reused = superintendent.post(base(contest) + "add/", form | {"number": "202"})
    assert reused.status_code == 422
    assert "sent before with something else" in text(reused)


def test_a_walk_up_that_cannot_be_keeps_what_was_typed(post, contest):
    junior = contest.divisions.get(code="JR").pk
    taken = post("add/", number="101", first_name="Ngozi", last_name="A", division=junior)
    assert taken.status_code == 422
    assert 'value="Ngozi"' in taken.content.decode()
    assert 'id="id_number_error"' in taken.content.decode()
    assert post("add/", number="0", division=junior).status_code == 422
    assert post("add/", number="7", division="999999").status_code == 422
    assert contest.contestants.count() == 5


def test_without_divisions_there_is_nothing_to_enter(superintendent):
    bare = Contest.objects.create(name="Bare")
    for page in ("add/", "load/"):
        assert "no division yet" in text(superintendent.get(base(bare) + page))


def test_a_form_without_its_submission_id_is_refused(superintendent, contest, person):
    assert superintendent.post(f"{base(contest)}{person.pk}/state/", {"do": "scratch"}).status_code == 400
    assert contestant(contest, 101).present


def seen(person):
    return json.dumps(asdict(values_of(person)))


def corrected(person, **fields):
    return {
        "number": person.number,
        "first_name": person.first_name,
        "last_name": person.last_name,
        "group": "",
    } | fields


def test_an_entry_is_corrected(post, contest, person):
    response = post(f"{person.pk}/", shown=seen(person), **corrected(person, group="B"))
    assert response.status_code == 302
    assert contestant(contest, 101).group == "B"


def test_a_correction_that_comes_too_late_shows_both_and_is_made_when_sent_again(post, contest, person):
    old = seen(person)
    post(f"{person.pk}/", shown=old, **corrected(person, group="B"))
    late = post(f"{person.pk}/", shown=old, **corrected(person, group="C"))
    assert late.status_code == 409
    assert re.search(r"Group none B", text(late))
    assert 'name="group" value="C"' in late.content.decode()
    again = post(f"{person.pk}/", shown=hidden(late, "shown"), **corrected(person, group="C"))
    assert again.status_code == 302
    assert contestant(contest, 101).group == "C"


@pytest.mark.parametrize("wrong", ["", "x", "[]", '{"number": 1, "sound": "moo"}', "3"])
def test_a_form_that_does_not_say_what_it_changes_is_refused(post, person, wrong):
    assert post(f"{person.pk}/", shown=wrong, **corrected(person)).status_code == 400


def test_an_entry_is_moved_or_told_why_not(post, contest, person):
    junior = contest.divisions.get(code="JR").pk
    read(contest, 2, 101)
    refused = post(f"{person.pk}/move/", shown=seen(person), division=junior, team="Cobblewick")
    assert refused.status_code == 422
    assert "Something of 101's was read meanwhile" in text(refused)
    assert "Junior : cards of classes 2" in text(refused)
    moved = post(f"{person.pk}/move/", shown=seen(person), division=person.division_id, team="")
    assert moved.status_code == 302
    assert contestant(contest, 101).team is None


def test_a_substitute_takes_the_place_or_is_told_the_way(post, superintendent, contest, person):
    fields = {"instead-first_name": "Ngozi", "instead-last_name": "Adelumo", "shown": seen(person)}
    assert post(f"{person.pk}/substitute/", **fields | {"instead-last_name": ""}).status_code == 422
    assert post(f"{person.pk}/substitute/", **fields).status_code == 302
    assert contestant(contest, 101).last_name == "Adelumo"
    late = post(f"{person.pk}/substitute/", **fields | {"instead-last_name": "Ray"})
    assert late.status_code == 409
    assert "Last name Family101x Adelumo" in text(late)
    assert 'value="Ray"' in late.content.decode()
    read(contest, 1, 101)
    fields["shown"] = seen(contestant(contest, 101))
    assert post(f"{person.pk}/substitute/", **fields).status_code == 422
    page = text(superintendent.get(f"{base(contest)}{person.pk}/"))
    assert "Scratch 101 below, then add the other person under another number" in page


def test_scratching_and_ineligibility_have_their_buttons(post, contest, person):
    assert post(f"{person.pk}/state/", do="scratch").status_code == 302
    late = post(f"{person.pk}/state/", do="scratch")
    assert (late.status_code, "101 is scratched already" in text(late)) == (409, True)
    assert post(f"{person.pk}/state/", do="unscratch").status_code == 302
    assert post(f"{person.pk}/ineligible/", reason=" ").status_code == 422
    assert post(f"{person.pk}/ineligible/", reason="too old").status_code == 302
    assert contestant(contest, 101).ineligible_reason == "too old"
    assert post(f"{person.pk}/state/", do="eligible").status_code == 302
    assert post(f"{person.pk}/state/", do="dance").status_code == 400


def test_an_entry_is_removed_or_told_why_not(superintendent, post, contest, person):
    read(contest, 1, 102)
    other = contestant(contest, 102)
    refused = post(f"{other.pk}/remove/")
    assert (refused.status_code, "scratch them instead" in text(refused)) == (409, True)
    form = submission()
    for _ in range(2):  # the second finds nobody, and is the same change
        response = superintendent.post(f"{base(contest)}{person.pk}/remove/", form)
        assert response.url == base(contest)
    assert not contest.contestants.filter(number=101).exists()
    assert post(f"{person.pk}/remove/").status_code == 404
