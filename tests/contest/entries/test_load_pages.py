"""The pages that load an entry list."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from contest.entries.people import scratch
from tests.contest.entries.cast import contestant
from tests.contest.entries.looking import base, hidden, text
from tests.contest.entries.test_entry_list import LIST
from tests.contest.uploads.test_spreadsheets import xlsx
from tests.pages import html_in

pytestmark = pytest.mark.django_db


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


def test_a_long_list_is_shown_in_part_with_what_is_said_of_rows_first_and_loaded_whole(superintendent, contest):
    rows = [f"{number},SR,Club {number},member" for number in range(1000, 1300)] + ["1300,SR,Barley Hill,individual"]
    shown = superintendent.post(base(contest) + "load/", {"text": "\n".join(["number,division,team,role", *rows])})
    words = text(shown)
    assert re.search(r"to add 301 .*New teams 300", words)
    assert re.search(r"Added .*1300 .*'Barley Hill' is not kept.*1000", words)
    assert "101 more rows are not shown" in words and "Club 1199" in words and "Club 1200" not in words
    superintendent.post(base(contest) + "load/preview/", confirmed(shown))
    assert contest.contestants.filter(number__in=range(1000, 1301)).count() == 301


def confirmed(shown, **fields):
    """What the page would send: every field of it, and the button."""
    page = html_in(shown)
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


@pytest.mark.django_db(transaction=True)  # a thread reads what is brought
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
@pytest.mark.django_db(transaction=True)  # a thread reads what is brought
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
