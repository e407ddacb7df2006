"""Results, the board and what was accepted, read in two languages at the same time."""

import io
import re
from calendar import month_name
from datetime import timedelta
from html import unescape
from importlib import import_module
from urllib.parse import quote

import pytest
from django.apps import apps
from django.core.management import call_command
from django.test import Client
from django.utils import timezone
from django.utils.translation import override

from contest.models import Contest, TrailEntry
from contest.trail.sentences import as_json
from contest.trail.sentences import checklist as checklist_sentences
from scoring.models import Release, TakeHomeLink, accepted_line
from scoring.results.links import make_links
from scoring.results.protests import take_protests
from scoring.results.release import release_results, still_to_accept
from tests.scoring.board.cast import OVERALL, TEAMS, ceremony_ready, forget_revision, go, released_contest
from tests.scoring.results.cast import change_key, correct, everything_open, items_of, read, ready, tallied
from tests.texts import pseudo

pytestmark = pytest.mark.any_database

LINE = "Class 1: 1 card in doubt: 101"


@pytest.fixture
def made_up(made_up_texts, db):
    with pseudo.spoken(made_up_texts):
        yield Client(headers={"Accept-Language": pseudo.LEFT_TO_RIGHT})


def doubtful():
    contest = ready()
    read(contest, 1, 101, "3142", "Zoe")
    return Contest.objects.get(pk=contest.pk)


class TestAcceptedLines:
    def test_a_line_is_the_same_in_every_language_and_said_in_that_of_the_moment(self, made_up):
        (item,) = items_of(doubtful())
        with override(pseudo.LEFT_TO_RIGHT):
            assert item.text != LINE
            assert item.text.startswith(pseudo.OPEN)
            (again,) = items_of(doubtful())
            assert again.key == item.key
        assert item.text == LINE

    def test_another_value_makes_another_line(self, db):
        contest = doubtful()
        (before,) = items_of(contest)
        read(contest, 1, 102, "3142", "Zoe")
        (after,) = items_of(contest)
        assert (before.line.code, after.line.code) == ("cards_in_doubt", "cards_in_doubt")
        assert before.key != after.key

    def test_what_was_accepted_in_one_language_is_accepted_in_another(self, made_up):
        contest = doubtful()
        with override(pseudo.LEFT_TO_RIGHT):
            made = release_results(contest, "Sue", everything_open(contest))
        assert accepted_line(made.accepted[0]) == (as_json(items_of(contest)[0].line), "it is known")
        assert made.accepted_lines == [f"{LINE}. Released all the same: it is known"]
        contest.refresh_from_db()
        assert still_to_accept(contest, tallied(contest)) == []
        kept = TrailEntry.objects.get(what="results_released").after["accepted"]
        assert kept == made.accepted

    def test_a_line_that_was_kept_as_a_sentence_is_its_own_code(self, db):
        made = released_contest().releases.get()
        Release.objects.filter(pk=made.pk).update(accepted=[LINE])
        import_module("scoring.migrations.0002_accepted_lines").to_codes(apps, None)
        assert Release.objects.get(pk=made.pk).accepted_lines == [LINE]

    def test_every_limit_of_a_key_is_a_sentence(self):
        assert {"limit_no_cuts", "limit_sum", "limit_perfect"} <= checklist_sentences.SENTENCES.keys()


class TestPublicPages:
    def test_nobody_is_shown_a_page_of_another_language(self, made_up):
        contest = released_contest()
        address = f"/results/{contest.pk}/"
        english, theirs = Client().get(address), made_up.get(address)
        assert 'lang="en"' in english.text
        assert 'lang="xx"' in theirs.text
        assert english.headers["ETag"] != theirs.headers["ETag"]
        assert made_up.get(address, headers={"If-None-Match": english.headers["ETag"]}).status_code == 200
        assert Client().get(address).text == english.text
        assert f"?next={quote(address, safe='')}" in theirs.text

    def test_a_copy_is_written_in_one_language(self, made_up, tmp_path):
        contest = released_contest()
        call_command("publish", contest.pk, str(tmp_path / "xx"), language="xx", stdout=io.StringIO())
        call_command("publish", contest.pk, str(tmp_path / "en"), stdout=io.StringIO())
        theirs, english = ((tmp_path / name / "index.html").read_text() for name in ("xx", "en"))
        assert ('lang="xx"' in theirs, 'lang="en"' in english) == (True, True)
        assert pseudo.said("Individuals") in theirs
        assert "/language/" not in theirs + english


class TestBoard:
    def test_each_device_is_shown_its_own_language(self, made_up):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin", "next")
        forget_revision(contest)
        address = f"/board/{contest.pk}/"
        english, theirs = Client().get(address), made_up.get(address)
        assert '<p class="place">Fourth</p>' in english.text
        assert pseudo.said("Fourth".lower())[1:] in theirs.text.lower()
        assert "Fourth" not in theirs.text
        assert Client().get(address).text == english.text


NAMES = re.compile(
    r"Tanbark|testserver|python3 manage\.py publish|FOLDER|Barley Hill|Ötztal|Senior|Yearling ewes|Team activity"
    r"|Given\d+x|Family\d+x|superintendent|Sue|the card was read wrong|http\S+|Harrow Creek Fairground|Aged geldings"
    r"|\bXx\b|" + "|".join(filter(None, month_name))
)
MARKED = re.compile(r"⟦[^⟦⟧]*⟧")


def unmarked(response, *names):
    """The words of a page that are neither marked nor names."""
    html = response.content.decode()
    assert response.status_code < 500, html
    read_out = re.findall(r'\b(?:aria-label|placeholder|alt|title)="([^"]*)"', html)
    shown = re.sub(r"<(script|style|head)\b.*?</\1>|<[^>]*>", " ", html, flags=re.DOTALL)
    text = unescape(" ".join([shown, *read_out]))
    while MARKED.search(text):
        text = MARKED.sub(" ", text)
    for name in names:
        text = text.replace(name, " ")
    return set(re.findall(r"[^\W\d_]{2,}", NAMES.sub(" ", text)))


class TestEveryWordIsMarked:
    def test_of_standings(self, made_up, superintendent):
        contest = doubtful()
        team = contest.divisions.get().teams.first()
        superintendent.defaults["HTTP_ACCEPT_LANGUAGE"] = pseudo.LEFT_TO_RIGHT
        start = f"/contests/{contest.pk}/standings/"
        for address in ("", "SR/reasons/?sort=name&find=1", "contestants/101/", f"SR/teams/{team.pk}/"):
            assert unmarked(superintendent.get(start + address), contest.name) == set(), address

    def test_of_results_before_and_after_they_are_released(self, made_up, superintendent):
        contest = doubtful()
        superintendent.defaults["HTTP_ACCEPT_LANGUAGE"] = pseudo.LEFT_TO_RIGHT
        start = f"/contests/{contest.pk}/results/"
        assert unmarked(superintendent.get(start), contest.name) == set()
        release_results(contest, "Sue", everything_open(contest))
        change_key(contest)
        assert unmarked(superintendent.get(start), contest.name) == set()
        correct(contest)
        take_protests(Contest.objects.get(pk=contest.pk), "Sue", timezone.now() + timedelta(hours=1))
        make_links(Contest.objects.get(pk=contest.pk), "Sue")
        token = TakeHomeLink.objects.filter(team__isnull=False).first().token
        forget_revision(contest)
        for address in (
            start,
            f"{start}links/",
            f"/results/{contest.pk}/",
            f"/public/{contest.pk}/classes/1/",
            f"/home/{token}/",
            f"/board/{contest.pk}/",
        ):
            assert unmarked(superintendent.get(address), contest.name) == set(), address

    def test_of_the_ceremony(self, made_up, superintendent):
        superintendent.defaults["HTTP_ACCEPT_LANGUAGE"] = pseudo.LEFT_TO_RIGHT
        judging = ready(cards=())
        assert unmarked(superintendent.get(f"/board/{judging.pk}/"), judging.name) == set()
        contest = ceremony_ready(OVERALL, TEAMS)
        pages = [
            f"/contests/{contest.pk}/announcer/",
            f"/board/{contest.pk}/",
            f"/contests/{contest.pk}/announcer/names/",
        ]
        for moves in ((), ("begin",), ("next", "next"), ("show", "next", "next"), ("show",), ("end",)):
            go(contest, *moves)
            forget_revision(contest)
            for address in pages:
                assert unmarked(superintendent.get(address), contest.name) == set(), (moves, address)
