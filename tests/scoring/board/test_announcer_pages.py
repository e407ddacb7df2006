"""The announcer's pages: the queue, the script, the moves, and how names are said."""

from uuid import uuid4

import pytest
from django.test import Client

from contest.models import Contestant, Duty, Team
from scoring.board.queue import take_out
from tests.factories import RulesFactory
from tests.scoring.board.cast import OVERALL, REASONS, TEAMS, ceremony_ready, go, released_contest, sent, stage, step_of
from tests.scoring.results.cast import ready

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def address(contest, rest=""):
    return f"/contests/{contest.pk}/announcer/{rest}"


@pytest.fixture
def contest():
    return ceremony_ready(OVERALL, TEAMS)


@pytest.fixture
def ann(as_helper, contest):
    return as_helper(contest, Duty.ANNOUNCER)


def text(client, contest, rest=""):
    answer = client.get(address(contest, rest))
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    return answer.content.decode()


class TestAccess:
    @pytest.mark.parametrize("rest", ["", "names/"])
    def test_announcers_and_the_superintendent_alone(self, contest, ann, superintendent, as_helper, rest):
        assert ann.get(address(contest, rest)).status_code == 200
        assert superintendent.get(address(contest, rest)).status_code == 200
        assert as_helper(contest, Duty.TABULATOR, "Tom").get(address(contest, rest)).status_code == 404
        assert Client().get(address(contest, rest)).status_code == 302

    def test_of_this_contest(self, ann):
        assert ann.get(address(ready())).status_code == 404

    @pytest.mark.parametrize("rest", ["move/next/", "queue/", "queue/1/"])
    def test_changes_are_posted(self, contest, ann, rest):
        assert ann.get(address(contest, rest)).status_code == 405

    @pytest.mark.parametrize("rest", ["", "names/"])
    def test_pages_are_read(self, contest, ann, rest):
        assert ann.post(address(contest, rest)).status_code == 405


class TestScript:
    def test_before_the_release_it_shows_no_result(self, as_helper):
        contest = ready()
        page = text(as_helper(contest, Duty.ANNOUNCER), contest)
        assert "The results are not released yet." in page
        assert "Given" not in page
        assert "141.01" not in page

    def test_it_reads_from_the_last_award_to_the_first(self, contest, ann):
        go(contest, "begin", "next")
        page = text(ann, contest)
        script = page[page.index('aria-label="Script"') :]
        places = [script.index(words) for words in ("Fourth place", "Third place", "Second place", "First place")]
        assert places == sorted(places)
        assert "1 of 4 revealed" in page
        assert "Reveal third place" in page

    def test_names_are_said_even_where_the_board_shows_numbers(self, as_helper):
        contest = ceremony_ready(rules=RulesFactory(show_people_as="number"))
        go(contest, "begin")
        assert "Given101x Family101x" in text(as_helper(contest, Duty.ANNOUNCER), contest)

    def test_a_family_that_says_no_is_number_only(self, contest, ann):
        go(contest, "begin")
        page = text(ann, contest)
        assert "number only" in page
        assert "Given104x" not in page

    def test_notes_stand_beside_the_names(self, contest, ann):
        Contestant.objects.filter(number=101).update(say_name="GIV-en")
        Team.objects.filter(name="Ötztal").update(say_name="ERTS-tahl")
        go(contest, "begin")
        page = text(ann, contest)
        assert "say <bdi>GIV-en</bdi>" in page
        assert "say <bdi>ERTS-tahl</bdi>" in page

    def test_a_team_is_read_with_those_who_count(self, contest, ann):
        go(contest, "begin", "show", "next")
        page = text(ann, contest)
        assert "Given101x Family101x" in page
        assert "Barley Hill" in page

    def test_a_tie_is_said_to_be_one(self, as_helper):
        from scoring.core.record import Card, ReasonsScore

        cards = tuple(Card(judged, number, "3124", "3124") for number in (101, 102, 103, 104) for judged in (1, 2))
        reasons = tuple(ReasonsScore(1, number, "A", 4000) for number in (101, 102, 103, 104))
        contest = ceremony_ready(cards=cards, reasons=reasons)
        go(contest, "begin")
        assert "Tied for first place" in text(as_helper(contest, Duty.ANNOUNCER), contest)

    def test_a_second_device_asks_whether_it_is_in_step(self, contest, ann):
        go(contest, "begin")
        known = str(contest.revision)
        assert ann.get(address(contest), {"v": known}).status_code == 204
        go(contest, "next")
        part = ann.get(address(contest), {"v": known}).content.decode()
        assert part.lstrip().startswith('<div id="stage"')
        assert "1 of 4 revealed" in part


class TestBeforeResultsVanish:
    def test_queueing_a_list_after_everything_is_public_asks_first(self, as_helper):
        contest = released_contest()
        ann = as_helper(contest, Duty.ANNOUNCER)
        assert "The results are public already." in text(ann, contest)
        wish = {"submission": str(uuid4()), "lists": ["SR/overall/individuals"], "places": 10}
        refused = ann.post(address(contest, "queue/"), wish)
        assert refused.status_code == 422
        assert "Say that the results may vanish" in refused.content.decode()
        assert not contest.award_lists.exists()
        assert ann.post(address(contest, "queue/"), wish | {"sure": "on"}).status_code == 302

    def test_queueing_before_the_release_or_beside_other_lists_asks_nothing(self, contest, ann):
        assert "The results are public already." not in text(ann, contest)


class TestMoves:
    def test_next_reveals_a_row(self, contest, ann):
        go(contest, "begin")
        assert ann.post(address(contest, "move/next/"), sent(contest)).status_code == 302
        assert stage(contest) == ("SR overall individuals", 1, True)

    def test_by_script_the_stage_comes_back(self, contest, ann):
        part = ann.post(address(contest, "move/begin/"), sent(contest), headers={"HX-Request": "true"})
        assert part.status_code == 200
        assert "0 of 4 revealed" in part.content.decode()

    @pytest.mark.parametrize("headers", [{}, {"HX-Request": "true"}])
    def test_a_stale_next_answers_409_and_changes_nothing(self, contest, ann, as_helper, headers):
        go(contest, "begin")
        stale = sent(contest)
        bea = as_helper(contest, Duty.ANNOUNCER, "Bea")
        bea.post(address(contest, "move/next/"), sent(contest))
        answer = ann.post(address(contest, "move/next/"), stale, headers=headers)
        assert answer.status_code == 409
        assert "somebody else moved on meanwhile" in answer.content.decode()
        assert "1 of 4 revealed" in answer.content.decode()
        assert stage(contest)[1] == 1

    def test_the_same_press_twice_is_one_step(self, contest, ann):
        go(contest, "begin")
        press = sent(contest)
        for _ in range(2):
            assert ann.post(address(contest, "move/next/"), press).status_code == 302
        assert stage(contest)[1] == 1
        assert ann.post(address(contest, "move/next/"), press | {"step": step_of(contest)}).status_code == 422

    def test_a_move_that_makes_no_sense_is_said_to_be_refused(self, contest, ann):
        answer = ann.post(address(contest, "move/next/"), sent(contest))
        assert answer.status_code == 422
        assert "begin the ceremony first" in answer.content.decode()

    def test_a_list_is_put_on_stage(self, contest, ann):
        go(contest, "begin")
        teams = contest.award_lists.get(kind="teams")
        ann.post(address(contest, "move/stage/"), sent(contest, to=teams.pk))
        assert stage(contest) == ("SR overall teams", 0, True)

    def test_there_is_no_other_move(self, contest, ann):
        assert ann.post(address(contest, "move/dance/"), sent(contest)).status_code == 404
        assert ann.post(address(contest, "move/begin/"), {"submission": str(uuid4())}).status_code == 404


class TestQueue:
    def test_lists_are_queued(self, contest, ann):
        answer = ann.post(address(contest, "queue/"), sent(contest, lists=["/".join(REASONS)], places=3))
        assert answer.status_code == 302
        assert contest.award_lists.last().places == 3

    @pytest.mark.parametrize(
        ("fields", "why"),
        [
            ({"places": "3"}, "choose a list"),
            ({"lists": ["SR/nothing/teams"], "places": "3"}, "not one of the available"),
            ({"lists": ["SR/reasons/individuals"], "places": "none"}, "whole number"),
        ],
    )
    def test_what_was_typed_stays_where_it_is_refused(self, contest, ann, fields, why):
        answer = ann.post(address(contest, "queue/"), sent(contest, **fields))
        assert answer.status_code == 422
        assert why in answer.content.decode()
        assert f'value="{fields["places"]}"' in answer.content.decode()
        assert contest.award_lists.count() == 2

    def test_the_order_is_changed_by_buttons(self, contest, ann):
        teams = contest.award_lists.get(kind="teams").pk
        answer = ann.post(address(contest, f"queue/{teams}/"), sent(contest, wish="up", places="10"))
        assert answer.url.endswith(f"#queued-{teams}-up")
        assert contest.award_lists.first().pk == teams

    def test_places_are_changed_and_a_list_is_taken_out(self, contest, ann):
        teams = contest.award_lists.get(kind="teams").pk
        ann.post(address(contest, f"queue/{teams}/"), sent(contest, wish="places", places="2"))
        assert contest.award_lists.get(pk=teams).places == 2
        ann.post(address(contest, f"queue/{teams}/"), sent(contest, wish="out"))
        assert contest.award_lists.count() == 1

    def test_wrong_places_are_refused_and_kept_to_be_mended(self, contest, ann):
        teams = contest.award_lists.get(kind="teams").pk
        answer = ann.post(address(contest, f"queue/{teams}/"), sent(contest, wish="places", places="0x"))
        assert answer.status_code == 422
        assert 'value="0x"' in answer.content.decode()

    def test_the_list_on_stage_stays(self, contest, ann):
        go(contest, "begin")
        first = contest.award_lists.first().pk
        answer = ann.post(address(contest, f"queue/{first}/"), sent(contest, wish="out"))
        assert answer.status_code == 422
        assert "on stage" in answer.content.decode()

    def test_a_second_device_fetches_the_queue_alone(self, contest, ann):
        take_out(contest, contest.award_lists.get(kind="teams").pk, "Bea")
        part = ann.get(address(contest), {"queue": ""}).content.decode()
        assert part.lstrip().startswith('<section class="queue"')
        assert "Move up: Senior, Overall, individuals" in part
        assert "Move up: Senior, Overall, teams" not in part

    def test_all_that_is_left_is_revealed_only_after_a_question(self, contest, ann):
        go(contest, "begin", "next")
        assert "3 places are still to be read. Reveal them all at once?" in text(ann, contest)
        go(contest, "next", "next")
        assert "at once?" not in text(ann, contest)


class TestNames:
    def test_they_are_asked_by_division_and_none_that_may_not_be_said(self, contest, ann):
        page = text(ann, contest, "names/")
        assert "Given101x Family101x" in page
        assert "Ötztal" in page
        assert "Given104x" not in page
        assert "104" in page

    def test_a_note_is_saved(self, contest, ann):
        person = Contestant.objects.get(number=101)
        where = address(contest, f"names/contestants/{person.pk}/")
        answer = ann.post(where, {"submission": str(uuid4()), "say": "GIV-en", "was": ""})
        assert answer.url == address(contest, f"names/?division=SR#contestants-{person.pk}")
        person.refresh_from_db()
        assert person.say_name == "GIV-en"
        assert "GIV-en" in text(ann, contest, f"names/contestants/{person.pk}/")

    def test_by_script_only_what_stands_beside_the_input_comes_back(self, contest, ann):
        team = Team.objects.get(name="Ötztal")
        fields = {"submission": str(uuid4()), "say": "ERTS-tahl", "was": ""}
        answer = ann.post(address(contest, f"names/teams/{team.pk}/"), fields, headers={"HX-Request": "true"})
        part = answer.content.decode()
        assert 'name="say"' not in part
        assert 'name="was" value="ERTS-tahl"' in part
        assert fields["submission"] not in part

    def test_somebody_elses_note_is_shown_and_what_was_typed_stays(self, contest, ann):
        person = Contestant.objects.get(number=101)
        Contestant.objects.filter(pk=person.pk).update(say_name="theirs")
        where = address(contest, f"names/contestants/{person.pk}/")
        answer = ann.post(where, {"submission": str(uuid4()), "say": "mine", "was": ""})
        assert answer.status_code == 409
        page = answer.content.decode()
        assert "theirs" in page
        assert 'value="mine"' in page

    def test_too_long_a_note_is_refused(self, contest, ann):
        person = Contestant.objects.get(number=101)
        where = address(contest, f"names/contestants/{person.pk}/")
        answer = ann.post(where, {"submission": str(uuid4()), "say": "x" * 201, "was": ""})
        assert answer.status_code == 422
        assert "x" * 201 in answer.content.decode()

    @pytest.mark.parametrize("kind", ["contestants", "teams", "horses"])
    def test_nobody_of_another_contest_is_found(self, contest, ann, kind):
        other = released_contest()
        person = other.contestants.first() if kind != "teams" else Team.objects.filter(division__contest=other).first()
        assert ann.get(address(contest, f"names/{kind}/{person.pk}/")).status_code == 404

    def test_a_name_that_may_not_be_said_has_no_page(self, contest, ann):
        person = Contestant.objects.get(number=104, contest=contest)
        assert ann.get(address(contest, f"names/contestants/{person.pk}/")).status_code == 404


def test_the_announcer_lands_on_the_page(contest, ann):
    assert ann.get("/").url == address(contest)
