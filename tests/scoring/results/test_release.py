"""Releasing results: what must be accepted, what is kept, and what of it the crowd may see."""

from itertools import combinations

import pytest

from contest.changes.exceptions import NotPossible
from contest.models import Contest, Contestant
from contest.records import load_record
from contest.records.tallying import tallied
from contest.trail import record_change
from contest.trail.sentences import Sentence
from scoring.announced.released import released
from scoring.announced.snapshots import record_from_book, snapshot
from scoring.core.due import IN_DOUBT
from scoring.core.placing import PLACINGS
from scoring.core.tally import class_table
from scoring.models import Release
from scoring.results.corrections import unannounced
from scoring.results.release import NotAccepted, Overtaken, announce_correction, release_results
from tests.factories import RulesFactory
from tests.scoring.results.cast import change_key, correct, everything_open, lines_of, read, ready, release, the_class
from tests.slips import decide_card
from tests.trails import last_of

pytestmark = pytest.mark.django_db


def again(contest):
    return Contest.objects.get(pk=contest.pk)


class TestReleasing:
    def test_it_keeps_the_book_that_the_results_follow_from(self):
        contest = ready()
        made = release_results(contest, "Sue")
        assert (made.version, made.by, made.reason, made.accepted) == (1, "Sue", "", [])
        assert record_from_book(made.book) == load_record(contest.pk)[1]

    def test_it_is_in_the_trail_and_moves_the_revision_by_one(self):
        contest = ready()
        before = contest.revision
        made = release_results(contest, "Sue")
        entry = last_of(contest)
        assert (entry.what, entry.by, entry.revision) == ("results released", "Sue", before + 1)
        assert made.revision == before

    def test_what_is_open_is_refused_until_it_is_accepted_by_name(self):
        contest = ready()
        read(contest, 1, 101, "3142", "Zoe")
        with pytest.raises(NotAccepted) as refused:
            release_results(contest, "Sue", {"something else": "it is known"})
        assert [item.text for item in refused.value.items] == ["Class 1: 1 card in doubt: 101"]
        assert not Release.objects.exists()
        made = release_results(contest, "Sue", everything_open(contest))
        assert made.accepted_lines == ["Class 1: 1 card in doubt: 101. Released all the same: it is known"]

    def test_what_became_worse_meanwhile_was_not_accepted(self):
        contest = ready()
        read(contest, 1, 101, "3142", "Zoe")
        seen = everything_open(contest)
        read(contest, 1, 102, "3142", "Zoe")
        with pytest.raises(NotAccepted):
            release_results(contest, "Sue", seen)

    def test_it_is_done_once(self):
        contest = ready()
        release(contest)
        with pytest.raises(NotPossible, match="released already"):
            release(contest)
        assert Release.objects.count() == 1

    def test_marks_of_a_team_that_nobody_is_in_any_more_do_not_matter(self):
        contest = ready()
        barley = contest.contestants.filter(team__name="Barley Hill")
        other = contest.contestants.get(number=103).team
        barley.update(team=other)
        record_change(contest, "test", Sentence("everybody in one team"))
        made = release(contest)
        assert {mark.team for mark in record_from_book(made.book).marks} == {"Ötztal"}
        assert not unannounced(again(contest), tallied(again(contest)))


class TestReleased:
    def test_before_a_release_there_is_nothing(self):
        assert released(ready()) is None

    def test_it_is_what_was_announced_whatever_changes_later(self):
        contest = ready()
        release(contest)
        announced = released(contest)
        assert announced.result == tallied(contest).result
        change_key(contest)
        assert released(again(contest)).result == announced.result
        assert tallied(again(contest)).result != announced.result

    def test_it_costs_nothing_while_nothing_changes(self, django_assert_num_queries):
        contest = ready()
        release(contest)
        released(contest)
        with django_assert_num_queries(0):
            released(contest)

    def test_it_can_be_made_again_from_the_database_alone(self, nothing_remembered):
        from scoring.announced.released import forget_all

        contest = ready()
        release(contest)
        before = released(contest)
        forget_all()
        assert released(again(contest)) == before

    @pytest.mark.parametrize(
        ("show_as", "names"),
        [("name", "Given101x Family101x"), ("initials", "G F"), ("number", "")],
    )
    def test_no_more_of_a_name_is_in_it_than_may_be_shown(self, show_as, names):
        contest = ready(rules=RulesFactory(show_people_as=show_as))
        release(contest)
        people = {c.number: f"{c.first_name} {c.last_name}".strip() for c in released(contest).record.contestants}
        assert people[101] == names
        assert people[104] == ""  # the family wants none
        assert people[105] == ""  # did not come
        whole = {c.number: c.first_name for c in released(contest).whole.contestants}
        assert whole[104] == "Given104x"

    def test_a_family_that_changes_its_mind_is_heard_at_once(self):
        contest = ready()
        release(contest)
        Contestant.objects.filter(contest=contest, number=101).update(show_name=False)
        record_change(contest, "Sue", Sentence("no name of 101"))
        assert "Given101x" not in repr(released(again(contest)).record)
        assert not unannounced(again(contest), tallied(again(contest)))

    def test_the_contests_own_choice_holds_at_once_too(self):
        contest = ready()
        release(contest)
        Contest.objects.filter(pk=contest.pk).update(show_people_as="number")
        record_change(contest, "Sue", Sentence("numbers only"))
        assert "Family" not in repr(released(again(contest)).record)

    def test_a_number_that_somebody_else_has_now_shows_no_name(self):
        contest = ready()
        release(contest)
        Contestant.objects.filter(contest=contest, number=104).update(number=199)
        Contestant.objects.filter(contest=contest, number=101).update(number=104)
        record_change(contest, "Sue", Sentence("numbers changed"))
        shown = {c.number: c.first_name for c in released(again(contest)).record.contestants}
        assert (shown[101], shown[104]) == ("", "")


class TestCorrections:
    def test_nothing_is_unannounced_right_after_a_release(self):
        contest = ready()
        release(contest)
        assert not unannounced(contest, tallied(contest))

    def test_every_row_that_moves_is_named_with_its_old_and_new_rank(self):
        contest = ready()
        release(contest)
        change_key(contest)
        found = unannounced(again(contest), tallied(again(contest)))
        overall = next(one for one in found.lists if (one.code, one.kind) == ("overall", "individuals"))
        assert {row.whose: (row.old.rank, row.new.rank) for row in overall.rows}[102] == (3, 1)
        assert found.keys == (1,)
        assert {score.whose for score in found.scores} >= {101, 102}

    def test_announcing_makes_the_next_release_for_a_reason(self):
        contest = ready()
        release(contest)
        change_key(contest)
        made = correct(contest, "  the key of class 1\nwas wrong ")
        assert (made.version, made.reason) == (2, "the key of class 1 was wrong")
        announced = released(again(contest))
        assert announced.result == tallied(again(contest)).result
        assert announced.corrected == f"corrected, {announced.at:%H:%M}, the key of class 1 was wrong"
        assert not unannounced(again(contest), tallied(again(contest)))

    def test_a_first_release_is_not_corrected(self):
        contest = ready()
        release(contest)
        assert released(contest).corrected == ""

    def test_it_asks_for_a_reason(self):
        contest = ready()
        release(contest)
        change_key(contest)
        with pytest.raises(NotPossible, match="say why"):
            correct(contest, " ")

    def test_nothing_to_announce_is_refused(self):
        contest = ready()
        release(contest)
        with pytest.raises(NotPossible, match="nothing has changed"):
            correct(contest)

    def test_before_a_release_there_is_nothing_to_correct(self):
        with pytest.raises(NotPossible, match="nothing has changed"):
            correct(ready())

    def test_nobody_announces_what_they_did_not_see(self):
        contest = ready()
        release(contest)
        change_key(contest)
        seen = unannounced(again(contest), tallied(again(contest))).fingerprint
        change_key(contest, "4321")
        with pytest.raises(Overtaken):
            announce_correction(again(contest), "Sue", "key", seen)

    def test_what_is_open_by_then_must_be_accepted_too_but_not_twice(self):
        contest = ready()
        read(contest, 2, 101, "1234", "Zoe")
        release(contest)
        change_key(contest)
        read(contest, 2, 102, "1234", "Zoe")
        seen = unannounced(again(contest), tallied(again(contest))).fingerprint
        with pytest.raises(NotAccepted) as refused:
            announce_correction(again(contest), "Sue", "key", seen)
        assert [item.text for item in refused.value.items] == ["Class 2: 2 cards in doubt: 101, 102"]
        assert lines_of(contest)

    def test_what_was_accepted_at_the_release_is_not_asked_again(self):
        contest = ready()
        read(contest, 2, 101, "1234", "Zoe")
        release(contest)
        change_key(contest)
        seen = unannounced(again(contest), tallied(again(contest))).fingerprint
        assert announce_correction(again(contest), "Sue", "key", seen).version == 2

    def test_a_name_that_was_put_right_is_a_difference(self):
        contest = ready()
        release(contest)
        Contestant.objects.filter(contest=contest, number=101).update(first_name="Zoe")
        record_change(contest, "Sue", Sentence("name"))
        found = unannounced(again(contest), tallied(again(contest)))
        assert (found.people, found.lists, bool(found)) == ((101,), (), True)

    def test_another_placing_of_the_same_score_is_a_difference(self):
        contest = ready()
        points = class_table(tallied(contest).record.classes[0], tallied(contest).record.rules)
        one, other = next(pair for pair in combinations(PLACINGS, 2) if points[pair[0]] == points[pair[1]])
        decide_card(the_class(contest), contest.contestants.get(number=104), one, "Sue", "as the card says")
        release(contest)
        decide_card(the_class(contest), contest.contestants.get(number=104), other, "Sue", "the other card counts")
        found = unannounced(again(contest), tallied(again(contest)))
        assert (found.slips, found.lists, found.scores, bool(found)) == ((104,), (), (), True)
        correct(contest)
        assert not unannounced(again(contest), tallied(again(contest)))

    def test_a_doubt_that_was_decided_as_it_counted_is_a_difference_and_provisional_no_more(self):
        contest = ready()
        read(contest, 2, 101, "1234", "Zoe")
        release(contest)
        assert released(again(contest)).unsettled.items == {(101, "class:2"): IN_DOUBT}
        decide_card(the_class(contest, 2), contest.contestants.get(number=101), "4213", "Sue", "as the card says")
        found = unannounced(again(contest), tallied(again(contest)))
        assert (found.doubts, found.slips, found.lists, bool(found)) == ((101,), (), (), True)
        assert released(again(contest)).unsettled.items == {}
        correct(contest, "the last doubt is decided")
        assert not unannounced(again(contest), tallied(again(contest)))

    def test_a_doubt_that_was_decided_otherwise_is_provisional_until_that_is_announced(self):
        contest = ready()
        read(contest, 2, 101, "1234", "Zoe")
        release(contest)
        decide_card(the_class(contest, 2), contest.contestants.get(number=101), "1234", "Sue", "as the card says")
        assert released(again(contest)).unsettled.items
        correct(contest)
        assert not released(again(contest)).unsettled.items


def test_a_snapshot_that_would_not_read_back_is_refused(monkeypatch):
    from scoring.announced import snapshots

    contest = ready()
    monkeypatch.setattr(snapshots, "read_book", lambda path: None)
    with pytest.raises(NotPossible, match="does not come back"):
        snapshot(tallied(contest).record)
