"""The queue of lists, and notes on how names are said."""

import pytest

from contest.changes.exceptions import NotPossible
from contest.models import Contestant, Team, TrailEntry
from scoring.announced.released import released
from scoring.board.awards import ListKey
from scoring.board.pronunciation import SaidOtherwise, note_say_name, spoken_people, spoken_teams
from scoring.board.queue import lists_of, queue_lists, read_places, shift, take_out
from tests.scoring.board.cast import OVERALL, REASONS, TEAMS, ceremony_ready, go, released_contest
from tests.scoring.results.cast import ready
from tests.trails import trail_of

pytestmark = pytest.mark.django_db


def order(contest):
    return [f"{row.code} {row.kind}" for row in contest.award_lists.all()]


def pk_of(contest, code="overall", kind="individuals"):
    return contest.award_lists.get(code=code, kind=kind).pk


class TestQueue:
    def test_lists_can_be_queued_before_there_is_a_result(self):
        contest = ready()
        queue_lists(contest, [TEAMS, OVERALL], 5, "Ann")
        assert order(contest) == ["overall teams", "overall individuals"]
        assert set(contest.award_lists.values_list("places", flat=True)) == {5}

    def test_more_lists_go_to_the_end(self):
        contest = ceremony_ready(OVERALL)
        queue_lists(contest, [REASONS], 3, "Ann")
        assert order(contest) == ["overall individuals", "reasons individuals"]

    @pytest.mark.parametrize(
        ("keys", "places", "why"),
        [
            ([], 10, "choose"),
            ([ListKey("SR", "XX", "individuals")], 10, "no such list"),
            ([OVERALL], 10, "queued already"),
            ([REASONS], 0, "places"),
            ([REASONS], 1001, "places"),
        ],
    )
    def test_what_cannot_be_read_is_refused_with_all_that_came_with_it(self, keys, places, why):
        contest = ceremony_ready(OVERALL)
        with pytest.raises(NotPossible, match=why):
            queue_lists(contest, [TEAMS, *keys] if keys else keys, places, "Ann")
        assert order(contest) == ["overall individuals"]

    def test_a_list_changes_places_with_its_neighbour_and_stays_at_the_ends(self):
        contest = ceremony_ready(OVERALL, TEAMS, REASONS)
        shift(contest, pk_of(contest, "reasons"), "up", "Ann")
        assert order(contest) == ["overall individuals", "reasons individuals", "overall teams"]
        shift(contest, pk_of(contest), "down", "Ann")
        assert order(contest)[:2] == ["reasons individuals", "overall individuals"]
        entries = TrailEntry.objects.count()
        shift(contest, pk_of(contest, "reasons"), "up", "Ann")
        assert order(contest)[0] == "reasons individuals"
        assert TrailEntry.objects.count() == entries

    def test_a_list_is_taken_out_or_read_to_another_place(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        read_places(contest, pk_of(contest), 3, "Ann")
        take_out(contest, pk_of(contest, kind="teams"), "Ann")
        assert list(contest.award_lists.values_list("kind", "places")) == [("individuals", 3)]

    def test_other_places_are_read_from_the_start(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        go(contest, "begin", "next", "next")
        go(contest, "stage", to=pk_of(contest, kind="teams"))
        read_places(contest, pk_of(contest), 3, "Ann")
        assert contest.award_lists.get(pk=pk_of(contest)).revealed == 0

    def test_the_list_on_stage_stays_as_it_is_until_it_was_read(self):
        contest = ceremony_ready(OVERALL, TEAMS)
        go(contest, "begin")
        with pytest.raises(NotPossible, match="on stage"):
            take_out(contest, pk_of(contest), "Ann")
        with pytest.raises(NotPossible, match="on stage"):
            read_places(contest, pk_of(contest), 2, "Ann")
        go(contest, "end")
        take_out(contest, pk_of(contest), "Ann")

    def test_a_list_that_is_gone_is_said_to_be(self):
        contest = ceremony_ready()
        with pytest.raises(NotPossible, match="not queued any more"):
            shift(contest, 999, "up", "Ann")

    def test_the_lists_that_can_be_read_are_those_that_were_announced(self):
        assert [named.key for named in lists_of(ready())][:2] == [OVERALL, TEAMS]


class TestSaying:
    def test_a_note_is_kept_and_said(self):
        contest = released_contest()
        note_say_name(Contestant.objects.get(number=101), "  GIV-en   of FAM ", "", "Ann")
        team = Team.objects.get(name="Ötztal")
        note_say_name(team, "ERTS-tahl", "", "Ann")
        assert spoken_people(contest, released(contest).whole)[101].say == "GIV-en of FAM"
        assert spoken_teams(contest)["SR", "Ötztal"].say == "ERTS-tahl"
        assert "how the name of contestant 101 is said" in [entry.what for entry in trail_of(contest)]

    def test_the_same_note_again_is_no_change(self):
        released_contest()
        person = Contestant.objects.get(number=101)
        note_say_name(person, "GIV-en", "", "Ann")
        entries = TrailEntry.objects.count()
        note_say_name(person, "GIV-en", "", "Ben")
        assert TrailEntry.objects.count() == entries

    def test_somebody_elses_note_is_not_overwritten_unseen(self):
        released_contest()
        person = Contestant.objects.get(number=101)
        note_say_name(person, "GIV-en", "", "Ann")
        with pytest.raises(SaidOtherwise, match="GIV-en"):
            note_say_name(person, "jiv-EN", "", "Ben")
        note_say_name(person, "jiv-EN", "GIV-en", "Ben")
        assert Contestant.objects.get(number=101).say_name == "jiv-EN"

    def test_whose_family_says_no_has_no_name_here_at_all(self):
        contest = released_contest()
        people = spoken_people(contest, released(contest).whole)
        assert (people[104].name, people[104].say, people[104].number_only) == ("", "", True)
        assert people[101].name == "Given101x Family101x"

    @pytest.mark.parametrize("change", [{"show_name": False}, {"first_name": "Another"}, {"number": 150}])
    def test_whoever_is_another_than_was_announced_is_called_by_number(self, change):
        contest = released_contest()
        Contestant.objects.filter(number=101).update(say_name="GIV-en", **change)
        person = spoken_people(contest, released(contest).whole)[101]
        assert (person.name, person.say, person.number_only) == ("", "", True)
