"""What whoever asks may see: nothing before it was announced, and no more than was announced after."""

import io
import re
import zipfile

import pytest
from django.core.cache import cache
from django.test import Client

from contest.changes.exceptions import NotPossible
from contest.helpers.addresses import set_addresses
from contest.models import Contest, Contestant, ScannedCard
from contest.scanning.rules import change_rules
from contest.setup.classes import void_class
from contest.trail import record_change
from contest.trail.sentences import Sentence
from scoring.board.board import shown_keys
from scoring.models import KeyRelease, ProtestWindow, TakeHomeLink
from scoring.results.critique import release_key, withdraw_key
from scoring.results.links import link_of, make_links, renew_link, withdraw_all, withdraw_link
from scoring.results.protests import close_protests, take_protests
from tests.contest.scanning.cards import PICTURE, scanned, seen
from tests.factories import RulesFactory
from tests.pages import body
from tests.scoring.results.cast import change_key, correct, ready, release, the_class

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def contest():
    return ready()


class TestBeforeARelease:
    def test_the_page_says_that_there_is_nothing_yet(self, client, contest):
        assert "The results are not out yet." in body(client.get(f"/results/{contest.pk}/"))
        assert "after the ceremony" in body(client.get(f"/results/{contest.pk}/SR/overall/"))
        assert client.get(f"/results/{contest.pk}/results.zip").status_code == 404


class TestLists:
    @pytest.fixture
    def start(self, contest):
        release(contest)
        return f"/results/{contest.pk}/"

    def test_whoever_asks_sees_what_was_announced(self, client, start):
        page = body(client.get(start))
        assert "Given101x Family101x" in page
        assert "Family104x" not in page  # the family wants no name shown
        assert 'href="/results/' in page
        assert "/contests/" not in page

    def test_a_change_is_seen_only_once_it_is_announced_and_then_with_its_reason(self, client, start, contest):
        before = body(client.get(start))
        change_key(contest)
        assert body(client.get(start)) == before
        correct(contest, "the key of class 1 was mistyped")
        after = body(client.get(start))
        assert re.search(r"<strong>Corrected, \d\d:\d\d, the key of class 1 was mistyped\.</strong>", after)
        assert re.findall(r'class="no">(\d+)<', after) != re.findall(r'class="no">(\d+)<', before)

    def test_what_was_announced_though_it_is_open_is_marked(self, client):
        from tests.scoring.results.cast import read

        contest = ready()
        read(contest, 1, 101, "3142", "Zoe")
        release(contest)
        make_links(Contest.objects.get(pk=contest.pk), "Sue")
        page = body(client.get(f"/results/{contest.pk}/"))
        assert "<strong>Provisional.</strong> 1 card is in doubt." in page
        assert page.count('<span class="open">1 card not settled</span>') == 2  # 101, and their team
        assert "Provisional" not in body(client.get(f"/results/{contest.pk}/SR/reasons/"))
        token = TakeHomeLink.objects.get(contestant__number=101).token
        assert '<span class="open">in doubt</span>' in body(client.get(f"/home/{token}/"))

    def test_each_correction_shows_old_and_new_ranks_in_the_list_that_it_changed(self, client, start, contest):
        change_key(contest)
        correct(contest, "the key of class 1")
        page = body(client.get(start))
        row = re.search(r'<tr class="up"><th scope="row"><bdi>102</bdi>.*?</tr>', page)[0]
        cells = [re.sub(r"<[^>]*>", " ", cell).split() for cell in re.findall(r"<td.*?</td>", row)]
        assert cells[:2] == [["3"], ["▲", "up", "to", "1"]]
        change_key(contest, official="2143", cuts=(2, 4, 3), number=2)
        correct(contest, "the key of class 2")
        page = body(client.get(start))
        said = re.findall(r"<summary>Corrected, \d\d:\d\d, (the key of class \d)</summary>", page)
        assert said == ["the key of class 2", "the key of class 1"]
        reasons = body(client.get(f"/results/{contest.pk}/SR/reasons/"))
        assert "Corrections in this list" not in reasons

    def test_a_browser_that_has_it_is_not_sent_it_again(self, client, start, contest):
        tag = client.get(start).headers["ETag"]
        assert client.get(start, headers={"If-None-Match": tag}).status_code == 304
        change_key(contest)
        assert client.get(start, headers={"If-None-Match": tag}).status_code == 200

    def test_the_page_is_the_same_for_everybody(self, client, superintendent, start):
        assert superintendent.get(start).content == client.get(start).content

    def test_protests_are_told_of_while_they_are_taken_and_then_that_it_is_final(self, client, start, contest):
        from datetime import timedelta

        from django.utils import timezone

        take_protests(contest, "Sue", timezone.now() + timedelta(minutes=30), "At the desk.")
        page = body(client.get(start))
        assert "Not final yet.</strong> Protests are taken until" in page
        assert "At the desk." in page
        ProtestWindow.objects.update(deadline=timezone.now() - timedelta(minutes=1))
        record_change(contest, "test", Sentence("time went by"))
        assert "Not final yet.</strong> Protests were taken until" in body(client.get(start))
        close_protests(contest, "Sue")
        assert "<strong>Final.</strong>" in body(client.get(start))

    def test_a_deadline_goes_by_without_any_change_of_the_contest(self, client, start, contest, monkeypatch):
        from datetime import timedelta

        from django.utils import timezone

        deadline = timezone.now() + timedelta(minutes=30)
        take_protests(contest, "Sue", deadline)
        first = client.get(start)
        assert "Protests are taken until" in body(first)
        monkeypatch.setattr(timezone, "now", lambda: deadline + timedelta(seconds=1))
        later = client.get(start, headers={"If-None-Match": first.headers["ETag"]})
        assert "Protests were taken until" in body(later)

    @pytest.mark.parametrize("address", ["XX/overall/", "SR/nothing/", "results.pdf"])
    def test_what_is_not_there_is_not_found(self, client, start, address):
        assert client.get(start + address).status_code == 404

    def test_an_open_page_asks_for_anything_newer_and_hears_of_what_everybody_may_know_alone(
        self, client, start, contest
    ):
        def asked():
            cache.delete(f"revision-{contest.pk}")  # as half a second later
            return client.get(f"{start}?v={version}").status_code

        version = re.search(r'data-version="(\w+)"', body(client.get(start)))[1]
        assert asked() == 204
        change_key(contest)
        assert asked() == 204
        correct(contest, "the key of class 1")
        assert asked() == 200
        version = re.search(r'data-version="(\w+)"', body(client.get(start)))[1]
        assert asked() == 204
        assert client.get("/results/4711/?v=1").status_code == 404

    def test_whoever_waits_hears_of_the_release(self, client):
        contest = ready()
        version = re.search(r'data-news="reload" data-version="(\w+)"', body(client.get(f"/results/{contest.pk}/")))[1]
        assert client.get(f"/results/{contest.pk}/?v={version}").status_code == 204
        release(contest)
        cache.clear()
        assert client.get(f"/results/{contest.pk}/?v={version}").status_code == 200

    @pytest.mark.usefixtures("clock_stands")
    def test_it_costs_nothing_while_nothing_is_newer(self, client, start, django_assert_num_queries):
        version = re.search(r'data-version="(\w+)"', body(client.get(start)))[1]
        client.get(f"{start}?v={version}")
        with django_assert_num_queries(0):
            client.get(f"{start}?v={version}")

    def test_it_only_shows(self, client, start):
        assert client.post(start).status_code in (403, 405)

    def test_an_unknown_contest_is_not_found(self, client):
        assert client.get("/results/4711/").status_code == 404

    def test_its_queries_do_not_grow(self, client, start, django_assert_num_queries):
        client.get(start)
        with django_assert_num_queries(3):  # the contest, and whether awards are still to be read
            client.get(start)

    def test_it_is_made_once_for_any_number_of_viewers(self, start, monkeypatch):
        from scoring.results.views import public

        first = Client().get(start).content
        monkeypatch.setattr(public, "list_page", None)
        assert Client().get(start).content == first

    def test_with_the_results_every_key_is_public(self, client, start, contest):
        page = body(client.get(f"/public/{contest.pk}/classes/2/"))
        assert "4, 2, 1, 3; top cut 2, middle cut 4, bottom cut 3" in page
        assert page.count('<td class="figure score">') == 24
        assert "4 over 2 was 2 over 4: −2" in page
        assert page.count("<line ") == 36

    def test_the_public_files_hold_places_and_totals_alone(self, client, start):
        answer = client.get(start + "results.zip")
        assert answer.headers["Content-Disposition"].endswith('-results.zip"')
        with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
            assert archive.namelist() == ["individuals.csv", "teams.csv"]


class TestCritique:
    def test_a_key_is_shown_with_its_grid_and_without_any_standing(self, client, contest):
        assert "after the ceremony" in body(client.get(f"/public/{contest.pk}/classes/1/"))
        release_key(the_class(contest), "Sue")
        page = body(client.get(f"/public/{contest.pk}/classes/1/"))
        assert "3, 1, 2, 4; top cut 3" in page
        assert "101" not in page
        assert "<svg" not in page  # nor how many gave which placing
        assert f'href="/public/{contest.pk}/classes/1/"' in body(client.get(f"/results/{contest.pk}/"))

    def test_a_key_that_changes_afterwards_is_shown_once_it_is_confirmed(self, client, contest):
        from contest.keys import enter_key

        release_key(the_class(contest), "Sue")
        enter_key(the_class(contest), "1324", (3, 5, 2), "Ann", "the official corrected it")
        assert "3, 1, 2, 4; top cut 3" in body(client.get(f"/public/{contest.pk}/classes/1/"))
        enter_key(the_class(contest), "1324", (3, 5, 2), "Ben")
        page = body(client.get(f"/public/{contest.pk}/classes/1/"))
        assert "1, 3, 2, 4; top cut 3" in page
        assert re.search(r"Corrected, \d\d:\d\d, the official corrected it", page)

    def test_a_class_that_is_void_has_no_key_to_critique(self, client, superintendent, contest):
        release_key(the_class(contest), "Sue")
        void_class(the_class(contest), "Sue", "a heifer got loose")
        address = f"/public/{contest.pk}/classes/1/"
        assert "after the ceremony" in body(client.get(address))
        assert shown_keys(Contest.objects.get(pk=contest.pk)) == []
        assert address not in body(client.get(f"/results/{contest.pk}/"))
        assert address not in body(superintendent.get(f"/contests/{contest.pk}/results/"))
        withdraw_key(the_class(contest), "Sue")
        with pytest.raises(NotPossible, match="class 1 is void"):
            release_key(the_class(contest), "Sue")

    def test_a_class_that_is_void_costs_nobody_anything(self, client, superintendent, contest):
        void_class(the_class(contest), "Sue", "a heifer got loose")
        release(contest)
        make_links(contest, "Sue")
        page = body(client.get(f"/public/{contest.pk}/classes/1/"))
        assert "The class counts for nobody." in page
        assert "top cut" not in page
        assert "Pairs lost" not in page
        page = body(client.get(f"/home/{TakeHomeLink.objects.get(contestant__number=102).token}/"))
        assert "void, counts for nobody" in page
        assert "cuts 2, 4, 3" in page
        assert "cuts 3, 5, 2" not in page
        assert "official 3 over 1" not in page
        page = body(superintendent.get(f"/contests/{contest.pk}/classes/1/"))
        assert "Its placing and reasons count for nobody." in page
        assert "top cut" not in page
        assert "Pairs lost" not in page

    def test_a_class_of_another_contest_stays_hidden(self, client, contest):
        other = ready()
        release_key(the_class(other), "Sue")
        assert "after the ceremony" in body(client.get(f"/public/{contest.pk}/classes/1/"))
        assert KeyRelease.objects.count() == 1


class TestLinks:
    @pytest.fixture
    def made(self, contest):
        release(contest)
        make_links(contest, "Sue")
        return contest

    def home(self, **of):
        return f"/home/{TakeHomeLink.objects.get(withdrawn_at=None, **of).token}/"

    def test_there_is_one_for_every_team_and_contestant_who_came(self, made):
        assert TakeHomeLink.objects.filter(team__isnull=False).count() == 2
        assert set(TakeHomeLink.objects.exclude(contestant=None).values_list("contestant__number", flat=True)) == {
            101, 102, 103, 104,
        }  # fmt: skip
        assert make_links(made, "Sue") == 0

    def test_nobody_can_guess_one(self, made):
        tokens = list(TakeHomeLink.objects.values_list("token", flat=True))
        assert len(set(tokens)) == 6
        assert all(len(token) == 22 for token in tokens)

    def test_no_token_is_in_the_trail(self, made):
        renew_link(TakeHomeLink.objects.first(), "Sue")
        trail = repr(list(made.trail.values_list("what", "before", "after")))
        assert not any(token in trail for token in TakeHomeLink.objects.values_list("token", flat=True))

    def test_a_contestant_finds_their_sheet(self, client, made):
        response = client.get(self.home(contestant__number=102))
        page = body(response)
        assert "you had 1 over 3, official 3 over 1: −3" in page
        assert "Family101x" not in page
        assert response.headers["Referrer-Policy"] == "no-referrer"
        assert "noindex" in response.headers["X-Robots-Tag"]

    def test_a_team_finds_the_sheet_of_each_member_and_nobody_elses(self, client, made):
        page = body(client.get(self.home(team__name="Barley Hill")))
        assert "● counts" in page
        assert page.count('<article class="packet-sheet"') == 2
        assert "Family103x" not in page

    def test_before_a_release_it_leads_nowhere(self, client, contest):
        from contest.changes.exceptions import NotPossible

        with pytest.raises(NotPossible, match="not released yet"):
            make_links(contest, "Sue")

    def test_one_that_is_withdrawn_leads_nowhere_and_a_new_one_leads_there(self, client, made):
        old = self.home(contestant__number=102)
        renew_link(link_of(old.split("/")[2]), "Sue")
        assert client.get(old).status_code == 404
        assert client.get(self.home(contestant__number=102)).status_code == 200
        withdraw_link(link_of(self.home(contestant__number=102).split("/")[2]), "Sue")
        assert not TakeHomeLink.objects.filter(contestant__number=102, withdrawn_at=None).exists()

    def test_all_can_be_withdrawn_at_once(self, client, made):
        homes = [self.home(pk=link.pk) for link in TakeHomeLink.objects.all()]
        assert withdraw_all(made, "Sue") == 6
        assert {client.get(home).status_code for home in homes} == {404}

    def test_a_number_that_somebody_else_has_now_leads_to_nobody_elses_sheet(self, client, made):
        home = self.home(contestant__number=102)
        Contestant.objects.filter(contest=made, number=101).update(number=901)
        Contestant.objects.filter(contest=made, number=102).update(number=101)
        record_change(made, "Sue", Sentence("numbers changed"))
        assert client.get(home).status_code == 404

    def test_names_on_it_follow_the_contest(self, client):
        contest = ready(rules=RulesFactory(show_people_as="number"))
        release(contest)
        make_links(contest, "Sue")
        assert "Family" not in body(client.get(self.home(contestant__number=102)))

    def test_the_superintendent_hands_them_out_on_a_page(self, superintendent, made):
        from tests.scoring.results.test_results_page import sent

        start = f"/contests/{made.pk}/results/links/"
        page = body(superintendent.get(start))
        assert page.count('class="qr"') == 6
        assert "Family" not in page
        link = TakeHomeLink.objects.get(team__name="Ötztal")
        assert superintendent.post(f"{start}{link.pk}/", sent(act="withdraw")).status_code == 302
        assert body(superintendent.get(start)).count('class="qr"') == 5
        assert superintendent.post(f"{start}{link.pk}/", sent(act="renew")).status_code == 409
        superintendent.post(start, sent(act="withdraw"))
        assert not TakeHomeLink.objects.filter(withdrawn_at=None).exists()
        superintendent.post(start, sent())
        assert TakeHomeLink.objects.filter(withdrawn_at=None).count() == 6

    def test_they_lead_to_the_public_address_and_are_not_shown_where_nobody_could_open_them(
        self, superintendent, made, monkeypatch
    ):
        monkeypatch.setattr("contest.serving.addresses.lan_addresses", list)
        start, here = f"/contests/{made.pk}/results/links/", {"headers": {"Host": "localhost:8000"}}
        page = body(superintendent.get(start, **here))
        assert "No network." in page
        assert "/home/" not in page
        monkeypatch.setattr("contest.serving.addresses.lan_addresses", lambda: ["10.0.0.7"])
        page = body(superintendent.get(start, **here))
        assert "They work in this hall alone" in page
        assert page.count('href="http://10.0.0.7:8000/home/') == 6
        set_addresses(made, "Sue", "", "https://example.org/fall")
        page = body(superintendent.get(start, **here))
        assert "They lead to <b>https://example.org/fall</b>" in page
        assert page.count('href="https://example.org/fall/home/') == 6
        assert "10.0.0.7" not in page

    def test_they_are_found_by_number_team_or_division_and_stand_on_pages(self, superintendent, made, monkeypatch):
        from scoring.results.views import results
        from tests.scoring.results.test_results_page import sent

        start = f"/contests/{made.pk}/results/links/"

        def found(query):
            return re.findall(r"<h3>(?:Contestant )?<bdi>([^<]*)</bdi>", body(superintendent.get(start + query)))

        assert found("?find=102") == ["102"]
        assert found("?find=otztal") == ["Ötztal", "103", "104"]
        assert found("?find=Given102x") == []
        monkeypatch.setattr(results, "HANDOUTS_A_PAGE", 4)
        assert found("") == ["Barley Hill", "Ötztal", "101", "102"]
        assert found("?page=2") == ["103", "104"]
        assert found("?page=nonsense") == ["Barley Hill", "Ötztal", "101", "102"]
        link = TakeHomeLink.objects.get(contestant__number=104)
        answer = superintendent.post(f"{start}{link.pk}/", sent(act="withdraw", find="senior") | {"page": "2"})
        assert answer.url == f"{start}?find=senior&page=2"

    def test_a_link_of_another_contest_is_not_there(self, superintendent, made):
        from tests.scoring.results.test_results_page import sent

        other = ready()
        link = TakeHomeLink.objects.first()
        answer = superintendent.post(f"/contests/{other.pk}/results/links/{link.pk}/", sent(act="withdraw"))
        assert answer.status_code == 404

    def test_a_protest_window_or_a_correction_is_told_there_too(self, client, made):
        change_key(made)
        correct(Contest.objects.get(pk=made.pk), "the key")
        assert re.search(r"Corrected, \d\d:\d\d, the key", body(client.get(self.home(team__name="Ötztal"))))


class TestPicturesOfCards:
    @pytest.fixture
    def contest(self):
        """Released, and the card of 101 in class 1 was read by scanner before."""
        made = ready()
        change_rules(made, "Sue", on=True, on_packets=True)
        scanned(made, seen(made, 101))
        ScannedCard.objects.update(became="settled", by="Ann")
        release(made)
        make_links(Contest.objects.get(pk=made.pk), "Sue")
        return made

    def home(self, number):
        return f"/home/{TakeHomeLink.objects.get(contestant__number=number).token}/"

    def test_a_family_sees_the_picture_of_its_own_card_alone(self, client, contest):
        page = body(client.get(self.home(101)))
        assert page.count('class="picture"') == 1
        address = self.home(101) + "cards/1/101/"
        assert f'href="{address}"' in page
        answer = client.get(address)
        assert (answer.content, answer["Content-Type"]) == (PICTURE, "image/jpeg")
        assert answer["X-Robots-Tag"] == "noindex, nofollow"
        assert client.get(self.home(101) + "cards/2/101/").status_code == 404
        assert client.get(self.home(102) + "cards/1/101/").status_code == 404
        assert 'class="picture"' not in body(client.get(self.home(102)))

    def test_nobody_does_where_the_contest_does_not_allow_it(self, client, contest):
        change_rules(contest, "Sue", on_packets=False)
        assert 'class="picture"' not in body(client.get(self.home(101)))
        assert client.get(self.home(101) + "cards/1/101/").status_code == 404

    def test_a_picture_that_waits_for_a_person_may_be_somebody_elses(self, client, contest):
        ScannedCard.objects.update(became="waiting")
        assert client.get(self.home(101) + "cards/1/101/").status_code == 404
