"""The board: what it shows in each state, that nothing secret ever leaves the server, and what a poll costs."""

import gzip
import re

import pytest
from django.test import Client

from contest.keys import enter_key
from contest.models import Contest, Contestant
from contest.trail.sentences import Sentence
from contest.watch.progress import ClassProgress, Count, Estimate, Progress
from scoring.board import board_cache
from scoring.board.board import how_far, time_left
from scoring.models import KeyRelease
from tests.contest.watch.cast import small_contest
from tests.factories import RulesFactory, a_contest
from tests.pages import html_in
from tests.scoring.board.cast import OVERALL, TEAMS, ceremony_ready, forget_revision, go, released_contest
from tests.scoring.results.cast import change_key, correct, read, ready, release, the_class

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def look(contest, **query):
    forget_revision(contest)
    return Client().get(f"/board/{contest.pk}/", query)


def text(contest):
    return html_in(look(contest))


def version(page):
    return re.search(r"\?v=(\w+)", page).group(1)


class TestAddress:
    def test_it_is_open_to_everybody_and_kept_by_nobody(self):
        answer = look(a_contest())
        assert answer.status_code == 200
        assert answer.headers["Cache-Control"] == "no-store"
        assert not answer.cookies

    def test_the_short_address_leads_to_the_newest_contest(self):
        assert Client().get("/board/").status_code == 404
        a_contest()
        newest = a_contest()
        assert Client().get("/board/").url == f"/board/{newest.pk}/"

    def test_the_whole_page_is_packed_too(self):
        contest = released_contest()
        answer = Client(headers={"Accept-Encoding": "gzip"}).get(f"/board/{contest.pk}/")
        assert answer.headers["Content-Encoding"] == "gzip"
        assert "141.01" in gzip.decompress(answer.content).decode()

    def test_an_unknown_contest_is_not_found(self):
        assert Client().get("/board/99/").status_code == 404

    def test_it_changes_nothing(self):
        assert Client().post(f"/board/{a_contest().pk}/").status_code == 405

    def test_a_helper_of_another_contest_sees_it_as_everybody_does(self, as_helper):
        contest = a_contest()
        assert as_helper(a_contest(), "tabulator").get(f"/board/{contest.pk}/").status_code == 200


class TestJudging:
    def test_it_counts_by_class_and_group(self):
        contest = small_contest()
        read(contest, 1, 101, "3124")
        page = text(contest)
        assert "<b>0</b> of 7 checked" in page
        assert "1 typed in" in page
        assert "Aged geldings" in page
        assert "Oral reasons" in page

    def test_a_key_is_shown_once_it_is_released_and_no_other(self):
        contest = ready()
        assert "Official placings" not in text(contest)
        KeyRelease.objects.create(judging_class=the_class(contest, 2), by="Sue")
        board_cache.forget_all()
        page = text(contest)
        assert "4, 2, 1, 3; top cut 2, middle cut 4, bottom cut 3" in page
        assert "3, 1, 2, 4" not in page

    @pytest.mark.parametrize(
        ("total", "left", "words"),
        [
            (Count(), Estimate(0, None, 0), ""),
            (Count(due=4, settled=3, no_card=1), Estimate(0, None, 0), "Every card is checked"),
            (Count(due=4, settled=3, doubt=1), Estimate(0, None, 0), "Every card is in, the last are being checked"),
            (Count(due=4), Estimate(8, None, None), ""),
            (Count(due=4), Estimate(8, 8.0, 1), "About 1 minute to go"),
            (Count(due=4), Estimate(8, 1.0, 8), "About 8 minutes to go"),
            (Count(due=400), Estimate(800, 35.0, 23), "About 25 minutes to go"),
            (Count(due=400), Estimate(800, 8.0, 100), "About 2 hours to go"),
            (Count(due=400), Estimate(800, 6.0, 130), "About 2.5 hours to go"),
        ],
    )
    def test_the_time_left_is_said_in_round_words(self, total, left, words):
        assert time_left(total, left, is_known=True) == words

    @pytest.mark.parametrize(
        ("first", "second", "words"),
        [
            (Count(due=10, settled=9), Count(due=10), ""),  # a class is still being judged
            (Count(due=10, once=4), Count(due=10, once=5), ""),
            (Count(due=10, once=5), Count(due=10, once=5), "About 8 minutes to go"),
            (Count(due=10, settled=10), Count(due=10, settled=10), "Every card is checked"),
        ],
    )
    def test_no_forecast_is_made_before_it_is_worth_something(self, first, second, words):
        rows = tuple(ClassProgress(place, "Ewes", False, (), count) for place, count in enumerate((first, second), 1))
        progress = Progress((), rows, (), first + second)
        assert how_far(progress, Estimate(8, 1.0, 8)) == words


class TestStandings:
    def test_every_list_is_there_once_it_was_announced(self):
        page = text(released_contest())
        assert "Senior</bdi>, <bdi>Overall</bdi>, individuals" in page
        assert "Senior</bdi>, <bdi>Reasons</bdi>, teams" in page
        assert "141.01" in page

    def test_a_very_long_list_is_cut_and_leads_to_the_whole(self, monkeypatch):
        monkeypatch.setattr("scoring.board.board.MOST_ROWS", 2)
        contest = released_contest()
        page = text(contest)
        assert "the first 2 of 4" in page
        assert "139.03" in page
        assert "135.02" not in page
        whole = f"/results/{contest.pk}/SR/overall/"
        assert whole in page
        assert "135.02" in html_in(Client().get(whole))

    def test_it_changes_only_with_a_correction_and_says_so(self):
        contest = released_contest()
        before = text(contest)
        change_key(contest)
        assert version(text(contest)) == version(before)
        correct(contest, "the official corrected the key")
        page = text(contest)
        assert "the official corrected the key" in page
        assert "corrected," in page

    @pytest.mark.parametrize(
        ("show_as", "seen", "not_seen"),
        [
            ("name", ["Given101x Family101x"], ["Given104x"]),
            ("initials", ["G. F."], ["Given101x", "Given104x"]),
            ("number", ["101"], ["Given101x", "G. F.", "Given104x"]),
        ],
    )
    def test_people_are_called_as_the_contest_and_their_families_allow(self, show_as, seen, not_seen):
        page = text(released_contest(rules=RulesFactory(show_people_as=show_as)))
        assert all(words in page for words in seen)
        assert not any(words in page for words in not_seen)

    def test_a_family_that_says_no_after_the_release_is_heeded_at_once(self, superintendent):
        contest = released_contest()
        assert "Given101x" in text(contest)
        person = Contestant.objects.get(number=101)
        person.show_name = False
        person.save(update_fields=["show_name"])
        from contest.trail import record_change

        record_change(contest, "Sue", Sentence("contestant 101 changed"))
        assert "Given101x" not in text(contest)


class TestSecrets:
    """Values are planted that occur nowhere else, and every answer of the board is searched for them."""

    KEYS = ("3124", "4213", "3, 1, 2, 4", "4, 2, 1, 3")
    TOTALS = ("141.01", "139.03", "135.02", "97.04")

    def answers(self, contest):
        yield html_in(look(contest))
        yield html_in(look(contest, v="something old"))
        unpacked = Client(headers={"Accept-Encoding": "gzip"}).get(f"/board/{contest.pk}/?v=")
        assert unpacked.headers["Content-Encoding"] == "gzip"
        yield gzip.decompress(unpacked.content).decode()

    def test_before_the_release_no_key_total_card_or_name_leaves_the_server(self):
        contest = ready()
        enter_key(the_class(contest, 1), "2431", (4, 6, 1), "Ann", "the official corrected it")
        names = [f"Given{number}x" for number in (101, 102, 103, 104, 105)]
        placings = ["1324", "3142", "2413", "4231", "4132"]
        for page in self.answers(contest):
            for secret in (*self.KEYS, "2431", *self.TOTALS, *names, *placings, "Barley Hill", "Ötztal"):
                assert secret not in page

    def test_lists_that_wait_to_be_read_hold_every_result_back(self):
        contest = ceremony_ready(OVERALL)
        for page in self.answers(contest):
            assert "The awards are next" in page
            assert "Senior" in page
            for secret in (*self.KEYS, *self.TOTALS, "Given", "Barley Hill", "Ötztal", "101", "102"):
                assert secret not in page

    def test_a_ceremony_reveals_one_row_after_the_other_and_nothing_else(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        go(contest, "begin")
        people = [("104", "97.04"), ("102", "135.02"), ("103", "139.03"), ("101", "141.01")]
        for revealed in range(5):
            for page in self.answers(contest):
                for position, (number, total) in enumerate(people):
                    is_shown = position < revealed
                    assert (f">{number}<" in page) == is_shown
                    assert (total in page) == is_shown
                    assert (f"Given{number}x" in page) == (is_shown and number != "104")
            go(contest, "next")
        for page in self.answers(contest):
            assert "overall" not in page
            assert not any(total in page for total in self.TOTALS)

    def test_a_step_back_takes_the_row_back(self):
        contest = ceremony_ready()
        go(contest, "begin", "next", "next", "back")
        assert "135.02" not in text(contest)
        assert "97.04" in text(contest)

    def test_a_tie_is_shown_as_one(self):
        from scoring.core.record import Card, ReasonsScore

        cards = tuple(Card(judged, number, "3124", "3124") for number in (101, 102, 103, 104) for judged in (1, 2))
        reasons = tuple(ReasonsScore(1, number, "A", 4000) for number in (101, 102, 103, 104))
        contest = ceremony_ready(cards=cards, reasons=reasons)
        go(contest, "begin", "next")
        assert "Tied for first" in text(contest)
        assert "shares its place" not in text(contest)  # with whom, is not told before they are revealed
        go(contest, "next")
        assert "shares its place with 104, equal in every tie step" in text(contest)


class TestPolling:
    def test_a_page_that_is_up_to_date_gets_nothing(self):
        contest = a_contest()
        answer = look(contest, v=version(text(contest)))
        assert (answer.status_code, answer.content) == (204, b"")

    def test_one_that_is_behind_by_any_number_catches_up_with_one_fetch(self):
        contest = ceremony_ready()
        first = version(text(contest))
        go(contest, "begin", "next", "next", "next")
        page = html_in(look(contest, v=first))
        assert page.startswith('<div id="board"')
        assert "139.03" in page
        assert look(contest, v=version(page)).status_code == 204

    def test_a_change_that_nobody_can_see_reaches_nobody(self):
        contest = ready()
        before = version(text(contest))
        enter_key(the_class(contest, 1), "2431", (4, 6, 1), "Ann", "the official corrected it")
        assert look(contest, v=before).status_code == 204

    @pytest.mark.usefixtures("clock_stands")
    def test_all_viewers_of_a_version_share_one_board_and_one_tiny_query(self, django_assert_num_queries):
        contest = a_contest()
        page = version(text(contest))
        made = board_cache.board_now(contest.pk)
        forget_revision(contest)
        with django_assert_num_queries(1):
            for _ in range(20):
                Client().get(f"/board/{contest.pk}/", {"v": page})
                Client().get(f"/board/{contest.pk}/", {"v": "behind"})
        assert board_cache.board_now(contest.pk) is made

    def test_while_cards_are_read_it_is_asked_every_second_and_seldom_after(self):
        assert 'data-poll="1" data-on-a-screen="1" data-on-a-phone="3"' in text(small_contest())
        assert 'data-poll="5"' in text(released_contest())
        contest = ceremony_ready()
        go(contest, "begin")
        assert 'data-poll="0.9" data-on-a-screen="0.9" data-on-a-phone="0.9"' in text(contest)

    def test_the_estimate_grows_old_by_itself(self, monkeypatch):
        contest = small_contest()
        made = board_cache.board_now(contest.pk)
        later = made.until + 1
        monkeypatch.setattr(board_cache.time, "monotonic", lambda: later)
        assert board_cache.board_now(contest.pk) is not made

    def test_only_a_few_boards_are_kept(self):
        for _ in range(board_cache.KEPT + 2):
            look(a_contest())
        assert len(board_cache._kept) == board_cache.KEPT
        assert Contest.objects.count() == board_cache.KEPT + 2


def test_the_release_itself_is_seen_at_once():
    contest = ready()
    before = text(contest)
    release(contest)
    assert version(text(contest)) != version(before)


def test_while_a_board_is_made_everybody_else_is_shown_the_one_before():
    contest = small_contest()
    before = board_cache.board_now(contest.pk)
    read(contest, 1, 101, "3124")
    forget_revision(contest)
    with board_cache._lock:
        assert board_cache.board_now(contest.pk) is before
    assert board_cache.board_now(contest.pk) is not before
