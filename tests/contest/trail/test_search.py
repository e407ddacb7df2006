"""The pages of the trail: whatever was done is found by time, person, contestant, class, key and team."""

import csv
import io
from dataclasses import replace
from datetime import timedelta
from html import unescape
from re import findall, sub
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.timezone import localtime

from contest.entries import people
from contest.entries.people import values_of
from contest.keys import enter_key
from contest.models import Duty, Team, TrailEntry
from contest.trail import note, record_change, sentence
from contest.trail.differences import ChangedValue, rows_of
from contest.trail.search import people_who_acted
from contest.trail.sentences import Sentence, as_json
from tests.factories import ClassFactory, a_contest
from tests.pages import html_in
from tests.slips import read_card
from tests.trails import last_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return a_contest(classes=(ClassFactory(), ClassFactory(number=2, official=None, cuts=None)), cards=())


def text(response):
    return " ".join(unescape(sub(r"<[^>]+>", " ", html_in(response))).split())


def shown(client, contest, **asked):
    """The sentences of the entries on the page."""
    response = client.get(f"/contests/{contest.pk}/trail/", asked)
    assert response.status_code == 200
    return [unescape(what) for what in findall(r'class="what"><a [^>]*><bdi>(.*?)</bdi>', html_in(response))]


def read(contest, number, by="Ann", judged=1):
    read_card(contest.classes.get(number=judged), number, "3124", by, uuid4())


class TestList:
    def test_the_newest_comes_first_with_what_the_site_tells_of_the_contest(self, superintendent, contest):
        read(contest, 101)
        note("Sue", Sentence("print ordered: results"), contest)
        note("Sue", Sentence("signed in"))
        assert shown(superintendent, contest) == [
            "print ordered: results",
            "class 1, contestant 101: card read",
            "contest made from a book",
        ]

    def test_fifty_stand_on_a_page_and_the_rest_is_counted(self, superintendent, contest):
        for number in range(60):
            record_change(contest, "Ann", Sentence(f"change {number}"))
        assert shown(superintendent, contest) == [f"change {number}" for number in range(59, 9, -1)]
        assert "1 to 50 of 61 entries" in text(superintendent.get(f"/contests/{contest.pk}/trail/"))
        assert shown(superintendent, contest, page="2")[-1] == "contest made from a book"

    def test_it_is_narrowed_by_person(self, superintendent, contest):
        read(contest, 101)
        read(contest, 102, by="Ben")
        ben = next(key for key, name in people_who_acted(contest) if name == "Ben")
        assert shown(superintendent, contest, person=ben) == ["class 1, contestant 102: card read"]

    def test_nobodys_name_stands_in_an_address(self, superintendent, contest):
        read(contest, 102, by="Ben")
        for page in ("", f"{contest.revision}/"):
            links = findall(
                r'(?:href|action)="([^"]*)"',
                html_in(superintendent.get(f"/contests/{contest.pk}/trail/{page}")),
            )
            assert links and not [link for link in links if "Ben" in link]

    def test_it_is_narrowed_by_contestant_and_class(self, superintendent, contest):
        read(contest, 101)
        read(contest, 102)
        read(contest, 101, judged=2)
        assert shown(superintendent, contest, contestant="101") == [
            "class 2, contestant 101: card read",
            "class 1, contestant 101: card read",
        ]
        assert shown(superintendent, contest, contestant="101", judged="2") == ["class 2, contestant 101: card read"]
        assert shown(superintendent, contest, contestant="10") == []

    def test_it_is_narrowed_by_key(self, superintendent, contest):
        enter_key(contest.classes.get(number=2), "3124", (3, 5, 2), "Ann")
        read(contest, 101, judged=2)
        assert shown(superintendent, contest, key="2") == ["key of class 2"]

    def test_a_team_is_all_its_members(self, superintendent, contest):
        read(contest, 101)
        team = Team.objects.get()
        record_change(contest, "Ann", Sentence("team's mark"), about=[f"team:{team.pk}"])
        person = contest.contestants.get(number=103)
        person.team = None
        person.save(update_fields=["team"])
        read(contest, 103)
        assert shown(superintendent, contest, team=team.pk) == ["team's mark", "class 1, contestant 101: card read"]

    def test_it_is_narrowed_by_words_and_by_time(self, superintendent, contest):
        read(contest, 101)
        assert shown(superintendent, contest, words="READ card") == ["class 1, contestant 101: card read"]
        before = localtime(TrailEntry.objects.first().at) - timedelta(minutes=1)
        assert shown(superintendent, contest, until=f"{before:%Y-%m-%dT%H:%M}") == []
        assert len(shown(superintendent, contest, until=f"{before + timedelta(days=1):%Y-%m-%dT%H:%M}")) == 2

    def test_words_are_found_in_what_the_sentence_says_and_in_what_stands_in_it(self, superintendent, contest):
        record_change(contest, "Ann", sentence("key_accepted", key_of=2, reason="Ötztal, 50% _gone_"))
        record_change(contest, "Ann", sentence("taken_back", entry=sentence("key_confirmed", key_of=17)))
        accepted = "key of class 2 accepted as one entry, Ötztal, 50% _gone_"
        taken_back = "taken back: key of class 17 confirmed"
        for words in ("ACCEPTED as", "ötztal,", "ÖTZTAL", "50%", "_gone_", accepted):
            assert shown(superintendent, contest, words=words) == [accepted], words
        for words in ("back: confirmed", "17", taken_back):
            assert shown(superintendent, contest, words=words) == [taken_back], words
        for words in ("values", "entry key_of", "key_confirmed", "reason", "5%0", "%%"):
            assert shown(superintendent, contest, words=words) == [], words

    def test_words_are_looked_for_in_the_language_of_whoever_looks(self, superintendent, contest, monkeypatch):
        record_change(contest, "Ann", sentence("taken_back", entry=sentence("key_confirmed", key_of=2)))
        spanish = {"taken back: {entry}": "deshecho: {entry}", "key of class {key_of} confirmed": "clave de {key_of}"}
        monkeypatch.setattr("contest.trail.sentences.gettext", lambda text: spanish.get(text, text))
        for words in ("deshecho", "clave 2"):
            assert shown(superintendent, contest, words=words) == ["deshecho: clave de 2"]
        assert shown(superintendent, contest, words="confirmed") == []

    def test_what_makes_no_sense_is_said_and_stays(self, superintendent, contest):
        response = superintendent.get(f"/contests/{contest.pk}/trail/", {"contestant": "ten"})
        assert "Enter a whole number" in text(response)
        assert 'value="ten"' in html_in(response)

    def test_it_costs_the_same_however_long_it_is(self, superintendent, contest):
        costs = []
        superintendent.get(f"/contests/{contest.pk}/trail/")  # what is found once and then kept
        for count in (1, 70):
            for _ in range(count):
                record_change(contest, "Ann", Sentence("something"), after={"first_name": "Ada"})
            with CaptureQueriesContext(connection) as queries:
                superintendent.get(f"/contests/{contest.pk}/trail/")
            costs.append(len(queries))
        assert costs[0] == costs[1]

    def test_nobody_else_sees_it(self, as_helper, client, contest):
        for address in ("", "1/", "trail.csv"):
            assert client.get(f"/contests/{contest.pk}/trail/{address}").status_code == 302
            assert (
                as_helper(contest, Duty.KEYS, f"Ann{address}")
                .get(f"/contests/{contest.pk}/trail/{address}")
                .status_code
                == 404
            )


class TestEntry:
    def test_it_tells_what_was_and_what_is(self, superintendent, contest):
        person = contest.contestants.get(number=101)
        people.correct_entry(person, replace(values_of(person), first_name="Maisie"), "Sue")
        page = text(superintendent.get(f"/contests/{contest.pk}/trail/{last_of(contest).revision}/"))
        assert "What Was Is First name Given101x Maisie" in page
        assert last_of(contest).hash in page

    def test_one_that_is_not_there_is_not_found(self, superintendent, contest):
        assert superintendent.get(f"/contests/{contest.pk}/trail/99/").status_code == 404
        assert superintendent.get("/trail/99/").status_code == 404

    def test_a_long_one_is_bounded(self, superintendent, contest):
        record_change(
            contest, "Sue", Sentence("groups dealt"), after={str(number): "A" for number in range(1000, 2000)}
        )
        response = superintendent.get(f"/contests/{contest.pk}/trail/2/")
        assert "1 to 100 of 1,000 changes" in text(response)
        assert len(response.content) < 60_000

    def test_the_sites_own_are_there_too(self, superintendent):
        note("Sue", Sentence("account made"), after={"person": "Ann"})
        assert "account made" in text(superintendent.get("/trail/"))
        assert "Ann" in text(superintendent.get("/trail/1/"))


class TestDifferences:
    @pytest.mark.parametrize(
        ("before", "after", "rows"),
        [
            (None, None, []),
            ("3124", "3142", [ChangedValue("", "3124", "3142")]),
            ([101, 102], None, [ChangedValue("", "101, 102", "")]),
            ({"present": True}, {"present": False}, [ChangedValue("Present", "yes", "no")]),
            (
                {"contestants": 3},
                {"contestants": 4, "added": [{"number": 104, "last_name": "Ash"}]},
                [ChangedValue("contestants", "3", "4"), ChangedValue("added, contestant 104, Last name", "", "Ash")],
            ),
            (
                None,
                {"changed": [{"number": 101, "fields": {"last_name": ["Ash", "Oak"]}}]},
                [ChangedValue("changed, contestant 101, Last name", "Ash", "Oak")],
            ),
            (
                None,
                {"officials": [], "shows key": True},
                [ChangedValue("officials", "", "none"), ChangedValue("shows key", "", "yes")],
            ),
            (
                {"accepted": [sentence("signed_in"), sentence("signed_out")]},
                sentence("key_confirmed", key_of=3),
                [ChangedValue("", "", "key of class 3 confirmed"), ChangedValue("accepted", "signed in, signed out")],
            ),
        ],
    )
    def test_each_shape_is_told(self, before, after, rows):
        assert rows_of(*map(as_json, (before, after))) == rows


class TestFile:
    def test_it_holds_every_entry_with_its_hash(self, superintendent, contest):
        read(contest, 101)
        record_change(contest, "=Ann", Sentence("odd"), before="3124", after={"first_name": "Ada"})
        response = superintendent.get(f"/contests/{contest.pk}/trail/trail.csv")
        rows = list(csv.reader(io.StringIO(response.getvalue().decode())))
        assert [row[0] for row in rows] == ["revision", "1", "2", "3"]
        assert (rows[3][2], rows[3][3], rows[3][4]) == ("'=Ann", "odd", "3124")
        assert rows[3][5].endswith("Ada")
        assert rows[3][7] == contest.trail.last().hash
        assert last_of(None).what == "trail fetched"


class TestLinks:
    def test_pages_lead_to_their_trail(self, superintendent, contest):
        read(contest, 101)
        at, person = f"/contests/{contest.pk}", contest.contestants.get(number=101)
        team = Team.objects.get()
        for page, query in {
            f"{at}/watch/cards/1/101/": "?judged=1&amp;contestant=101",
            f"{at}/entries/{person.pk}/": "?contestant=101",
            f"{at}/classes/1/": "?judged=1",
            f"{at}/watch/keys/1/": "?key=1",
            f"{at}/standings/contestants/101/": "?contestant=101",
            f"{at}/standings/SR/teams/{team.pk}/": f"?team={team.pk}",
        }.items():
            assert f'href="{at}/trail/{query}"' in html_in(superintendent.get(page)), page
