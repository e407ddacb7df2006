"""The superintendent's page of results: the checklist, release, corrections, keys and protests in the browser."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from contest.models import Contest, Duty, JudgingClass
from contest.trail import record_change
from contest.trail.sentences import Sentence, say
from scoring.board.awards import ListKey
from scoring.board.queue import queue_lists
from scoring.core import standardising
from scoring.models import Ceremony, KeyRelease, Protest, ProtestWindow, Release
from scoring.results.release import withdraw_results
from tests.factories import a_contest
from tests.pages import body
from tests.scoring.results.cast import change_key, lines_of, read, ready, release, the_class
from tests.slips import decide_card
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def contest():
    return ready()


@pytest.fixture
def start(contest):
    return f"/contests/{contest.pk}/results/"


def sent(page="", **fields):
    """What our own page would send: its hidden fields, and what is typed."""
    hidden = dict(re.findall(r'type="hidden" name="(shown|differences)" value="([^"]*)"', page))
    return {"submission": str(uuid4()), **hidden, **fields}


def reasons(page, reason="it is known"):
    """What would be typed to each line that blocks."""
    return dict.fromkeys(re.findall(r'name="(reason-[0-9a-f]+)"', page), reason)


def released(**fields):
    return sent(how="at_once", **fields)


class TestRelease:
    def test_with_nothing_open_a_page_says_what_becomes_public_before_it_does(self, superintendent, start, contest):
        page = body(superintendent.get(start))
        assert "Nothing is open" in page
        before = body(superintendent.post(start + "before/", sent(page)))
        assert "What becomes public where" in before
        assert not Release.objects.exists()
        answer = superintendent.post(start + "release/", sent(before, how="at_once"))
        assert answer.url == start + "?done=released"
        assert Release.objects.get().by == "superintendent"
        assert "The results are released." in body(superintendent.get(answer.url))

    def test_what_blocks_leads_to_its_mending_and_needs_a_reason(self, superintendent, start, contest):
        read(contest, 1, 101, "3142", "Zoe")
        page = body(superintendent.get(start))
        assert "Class 1: 1 card in doubt: 101" in page
        assert f'href="/contests/{contest.pk}/watch/doubts/"' in page
        assert 'name="accept"' not in page
        (name,) = reasons(page)
        for place in ("before/", "release/"):
            ticked = sent(page, accept=name.removeprefix("reason-"), how="at_once")
            assert "Mend every line that is left" in body(superintendent.post(start + place, ticked), 422)
        assert not Release.objects.exists()
        before = body(superintendent.post(start + "before/", sent(page, **reasons(page, "Ann <asleep>"))))
        assert f'name="{name}" value="Ann &lt;asleep&gt;"' in before
        assert "1 line that blocks goes out with your reason." in before
        superintendent.post(start + "release/", sent(page, **reasons(page, "it is torn"), how="at_once"))
        assert Release.objects.get().accepted_lines == [
            "Class 1: 1 card in doubt: 101. Released all the same: it is torn"
        ]
        assert "Released all the same: it is torn" in body(superintendent.get(start))

    def test_what_is_odd_is_ticked_and_what_is_only_curious_asks_for_nothing(
        self, superintendent, start, contest, monkeypatch
    ):
        monkeypatch.setattr(standardising, "LEAST_SETS", 4)  # as many as this small contest has
        contest.reasons_standardised = True
        contest.save(update_fields=["reasons_standardised"])
        JudgingClass.objects.filter(contest=contest, number=2).update(perfect=20)
        record_change(contest, "test", Sentence("something"))
        page = body(superintendent.get(start))
        assert page.count('type="checkbox" name="accept"') == 1
        assert '<details class="checks curious">' in page
        assert "reason-" not in page
        assert superintendent.post(start + "release/", sent(page, how="at_once")).status_code == 422
        odd = re.findall(r'name="accept" value="([0-9a-f]+)"', page)
        assert superintendent.post(start + "release/", sent(page, how="at_once", accept=odd)).status_code == 302

    def test_a_reason_is_not_typed_again_after_a_withdrawal(self, superintendent, start, contest):
        read(contest, 1, 101, "3142", "Zoe")
        release(contest)
        withdraw_results(contest, "Sue", "too early")
        assert 'value="it is known"' in body(superintendent.get(start))

    def test_awards_are_queued_with_the_release_and_nothing_is_public_before_they_are_read(
        self, superintendent, start, contest
    ):
        before = body(superintendent.post(start + "before/", sent(body(superintendent.get(start)))))
        assert re.search('value="SR/overall/individuals"[^>]* checked', before)
        for wish, said in (({}, "Say whether the awards come first."), ({"how": "ceremony"}, "Tick the lists")):
            assert said in body(superintendent.post(start + "release/", sent(before, **wish)), 422)
        chosen = {"how": "ceremony", "lists": ["SR/overall/individuals", "SR/overall/teams"], "places": "5"}
        assert superintendent.post(start + "release/", sent(before, **chosen)).status_code == 302
        assert list(contest.award_lists.values_list("kind", "places")) == [("individuals", 5), ("teams", 5)]
        assert "141.01" not in body(Client().get(f"/results/{contest.pk}/"))
        assert not Ceremony.objects.filter(was_public=True).exists()

    def test_lists_that_are_queued_already_need_no_choice(self, superintendent, start, contest):
        queue_lists(contest, [ListKey("SR", "overall", "individuals")], 3, "Sue")
        before = body(superintendent.post(start + "before/", sent(body(superintendent.get(start)))))
        assert "Release; the awards come first" in before
        assert superintendent.post(start + "release/", sent(before)).status_code == 302
        assert contest.award_lists.count() == 1

    def test_the_page_before_leads_back_to_the_checklist(self, superintendent, start):
        assert superintendent.get(start + "before/").url == start

    def test_what_was_typed_stays(self, superintendent, start, contest):
        read(contest, 1, 101, "3142", "Zoe")
        read(contest, 2, 101, "1234", "Zoe")
        page = body(superintendent.get(start))
        first = next(iter(reasons(page)))
        refused = body(superintendent.post(start + "before/", sent(page, **{first: "it is torn"})), 422)
        assert refused.count('value="it is torn"') == 1
        assert refused.count('<li class="left">') == 1

    def test_a_list_that_changed_meanwhile_is_a_conflict(self, superintendent, start, contest):
        page = body(superintendent.get(start))
        read(contest, 1, 101, "3142", "Zoe")
        assert "has changed since you looked" in body(superintendent.post(start + "before/", sent(page)), 409)

    def test_the_same_submission_twice_is_one_release(self, superintendent, start):
        form = sent(body(superintendent.get(start)), how="at_once")
        for _ in range(2):
            assert superintendent.post(start + "release/", form).status_code == 302
        assert Release.objects.count() == 1

    @pytest.mark.parametrize("empty", [{"contestants": ()}, {"contestants": (), "divisions": (), "classes": ()}])
    def test_a_contest_without_anybody_has_nothing_to_release(self, superintendent, empty):
        contest = a_contest(cards=(), **empty)
        page = body(superintendent.get(f"/contests/{contest.pk}/results/"))
        assert "Nothing to release yet" in page
        assert "Go on to the release" not in page
        refused = superintendent.post(f"/contests/{contest.pk}/results/release/", sent(page, how="at_once"))
        assert "Nobody is in any list yet" in body(refused, 409)

    def test_another_release_is_refused(self, superintendent, start, contest):
        release(contest)
        assert "released already" in body(superintendent.post(start + "release/", released()), 409)


class TestCorrections:
    @pytest.fixture
    def changed(self, contest):
        release(contest)
        change_key(contest)

    def test_every_row_that_moves_is_shown_with_old_and_new_rank(self, superintendent, start, changed):
        page = body(superintendent.get(start))
        assert "Changed, and not announced" in page
        assert "the key of class 1" in page
        row = re.search(r'<tr class="up"><th scope="row"><bdi>102</bdi>.*?</tr>', page)[0]
        cells = [re.sub(r"<[^>]*>", " ", cell).split() for cell in re.findall(r"<td.*?</td>", row)]
        assert (cells[0], cells[1]) == (["3"], ["▲", "up", "to", "1"])

    def test_announcing_asks_for_a_reason_and_keeps_what_is_there(self, superintendent, start, changed):
        page = body(superintendent.get(start))
        refused = body(superintendent.post(start + "correct/", sent(page, reason=" ")), 422)
        assert "Say why the results change" in refused
        superintendent.post(start + "correct/", sent(page, reason="key of class 1 was mistyped"))
        assert Release.objects.last().reason == "key of class 1 was mistyped"
        page = body(superintendent.get(start))
        assert "Nothing has changed since" in page
        assert re.search(r"corrected, \d\d:\d\d, key of class 1 was mistyped", page)

    def test_a_doubt_decided_as_it_counted_ends_what_is_provisional_and_can_be_announced(
        self, superintendent, start, contest
    ):
        read(contest, 1, 101, "3142", "Zoe")
        release(contest)
        public = f"/results/{contest.pk}/"
        assert "Provisional" in body(Client().get(public))
        decide_card(the_class(contest), contest.contestants.get(number=101), "3124", "Sue", "as the card says")
        assert "Provisional" not in body(Client().get(public))
        page = body(superintendent.get(start))
        assert "Besides the rows below, a correction changes whether cards of 101 are in doubt." in page
        assert "No row of any list moves." in page
        superintendent.post(start + "correct/", sent(page, reason="the last doubt is decided"))
        assert "Nothing has changed since" in body(superintendent.get(start))

    def test_something_else_that_changed_meanwhile_is_a_conflict_that_keeps_the_reason(
        self, superintendent, start, contest, changed
    ):
        page = body(superintendent.get(start))
        change_key(contest, "4321")
        answer = body(superintendent.post(start + "correct/", sent(page, reason="the key")), 409)
        assert "something else changed meanwhile" in answer.lower()
        assert 'value="the key"' in answer
        assert Release.objects.count() == 1

    def test_what_is_open_must_be_accepted_for_a_correction_too(self, superintendent, start, contest, changed):
        read(contest, 2, 101, "1234", "Zoe")
        page = body(superintendent.get(start))
        refused = body(superintendent.post(start + "correct/", sent(page, reason="the key")), 422)
        assert "Mend every line" in refused
        superintendent.post(start + "correct/", sent(page, reason="the key", **reasons(page)))
        assert Release.objects.count() == 2


class TestKeys:
    def test_a_key_whose_reasons_are_heard_is_shown_and_hidden_again(self, superintendent, start, contest):
        superintendent.post(start + "keys/1/", sent())
        assert KeyRelease.objects.get().by == "superintendent"
        assert f'href="/public/{contest.pk}/classes/1/"' in body(superintendent.get(start))
        superintendent.post(start + "keys/1/hide/", sent())
        assert not KeyRelease.objects.exists()

    def test_before_its_reasons_are_heard_it_asks_why(self, superintendent, start):
        contest = ready(reasons=())
        start = f"/contests/{contest.pk}/results/"
        refused = body(superintendent.post(start + "keys/1/", sent(override="")), 422)
        assert "4 sets of reasons not heard yet: 101, 102, 103, 104" in refused
        assert not KeyRelease.objects.exists()
        superintendent.post(start + "keys/1/", sent(override="reasons are cancelled"))
        assert KeyRelease.objects.exists()
        entry = last_of(contest)
        assert entry.what == "key of class 1 shown for the critique all the same, reasons are cancelled"
        assert [say(**reason) for reason in entry.after["against"]] == [
            "4 sets of reasons not heard yet: 101, 102, 103, 104"
        ]

    def test_a_class_without_cards_or_of_another_contest_is_not_there(self, superintendent, start):
        assert superintendent.post(start + "keys/9/", sent()).status_code == 404


class TestProtests:
    @pytest.fixture
    def taken(self, superintendent, start, contest):
        release(contest)
        superintendent.post(start + "protests/until/", sent(deadline="2099-01-01T16:30", note="At the desk."))

    def test_they_are_taken_until_a_deadline(self, superintendent, start, taken):
        assert ProtestWindow.objects.get().note == "At the desk."
        assert "Taken until <b>January 1, 16:30</b>. At the desk." in body(superintendent.get(start))

    def test_a_deadline_that_is_over_is_refused_beside_it(self, superintendent, start, contest):
        release(contest)
        refused = body(superintendent.post(start + "protests/until/", sent(deadline="2001-01-01T16:30")), 422)
        assert "That time is over already." in refused
        assert 'value="2001-01-01T16:30"' in refused

    def test_before_a_release_there_is_nothing_to_protest_against(self, superintendent, start):
        refused = superintendent.post(start + "protests/until/", sent(deadline="2099-01-01T16:30"))
        assert refused.status_code == 422
        assert not ProtestWindow.objects.exists()

    def test_one_is_noted_decided_and_then_the_results_are_final(self, superintendent, start, taken):
        superintendent.post(start + "protests/", sent(by="Coach of Barley Hill", text="Card of 102"))
        protest = Protest.objects.get()
        assert (
            "first decide the protest that is open"
            in body(superintendent.post(start + "protests/close/", sent()), 409).lower()
        )
        refused = body(superintendent.post(f"{start}protests/{protest.pk}/", sent(outcome=" ")), 422)
        assert "Say what was decided." in refused
        superintendent.post(f"{start}protests/{protest.pk}/", sent(outcome="The card says 1324."))
        assert Protest.objects.get().outcome == "The card says 1324."
        assert superintendent.post(f"{start}protests/{protest.pk}/", sent(outcome="No.")).status_code == 422
        superintendent.post(start + "protests/close/", sent())
        assert "final" in body(superintendent.get(start))
        assert superintendent.post(start + "protests/", sent(by="A", text="Late")).status_code == 422

    def test_after_the_deadline_it_stays_open_until_it_is_closed_and_late_ones_are_marked(
        self, superintendent, start, taken
    ):
        ProtestWindow.objects.update(deadline=timezone.now() - timedelta(minutes=1))
        superintendent.post(start + "protests/", sent(by="Coach", text="Card of 102"))
        page = body(superintendent.get(start))
        assert '<span class="state">time is over</span> Taken until' in page
        assert '<span class="state">late</span>' in page

    def test_what_was_typed_stays(self, superintendent, start, taken):
        refused = body(superintendent.post(start + "protests/", sent(by="", text="Card of 102")), 422)
        assert "Say whose protest it is." in refused
        assert ">Card of 102</textarea>" in refused

    def test_a_protest_of_another_contest_is_not_there(self, superintendent, start, taken):
        other = Protest.objects.create(contest=ready(), by="A", text="B")
        assert superintendent.post(f"{start}protests/{other.pk}/", sent(outcome="No")).status_code == 404


POSTS = ["release/", "correct/", "keys/1/", "keys/1/hide/", "protests/", "protests/until/", "protests/close/"]


@pytest.mark.parametrize("address", POSTS)
class TestEveryChange:
    def test_it_refuses_get(self, superintendent, start, address):
        assert superintendent.get(start + address).status_code == 405

    def test_a_helper_finds_no_such_page(self, as_helper, start, contest, address):
        assert as_helper(contest, Duty.ANNOUNCER).post(start + address, sent()).status_code == 404

    def test_it_needs_a_submission_id_or_says_what_is_wrong(self, superintendent, start, address):
        assert superintendent.post(start + address, {}).status_code in (400, 422)

    def test_a_stranger_changes_nothing(self, start, address, contest):
        before = Contest.objects.get().revision
        assert Client().post(start + address, sent()).status_code == 302
        assert Contest.objects.get().revision == before


def test_the_lines_of_the_page_are_those_of_the_checklist(superintendent, start, contest):
    read(contest, 1, 101, "3142", "Zoe")
    page = body(superintendent.get(start))
    assert all(line in page for line in lines_of(contest))


def test_no_browser_keeps_the_page(superintendent, start):
    assert superintendent.get(start).headers["Cache-Control"] == "no-store"
