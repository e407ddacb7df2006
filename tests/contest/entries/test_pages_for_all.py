"""The pages for everybody at once: numbers, groups, and check-in."""

import re

import pytest

from contest.entries import arrivals
from contest.models import Contest, Duty
from tests.contest.entries.cast import contestant, read, submission
from tests.contest.entries.looking import base, hidden, text
from tests.trails import last_of

pytestmark = pytest.mark.django_db
NUMBERS = {"how": "by-team", "start": 201, "step": 10, "lowest": 500, "highest": 599}


def test_numbers_are_shown_and_given_when_confirmed(post, contest):
    shown = post("numbers/", **NUMBERS)
    assert "5 of 5 change" in text(shown)
    assert contestant(contest, 101)
    response = post("numbers/", **NUMBERS, save="yes", shown=hidden(shown, "shown"), seed="")
    assert response.status_code == 302
    assert sorted(contest.contestants.values_list("number", flat=True)) == [201, 202, 203, 211, 221]


def test_a_draw_is_given_as_it_was_shown_and_the_seed_stands_in_no_address(post, contest):
    form = NUMBERS | {"how": "at-random"}
    shown = post("numbers/", **form)
    drawn = re.findall(r'data-label="new">(\d+)</th>', shown.content.decode())
    response = post("numbers/", **form, save="yes", shown=hidden(shown, "shown"), seed=hidden(shown, "seed"))
    assert response.url == base(contest)
    assert sorted(contest.contestants.values_list("number", flat=True)) == sorted(map(int, drawn))


def test_numbers_that_cannot_be_say_why(post, contest):
    small = post("numbers/", **NUMBERS | {"how": "at-random", "lowest": 1, "highest": 3})
    assert (small.status_code, "there are 3 numbers for 5 contestants" in text(small)) == (422, True)
    assert post("numbers/", **NUMBERS | {"start": "x"}).status_code == 422
    assert post("numbers/", **NUMBERS, save="yes", shown="other").status_code == 409


def test_numbers_are_closed_once_something_was_read(superintendent, post, contest):
    shown = post("numbers/", **NUMBERS)
    read(contest, 1, 101)
    late = post("numbers/", **NUMBERS, save="yes", shown=hidden(shown, "shown"))
    assert late.status_code == 409
    assert "numbers stay as they are" in text(late)
    assert "<form method" not in superintendent.get(base(contest) + "numbers/").content.decode().split("<main")[1]


def test_groups_are_shown_and_dealt_when_confirmed(superintendent, post, contest):
    assert "Nobody is in a group yet" in text(superintendent.get(base(contest) + "groups/"))
    shown = post("groups/deal/", count=3)
    assert "5 contestants change group. No team-mates share a group." in text(shown)
    assert post("groups/deal/", count=3, save="yes", shown="other").status_code == 409
    assert post("groups/deal/", count=3, save="yes", shown=hidden(shown, "shown")).status_code == 302
    page = text(superintendent.get(base(contest) + "groups/"))
    assert re.search(r"Round A B C 1 1 2 3 2 2 3 1 3 3 1 2", page)
    assert "never from behind" in page
    assert "Family101x" not in page
    assert post("groups/deal/", count=0).status_code == 422
    assert superintendent.get(base(contest) + "groups/deal/").url == base(contest) + "groups/"


def test_the_rotation_has_times_and_waits_where_there_are_more_groups_than_classes(superintendent, post, contest):
    Contest.objects.filter(pk=contest.pk).update(starts_at="09:00", minutes_per_class=15)
    shown = post("groups/deal/", count=4)
    post("groups/deal/", count=4, save="yes", shown=hidden(shown, "shown"))
    page = text(superintendent.get(base(contest) + "groups/"))
    assert "1 09:00–09:15 1 2 3 wait" in page
    assert "Group D 1 contestant; waits first" in page


def test_one_contestant_is_moved_to_another_group(post, contest):
    assert post("groups/move/", **{"move-number": 101, "move-group": "B"}).status_code == 302
    assert contestant(contest, 101).group == "B"
    unknown = post("groups/move/", **{"move-number": 999, "move-group": "B"})
    assert (unknown.status_code, "Nobody has number 999" in text(unknown)) == (422, True)


def test_a_helper_checks_in_by_number_and_takes_it_back(as_helper, contest):
    helper = as_helper(contest, Duty.CHECK_IN, "Ann")
    page = base(contest) + "check-in/"
    assert "0 of 5 have arrived" in text(helper.get(page))
    found = text(helper.get(page, {"number": "101"}))
    assert "101 Given101x Family101x Barley Hill , Senior Check in 101" in found
    form = submission(number=101, do="in")
    for _ in range(2):
        assert helper.post(page, form).url == page + "?done=101"
    assert "Checked in" in text(helper.get(page + "?done=101"))
    assert last_of(contest).by == "Ann"
    already = helper.post(page, submission(number=101, do="in"))
    assert (already.status_code, "Already in, since" in text(already)) == (409, True)
    helper.post(page, submission(number=101, do="undo"))
    assert contestant(contest, 101).checked_in_at is None
    assert "Not arrived any more" in text(helper.get(page + "?done=101"))


@pytest.mark.parametrize("number", ["999", "moo", "99999999999", "²"])
def test_a_number_that_is_nobodys_says_so(superintendent, contest, number):
    said = text(superintendent.get(base(contest) + "check-in/", {"number": number}))
    assert (f"Nobody has number {number}" if number.isdecimal() else f"called {number}") in said


def test_check_in_refuses_what_is_no_check_in(post):
    assert post("check-in/", number="999", do="in").status_code == 422
    assert post("check-in/", number="moo", do="in").status_code == 400
    assert post("check-in/", number="101", do="dance").status_code == 400


def test_all_who_have_not_come_are_scratched_when_sure(superintendent, post, contest):
    post("check-in/", number=101, do="in")
    page = text(superintendent.get(base(contest) + "check-in/missing/"))
    assert "4 expected, not arrived" in page
    assert "Given101x" not in page
    assert post("check-in/scratch/", count="4").status_code == 422
    other = post("check-in/scratch/", count="5", sure="yes")
    assert (other.status_code, "now it would be 4" in text(other)) == (409, True)
    assert post("check-in/scratch/", count="moo").status_code == 400
    assert post("check-in/scratch/", count="4", sure="yes").status_code == 302
    assert contest.contestants.filter(present=True).count() == 1


def test_whoever_has_cards_is_shown_as_come_and_left_out(superintendent, post, contest):
    read(contest, 1, 102, "3124")
    page = text(superintendent.get(base(contest) + "check-in/missing/"))
    assert "has cards or scores" in page
    assert "1 of them has cards or scores, so they did come: they are left out" in page
    assert "Yes, scratch the 4 of whom nothing was read" in page
    assert post("check-in/scratch/", count="4", sure="yes").status_code == 302
    assert contestant(contest, 102).present


def test_whoever_has_cards_and_never_came_is_warned_of_once_check_in_is_used(superintendent, contest):
    read(contest, 1, 101)
    pages = (base(contest), base(contest) + "check-in/missing/", f"/contests/{contest.pk}/watch/doubts/")
    said = "▲ 1 contestant has cards or scores and was never checked in: 101"
    assert not any("never checked in" in text(superintendent.get(page)) for page in pages)
    arrivals.check_in(contestant(contest, 102), "Ann")
    assert all(said in text(superintendent.get(page)) for page in pages)
    assert "never checked in: 101" in text(superintendent.get(f"/contests/{contest.pk}/results/"))
    arrivals.check_in(contestant(contest, 101), "Ann")
    assert not any("never checked in" in text(superintendent.get(page)) for page in pages)
