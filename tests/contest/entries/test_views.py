"""The pages about entries: what they show, what they refuse, and who may use them."""

import json
import re
from dataclasses import asdict
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contest.entries.entered import values_of
from contest.entries.people import make_ineligible, scratch
from contest.models import Contest, Contestant, Duty
from tests.contest.entries.cast import contestant, read, submission, two_divisions
from tests.contest.entries.test_loading import LIST
from tests.contest.entries.test_sheets import xlsx

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


def base(contest):
    return f"/contests/{contest.pk}/entries/"


def text(response):
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())))


def hidden(response, name):
    return unescape(re.search(rf'name="{name}" value="([^"]*)"', response.content.decode())[1])


@pytest.fixture
def contest():
    return two_divisions()


@pytest.fixture
def person(contest):
    return contestant(contest, 101)


@pytest.fixture
def post(superintendent, contest):
    """Posts a form of this area as the superintendent, with its submission id."""

    def send(where, **fields):
        return superintendent.post(base(contest) + where, submission(**fields))

    return send


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
    fields = submission(seen="{}", do="scratch", reason="x")
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
    response = post(f"{person.pk}/", seen=seen(person), **corrected(person, group="B"))
    assert response.status_code == 302
    assert contestant(contest, 101).group == "B"


def test_a_correction_that_comes_too_late_shows_both_and_is_made_when_sent_again(post, contest, person):
    old = seen(person)
    post(f"{person.pk}/", seen=old, **corrected(person, group="B"))
    late = post(f"{person.pk}/", seen=old, **corrected(person, group="C"))
    assert late.status_code == 409
    assert re.search(r"Group none B", text(late))
    assert 'name="group" value="C"' in late.content.decode()
    again = post(f"{person.pk}/", seen=hidden(late, "seen"), **corrected(person, group="C"))
    assert again.status_code == 302
    assert contestant(contest, 101).group == "C"


@pytest.mark.parametrize("wrong", ["", "x", "[]", '{"number": 1, "sound": "moo"}', "3"])
def test_a_form_that_does_not_say_what_it_changes_is_refused(post, person, wrong):
    assert post(f"{person.pk}/", seen=wrong, **corrected(person)).status_code == 400


def test_an_entry_is_moved_or_told_why_not(post, contest, person):
    junior = contest.divisions.get(code="JR").pk
    read(contest, 2, 101)
    refused = post(f"{person.pk}/move/", seen=seen(person), division=junior, team="Cobblewick")
    assert refused.status_code == 422
    assert "Cards of classes 2 were read, which Junior does not judge" in text(refused)
    moved = post(f"{person.pk}/move/", seen=seen(person), division=person.division_id, team="")
    assert moved.status_code == 302
    assert contestant(contest, 101).team is None


def test_a_substitute_takes_the_place_or_is_told_the_way(post, superintendent, contest, person):
    fields = {"instead-first_name": "Ngozi", "instead-last_name": "Adelumo", "seen": seen(person)}
    assert post(f"{person.pk}/substitute/", **fields | {"instead-last_name": ""}).status_code == 422
    assert post(f"{person.pk}/substitute/", **fields).status_code == 302
    assert contestant(contest, 101).last_name == "Adelumo"
    late = post(f"{person.pk}/substitute/", **fields | {"instead-last_name": "Ray"})
    assert late.status_code == 409
    assert "Last name Family101x Adelumo" in text(late)
    assert 'value="Ray"' in late.content.decode()
    read(contest, 1, 101)
    fields["seen"] = seen(contestant(contest, 101))
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


def test_a_pasted_list_is_shown_and_loaded_when_confirmed(superintendent, contest):
    shown = superintendent.post(base(contest) + "load/", {"text": LIST})
    words = text(shown)
    assert shown.status_code == 200
    assert re.search(r"to add 2 .*to change 1 .*left as they are 1 .*refused 1", words)
    assert "Team: Barley Hill → Dunmore" in words
    assert contest.contestants.count() == 5
    response = superintendent.post(base(contest) + "load/preview/", confirmed(shown))
    assert response.url == base(contest)
    assert "2 added and 1 changed. 1 row left out." in text(superintendent.get(response.url))
    again = superintendent.post(base(contest) + "load/", {"text": LIST})
    assert "nothing to load" in text(again)


def confirmed(shown, **fields):
    """What the page would send: every field of it, and the button."""
    page = shown.content.decode()
    form = {name: hidden(shown, name) for name in ("source", "shown", "shown-sheet", "shown-headings", "submission")}
    for name, options in re.findall(r'<select id="[^"]*" name="([^"]*)">(.*?)</select>', page):
        chosen = re.search(r'<option(?: value="([^"]*)")? selected>([^<]*)', options)
        form[name] = unescape(chosen[1] if chosen and chosen[1] is not None else chosen[2] if chosen else "")
    form.setdefault("sheet", hidden(shown, "sheet") if 'type="hidden" name="sheet"' in page else "")
    return form | {"save": "yes"} | fields


def test_what_changed_since_it_was_shown_is_shown_again(superintendent, contest):
    shown = superintendent.post(base(contest) + "load/", {"text": LIST})
    scratch(contestant(contest, 101), "other")
    response = superintendent.post(base(contest) + "load/preview/", confirmed(shown))
    assert response.status_code == 409
    assert "Look again, then confirm" in text(response)
    assert superintendent.post(base(contest) + "load/preview/", confirmed(response)).status_code == 302


def test_choices_are_corrected_and_looked_at_again(superintendent, contest):
    shown = superintendent.post(base(contest) + "load/", {"text": "Who\tWhere\n300\tSR\n301\tNovice"})
    form = confirmed(shown, **{"column-0": "number", "column-1": "division", "headings": "0", "shown-headings": "0"})
    del form["save"]
    again = superintendent.post(base(contest) + "load/preview/", form)
    assert re.search(r"to add 1 .*refused 1", text(again))
    assert "no division is called 'Novice'" in text(again)
    form |= {"cell-1": "Novice", "means-1": "JR"}
    mended = superintendent.post(base(contest) + "load/preview/", form)
    assert re.search(r"to add 2 .*refused 0", text(mended))


def test_a_spreadsheet_is_loaded_from_the_sheet_that_is_chosen(superintendent, contest):
    def more(book):
        for row in (["No", "Name", "Division"], [301.0, "Lee, Ann", "Junior"]):
            book["Juniors"].append(row)

    def prepare(book):
        book.create_sheet("Juniors")
        more(book)

    file = SimpleUploadedFile("entries.xlsx", xlsx(["Notes only"], prepare=prepare))
    shown = superintendent.post(base(contest) + "load/", {"file": file})
    form = confirmed(shown, sheet="Juniors")
    del form["save"]
    chosen = superintendent.post(base(contest) + "load/preview/", form)
    assert "Ann Lee" in text(chosen)
    superintendent.post(base(contest) + "load/preview/", confirmed(chosen))
    assert contestant(contest, 301).last_name == "Lee"


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({}, "or choose a file"),
        ({"text": 'a,b\nc,"d'}, "check its quotation marks"),
        ({"file": SimpleUploadedFile("e.xlsx", b"PK\3\4broken")}, "The spreadsheet is damaged"),
        ({"file": SimpleUploadedFile("e.csv", b"")}, "The file is empty"),
        ({"file": SimpleUploadedFile("e.csv", b"a" * 2_500_001)}, "2,500,001 bytes"),
    ],
)
def test_a_list_that_cannot_be_read_says_why(superintendent, contest, fields, reason):
    response = superintendent.post(base(contest) + "load/", fields)
    assert response.status_code == 422
    assert reason in text(response)
    if fields.get("text"):
        assert fields["text"] in unescape(response.content.decode())


@pytest.mark.parametrize(
    "source", ["", "x", "[]", "{}", '{"name": "", "sheets": []}', '{"name": 1, "sheets": {"": "a"}}']
)
def test_a_list_lost_on_the_way_is_refused(post, source):
    assert post("load/preview/", source=source).status_code == 400


def test_the_preview_alone_leads_back_to_the_form(superintendent, contest):
    assert superintendent.get(base(contest) + "load/preview/").url == base(contest) + "load/"


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
    assert contest.trail.last().by == "Ann"
    already = helper.post(page, submission(number=101, do="in"))
    assert (already.status_code, "Already in, since" in text(already)) == (409, True)
    helper.post(page, submission(number=101, do="undo"))
    assert contestant(contest, 101).checked_in_at is None
    assert "Not arrived any more" in text(helper.get(page + "?done=101"))


@pytest.mark.parametrize("number", ["999", "moo", "99999999999", "²"])
def test_a_number_that_is_nobodys_says_so(superintendent, contest, number):
    assert f"Nobody has number {number}" in text(superintendent.get(base(contest) + "check-in/", {"number": number}))


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
    assert (other.status_code, "now 4 have not arrived" in text(other)) == (409, True)
    assert post("check-in/scratch/", count="moo").status_code == 400
    assert post("check-in/scratch/", count="4", sure="yes").status_code == 302
    assert contest.contestants.filter(present=True).count() == 1
