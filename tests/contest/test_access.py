"""Who may see what: nothing is open to anybody unless it is said here too."""

from contextlib import suppress
from datetime import timedelta
from itertools import chain

import pytest
from django.http import Http404, HttpResponse
from django.test import Client, RequestFactory
from django.urls import URLPattern, get_resolver, include, path
from django.utils import timezone
from django_htmx.middleware import HtmxDetails

from contest import access
from contest.helpers.joining import show_out
from contest.helpers.superintendents import set_password
from contest.models import Duty
from contest.urls import urlpatterns as site
from tests.factories import a_contest

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]

ADDRESS = "/a-page/"

# Every view of the site by the name of its address. A new one fails the tests until it stands here.
OPEN_TO_ALL = {
    *("healthz", "readyz", "sent", "join", "leave", "sign_in", "sign_in_code", "sign_out"),
    *("sign_in_elsewhere", "back_from_elsewhere"),
    *("language", "choose-language", "texts"),
    *("board", "board-newest", "board-code"),
    *("reasons-hall", "reasons-timetable"),
    *("contests", "today", "public-find"),
    # Each is a member's own, whom their session knows.
    *("practice-join", "practice-leave", "practice-mine", "practice-mine-live", "practice-hello", "practice-hand-in"),
    *("practice-outline", "practice-heard"),
    "practice-picture",  # of the practice that somebody is in
    "event-public",
    "invited",
    *("public-results", "public-list", "public-file", "public-class", "take-home", "take-home-card"),
}
OPEN_TO_EVERY_DUTY = {"lobby", "helper-day"}
OPEN_TO = {
    Duty.TABULATOR: {
        *("desk", "desk-take", "desk-give-back", "desk-hello", "desk-stack", "desk-stack-expected", "desk-loose"),
        "desk-practice",
        *("desk-readings", "desk-take-back"),
        *("desk-stack-looks", "desk-stack-take-back", "desk-stack-bring-back"),
        *("progress", "progress-class"),
        *("scanning", "scanning-bring", "scanning-cancel", "scanning-again", "scanning-sample"),
        *("scanning-send", "scanning-piece", "scanning-sent", "scanning-give-up"),
        "scanning-rehearsal",
        *("scanning-cards", "scanning-card", "scanning-read", "scanning-aside", "scanning-back", "scanning-picture"),
    },
    Duty.KEYS: {"keys", "keys-hello", "key", "key-preview", "settle-key", "part-key"},
    Duty.REASONS: {
        *("scores", "scores-hello", "scores-new-official", "scores-remove-official", "scores-take-back"),
        *("scores-reasons-sheet", "scores-reasons-sheet-readings", "scores-reasons-sheet-expected"),
        *("scores-marks-sheet", "scores-marks-sheet-readings", "scores-marks-sheet-expected"),
        *("scores-choices-sheet", "scores-choices-sheet-readings", "scores-choices-sheet-expected"),
        "reasons-sheets",
        "scores-practice",
        "scanning-picture",  # of keep/cull cards and answer sheets
    },
    Duty.ROOM: {"reasons-rooms", "reasons-hello", "reasons-room", "reasons-room-sets", "reasons-room-events"},
    Duty.OFFICIAL: {"reasons-notes", "reasons-notes-hello", "reasons-class-notes"},
    Duty.COMMITTEE: {
        *("committee-mine", "committee-hello", "committee-hand-in"),
        *("committee-class", "committee-agree"),  # of the chair
    },
    Duty.CHECK_IN: {"check_in", "check-in-missing", "check-in-people", "check_in-hello"},
    Duty.ANNOUNCER: {
        *("announcer", "announcer-move", "announcer-queue", "announcer-change", "announcer-names", "announcer-name"),
        "darken-board",
    },
}
SUPERINTENDENTS_ALONE = {
    *("contest", "class", "standings", "standings-list", "standings-contestant", "standings-team"),
    *("standings-ties", "standings-beside", "standings-questions"),
    *("superintendents", "own-password", "account-password", "account-off", "account-role", "invite"),
    *("own-codes", "own-codes-begin", "own-codes-confirm", "own-codes-renew", "own-codes-off", "account-codes-off"),
    *("own-elsewhere", "account-elsewhere-off", "organisations"),
    *("practices", "practice", "practice-live", "practice-step", "practice-key", "practice-another", "practice-keep"),
    *("practice-member-out", "practice-delete", "practice-screen", "practice-screen-live"),
    *("practice-picture-change", "practice-picture-move"),
    *("practice-pictures", "practice-picture-remove", "practice-on", "practice-file", "practice-open"),
    *("seasons", "season", "season-settings", "season-delete", "season-member-add", "season-member"),
    *("season-member-change", "season-member-delete", "season-book-new", "season-book", "season-practice"),
    *("season-source-out", "season-paper", "library", "library-open", "library-out"),
    *("practice-notes", "practice-reasons", "practice-reasons-live", "practice-speaks", "practice-terms"),
    *("practice-score", "practice-score-out"),
    *("trail", "trail-entry", "trail-file", "site-trail", "site-trail-entry"),
    "anonymise",
    *("bin", "bin-restore", "bin-empty"),
    *("take-back", "take-back-change", "results-withdraw"),
    *("health", "look", "copies", "copy_now", "download_copy"),
    *("addresses", "helpers", "seats", "helper-out", "duty-out", "new-code", "reasons-new-code"),
    *(
        "new_contest",
        "new_from_preset",
        "book_problems",
        "book",
        "delete_contest",
        "setup",
        "setup_facts",
        "setup_rules",
        "setup_team_rules",
    ),
    *("setup_ties", "setup_void"),
    *("setup_add", "setup_add_classes", "setup_arrange", "setup_change", "setup_remove"),
    *("entries", "entries-add", "entry", "entry-move", "entry-substitute", "entry-state", "entry-ineligible"),
    *("entry-unranked", "entry-sets", "entries-sets", "entries-sets-put"),
    "entry-needs",
    "scanning-rules",
    *("upload", "upload-cancel", "entries-read"),
    *("teams", "team-sizes", "team", "team-rename", "team-merge"),
    *("entries-origins", "events", "event", "event-new", "event-change", "event-act", "event-check-in", "event-same"),
    *("event-people", "event-helpers", "event-helper-out", "event-new-code"),
    *("next-level", "next-level-set", "next-level-remove", "next-level-decline", "next-level-comes", "next-level-file"),
    *("entry-remove", "entries-load", "entries-preview", "entries-numbers"),
    *("groups", "groups-deal", "groups-move", "check-in-scratch"),
    *("doubts", "doubts-news", "absent", "card", "decide-card", "put-right", "bring-back"),
    *("misread-card", "misread-reasons-score", "misread-mark", "misread-team-mark", "doubts-undo"),
    *("doubts-interchanged", "doubts-mixup", "run"),
    *("reasons-score", "decide-reasons-score"),
    *("mark", "decide-mark", "team-mark", "decide-team-mark"),
    *("choice", "decide-choice", "misread-choice"),
    *("accept-key", "scores-class", "scores-part"),
    *("committee", "committee-add", "committee-seats", "committee-remove", "committee-code", "committee-paper"),
    *(
        "results",
        "results-before-release",
        "results-release",
        "results-correct",
        "results-show-key",
        "results-hide-key",
        "results-file",
        "results-study",
        "results-margins",
    ),
    *("results-note-protest", "results-take-protests", "results-close-protests", "results-decide-protest"),
    *("results-links", "results-change-link"),
    *("board-choice", "choose-board"),
    *("prints", "prints-jobs", "print-look", "print-file", "print-again", "print-cancel", "print-forget"),
    *("print-looked", "print-looked-pdf", "print-looked-page", "print-looked-make"),
    *("print-awards", "print-picture", "print-picture-change"),
    *("reasons", "reasons-hours", "reasons-new-room", "reasons-change-room", "reasons-remove-room"),
    *("reasons-deal", "reasons-plan", "reasons-draft", "reasons-better", "reasons-publish", "reasons-fairness"),
}


def a_page(request):
    return HttpResponse(request.who)


@access.open_to(Duty.TABULATOR, Duty.KEYS)
def a_desk(request, pk):
    return HttpResponse(access.contest_for(request, pk).name)


urlpatterns = [
    path("a-page/", a_page),
    path("contests/<int:pk>/a-desk/", a_desk),
    path("", include("contest.urls")),
]


def patterns(found, before=""):
    """Every address of the site with its view."""
    for entry in found:
        if isinstance(entry, URLPattern):
            yield before + str(entry.pattern), entry
        else:
            yield from patterns(entry.url_patterns, before + str(entry.pattern))


VIEWS = list(patterns(site))


def request_of(duty, contest, as_helper):
    request = RequestFactory().get("/")
    request.is_superintendent = request.is_signed_in = False
    request.membership = None
    request.helper = as_helper(contest, duty, duty).helper
    request.who = request.helper.name
    return request


class TestEveryPage:
    def test_it_is_decided_for_every_page_who_may_see_it(self):
        decided = [*OPEN_TO_ALL, *OPEN_TO_EVERY_DUTY, *SUPERINTENDENTS_ALONE, *chain(*OPEN_TO.values())]
        assert {pattern.name for _, pattern in VIEWS} == set(decided)
        assert not SUPERINTENDENTS_ALONE & {*OPEN_TO_ALL, *OPEN_TO_EVERY_DUTY, *chain(*OPEN_TO.values())}

    @pytest.mark.parametrize("duty", Duty)
    def test_each_duty_reaches_its_own_pages_and_no_others(self, duty, as_helper):
        contest = a_contest()
        request = request_of(duty, contest, as_helper)
        door = access.AccessMiddleware(lambda _: None)
        reached = set()
        for address, pattern in VIEWS:
            kwargs = {"pk": contest.pk} if "<int:pk>" in address else {}
            with suppress(Http404):
                assert door.process_view(request, pattern.callback, (), kwargs) is None
                reached.add(pattern.name)
        assert reached == OPEN_TO_ALL | OPEN_TO_EVERY_DUTY | OPEN_TO[duty]

    def test_a_stranger_reaches_only_what_is_open_to_anybody(self):
        request = RequestFactory().get("/")
        request.is_superintendent = request.is_signed_in = False
        request.membership, request.helper, request.htmx = None, None, HtmxDetails(request)
        for address, pattern in VIEWS:
            answer = access.AccessMiddleware(lambda _: None).process_view(request, pattern.callback, (), {"pk": 1})
            assert (answer is None) == (pattern.name in OPEN_TO_ALL), address

    def test_every_address_of_a_contest_names_it_as_pk(self):
        for address, _ in VIEWS:
            assert not address.startswith("contests/<") or address.startswith("contests/<int:pk>/"), address

    def test_whoever_reads_cards_sees_no_score_standing_or_key(self, as_helper):
        contest = a_contest()
        tabulator = as_helper(contest, Duty.TABULATOR)
        for page in ("", "classes/1/", "standings/", "standings/SR/overall/"):
            assert tabulator.get(f"/contests/{contest.pk}/{page}").status_code == 404


class TestHelper:
    def test_the_pages_of_their_duty_and_contest_open(self, as_helper):
        contest = a_contest()
        answer = as_helper(contest, Duty.KEYS).get(f"/contests/{contest.pk}/a-desk/")
        assert answer.content.decode() == contest.name

    @pytest.mark.parametrize("duty", [Duty.REASONS, Duty.CHECK_IN, Duty.ANNOUNCER])
    def test_another_dutys_page_is_not_there(self, as_helper, duty):
        contest = a_contest()
        assert as_helper(contest, duty).get(f"/contests/{contest.pk}/a-desk/").status_code == 404

    def test_another_contest_is_not_there(self, as_helper):
        client = as_helper(a_contest(), Duty.TABULATOR)
        assert client.get(f"/contests/{a_contest().pk}/a-desk/").status_code == 404

    def test_the_loader_itself_refuses_another_contest(self, as_helper):
        request = request_of(Duty.TABULATOR, a_contest(), as_helper)
        with pytest.raises(Http404):
            access.contest_for(request, a_contest().pk)

    def test_what_is_not_marked_is_not_there(self, as_helper):
        assert as_helper(a_contest(), Duty.TABULATOR).get(ADDRESS).status_code == 404

    def test_the_first_page_leads_to_their_own(self, as_helper):
        contest = a_contest()
        assert as_helper(contest, Duty.ANNOUNCER).get("/").url == f"/contests/{contest.pk}/announcer/"

    def test_one_who_is_shown_out_is_out_at_the_next_request_on_every_page(self, as_helper):
        contest = a_contest()
        client = as_helper(contest, Duty.TABULATOR)
        address = f"/contests/{contest.pk}/a-desk/"
        assert client.get(address).status_code == 200
        show_out(client.helper, by="superintendent")
        assert client.get(address).url == f"/join/?next=%2Fcontests%2F{contest.pk}%2Fa-desk%2F"
        fetched = client.post(address, headers={"Accept": "*/*"})
        assert (fetched.status_code, fetched.headers[access.OUT_HEADER]) == (401, "1")
        assert "has signed this device out" in client.get("/join/").content.decode()

    def test_one_who_is_known_no_more_is_out(self, as_helper):
        contest = a_contest()
        client = as_helper(contest, Duty.TABULATOR)
        client.helper.delete()
        assert client.get(f"/contests/{contest.pk}/a-desk/").status_code == 302

    def test_it_is_noted_now_and_then_that_they_are_still_there(self, as_helper, django_assert_num_queries):
        contest = a_contest()
        client = as_helper(contest, Duty.TABULATOR)
        address = f"/contests/{contest.pk}/a-desk/"
        before = client.helper.seen_at
        client.get(address)
        with django_assert_num_queries(2):  # who asks, and the rest of the contest
            client.get(address)
        client.helper.refresh_from_db()
        assert client.helper.seen_at == before
        contest.helpers.update(seen_at=timezone.now() - timedelta(seconds=31))
        client.get(address)
        client.helper.refresh_from_db()
        assert client.helper.seen_at > before


class TestStranger:
    def test_they_are_sent_to_the_join_page_with_the_way_back(self, client):
        reply = client.get(ADDRESS + "?v=1")
        assert reply.status_code == 302
        assert reply.url == "/join/?next=%2Fa-page%2F%3Fv%3D1"

    def test_a_browsers_own_request_is_sent_too(self, client):
        accept = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
        assert client.get(ADDRESS, headers={"Accept": accept}).url == "/join/?next=%2Fa-page%2F"

    def test_a_post_changes_nothing_and_has_nowhere_to_come_back_to(self, client):
        assert client.post(ADDRESS).url == "/join/"

    def test_htmx_is_sent_with_the_whole_page(self, client):
        headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/somewhere/", "Accept": "*/*"}
        assert client.get(ADDRESS, headers=headers).headers["HX-Redirect"] == "/join/?next=%2Fsomewhere%2F"

    @pytest.mark.parametrize("accept", ["*/*", "application/json"])
    def test_a_script_is_told_that_it_is_out(self, client, accept):
        reply = client.get(ADDRESS, headers={"Accept": accept})
        assert (reply.status_code, reply.headers[access.OUT_HEADER]) == (401, "1")

    def test_the_health_page_asks_the_database_nothing(self, client, django_assert_num_queries):
        with django_assert_num_queries(0):
            assert client.get("/healthz").content == b"ok\n"

    def test_a_session_that_names_no_helper_is_worth_nothing(self, client):
        session = client.session
        session[access.SESSION_NAME] = 4711
        session.save()
        assert client.get(ADDRESS).status_code == 302


class TestSuperintendent:
    def test_every_page_opens(self, superintendent):
        contest = a_contest()
        assert superintendent.get(ADDRESS).content == b"superintendent"
        assert superintendent.get(f"/contests/{contest.pk}/a-desk/").status_code == 200

    def test_a_visit_asks_the_database_who_they_are_and_whom_they_work_for(
        self, superintendent, django_assert_num_queries
    ):
        superintendent.get(ADDRESS)
        with django_assert_num_queries(2):
            superintendent.get(ADDRESS)

    def test_a_new_password_shows_every_device_out(self, superintendent):
        set_password("superintendent", "another-good-one", "test")
        assert superintendent.get(ADDRESS).status_code == 302


def test_the_addresses_that_are_tested_are_those_of_the_site():
    assert get_resolver("contest.urls").url_patterns == site
    assert Client().get("/no-such-page/").status_code == 404
