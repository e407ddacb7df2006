"""Making a practice, joining it, handing in, and going from step to step."""

from datetime import timedelta

import pytest
import time_machine
from django.db import IntegrityError, transaction
from django.utils import timezone

from contest.book.pair_notes import Note
from contest.changes.exceptions import NotPossible
from contest.helpers.joining import NameTaken
from contest.models import Practice, PracticeClass, PracticeMember, PracticePlacing, TrailName
from contest.pair_notes import fingerprint
from contest.practice import joining
from contest.practice.joining import join_practice, remove_member
from contest.practice.making import (
    add_class,
    delete_forgotten,
    delete_practice,
    keep_practice,
    make_practice,
)
from contest.practice.running import go_to, hand_in, pair_notes_of, set_key, write_pair_notes
from contest.practice.showing import class_shown, own_classes
from scoring.core.practice import MOST_CLASSES
from tests.trails import trail_of

pytestmark = pytest.mark.django_db

Step = PracticeClass.Step


@pytest.fixture
def practice():
    return make_practice("Market steers", "1234", 12, keeps=False, by="coach")


@pytest.fixture
def judged(practice):
    return practice.classes.get()


def lead(judged, to):
    for step in range(judged.step + 1, to + 1):
        judged.refresh_from_db()
        go_to(judged, step - 1, step)
    judged.refresh_from_db()


class TestMaking:
    def test_what_nobody_keeps_goes_a_day_after_it_was_last_used(self, practice):
        kept = make_practice("Hogs", "1234", 12, keeps=True, by="coach")
        hand_in(join_practice(practice, "Ana"), 1, "3124", {})
        with time_machine.travel(timezone.now() + timedelta(hours=23)):
            join_practice(practice, "Ben")
            assert delete_forgotten() == 0
        with time_machine.travel(timezone.now() + timedelta(hours=46)):
            assert delete_forgotten() == 0
        with time_machine.travel(timezone.now() + timedelta(hours=48)):
            assert delete_forgotten() == 1
        assert list(Practice.objects.all()) == [kept]
        assert not PracticeMember.objects.exists()
        assert not PracticePlacing.objects.exists()

    def test_the_coach_may_keep_it_after_all(self, practice):
        keep_practice(practice, True)
        with time_machine.travel(timezone.now() + timedelta(days=400)):
            assert delete_forgotten() == 0

    def test_it_is_deleted_with_everything_at_once(self, practice):
        hand_in(join_practice(practice, "Ana"), 1, "3124", {"3": {"good": "deep"}})
        delete_practice(practice, "coach")
        assert not any(model.objects.exists() for model in (Practice, PracticeClass, PracticeMember, PracticePlacing))
        with pytest.raises(NotPossible, match="deleted meanwhile"):
            join_practice(practice, "Ben")

    def test_the_trail_says_that_one_was_made_and_deleted_and_names_nobody(self, practice):
        join_practice(practice, "Cleopatra")
        delete_practice(practice, "coach")
        assert [(one.what, one.by) for one in trail_of(None)] == [
            ("practice made", "coach"),
            ("practice deleted for good", "coach"),
        ]
        assert not TrailName.objects.filter(name__icontains="cleo").exists()

    def test_there_is_an_end_to_classes(self, practice):
        for number in range(2, MOST_CLASSES + 1):
            assert add_class(practice, "More", "1234", 12).number == number
        with pytest.raises(NotPossible, match="at most"):
            add_class(practice, "More", "1234", 12)


class TestJoining:
    def test_a_name_is_one_members_alone_however_it_is_written(self, practice):
        join_practice(practice, "Ana", "one")
        with pytest.raises(NameTaken):
            join_practice(practice, " ANA ", "another")
        with pytest.raises(NameTaken):
            join_practice(practice, "Ana")

    def test_who_comes_back_on_the_same_device_is_who_they_were(self, practice):
        member = join_practice(practice, "Ana", "one")
        assert join_practice(practice, "ana", "one") == member

    def test_there_is_an_end_to_members(self, practice, monkeypatch):
        monkeypatch.setattr(joining, "MOST_MEMBERS", 2)
        ana, _ben = join_practice(practice, "Ana", "one"), join_practice(practice, "Ben")
        with pytest.raises(NotPossible, match="is full: 2 members"):
            join_practice(practice, "Cleo")
        assert join_practice(practice, "Ana", "one") == ana

    def test_another_practice_may_have_the_same_name(self, practice):
        other = make_practice("Hogs", "1234", 12, keeps=False, by="coach")
        assert join_practice(practice, "Ana") != join_practice(other, "Ana")

    def test_who_is_taken_out_is_gone_with_what_they_handed_in(self, practice):
        member = join_practice(practice, "Ana")
        hand_in(member, 1, "3124", {})
        remove_member(member)
        assert not PracticePlacing.objects.exists()
        with pytest.raises(NotPossible, match="join again"):
            hand_in(member, 1, "3124", {})


class TestHandingIn:
    def test_another_one_takes_its_place_until_the_class_is_closed(self, practice, judged):
        member = join_practice(practice, "Ana")
        hand_in(member, 1, "3124", {})
        hand_in(member, 1, "4213", {"4": {"faults": "light behind"}})
        assert judged.placings.get().placing == "4213"
        lead(judged, Step.CLOSED)
        with pytest.raises(NotPossible, match="closed, and you have handed in 4213"):
            hand_in(member, 1, "3124", {})
        assert hand_in(member, 1, "4213", {"4": {"faults": "light behind"}}).placing == "4213"

    @pytest.mark.parametrize(("step", "late"), [(Step.CLOSED, False), (Step.GROUP, True), (Step.SCORES, True)])
    def test_what_the_network_held_up_still_comes_in_and_is_late_once_the_group_was_shown(
        self, practice, judged, step, late
    ):
        member = join_practice(practice, "Ana")
        set_key(judged, "3124", (3, 5, 2))
        lead(judged, step)
        assert hand_in(member, 1, "3124", {}).late is late
        assert class_shown(judged).of_group == ([] if late else ["3124"])

    @pytest.mark.parametrize(
        ("number", "placing", "why"),
        [(1, "3125", "animals are 1, 2, 3 and 4"), (2, "3124", "no class 2"), (1, "", "0 char")],
    )
    def test_what_cannot_be_is_refused(self, practice, number, placing, why):
        with pytest.raises(NotPossible, match=why):
            hand_in(join_practice(practice, "Ana"), number, placing, {})
        assert not PracticePlacing.objects.exists()

    def test_the_database_itself_keeps_one_placing_a_member(self, practice, judged):
        member = join_practice(practice, "Ana")
        hand_in(member, 1, "3124", {})
        with pytest.raises(IntegrityError), transaction.atomic():
            judged.placings.create(member=member, placing="4213")


class TestSteps:
    def test_they_come_one_at_a_time_and_none_is_skipped(self, judged):
        with pytest.raises(NotPossible, match="one step at a time"):
            go_to(judged, 0, Step.CLOSED)
        go_to(judged, 0, Step.PLACING)
        assert judged.began_at is None
        judged.refresh_from_db()
        assert judged.began_at is not None
        with pytest.raises(NotPossible, match="has begun"):
            go_to(judged, Step.PLACING, Step.JOINING)

    def test_two_devices_do_not_go_on_twice(self, judged):
        go_to(judged, 0, Step.PLACING)
        go_to(judged, 0, Step.PLACING)
        lead(judged, Step.CLOSED)
        with pytest.raises(NotPossible, match="gone on meanwhile"):
            go_to(judged, Step.PLACING, Step.JOINING)

    def test_the_answer_waits_for_the_official_placing(self, judged):
        lead(judged, Step.GROUP)
        with pytest.raises(NotPossible, match="first type the official placing"):
            go_to(judged, Step.GROUP, Step.OFFICIAL)
        set_key(judged, "3124", (3, 5, 2))
        lead(judged, Step.SWITCHES)
        with pytest.raises(NotPossible, match="first write notes on the pairs"):
            go_to(judged, Step.SWITCHES, Step.REASONS)
        write_pair_notes(judged, [Note("longer"), Note(), Note()], fingerprint([Note()] * 3))
        lead(judged, Step.REASONS)
        with pytest.raises(NotPossible, match="one step at a time"):
            go_to(judged, Step.REASONS, Step.REASONS + 1)

    def test_the_database_itself_shows_no_answer_without_one(self, judged):
        with pytest.raises(IntegrityError), transaction.atomic():
            PracticeClass.objects.filter(pk=judged.pk).update(step=Step.OFFICIAL, began_at=timezone.now())

    @pytest.mark.parametrize(
        ("official", "cuts", "why"),
        [("3125", (3, 5, 2), "animals"), ("3124", (3, 5), "three cuts"), ("3124", (3, 5, 20_000), "cannot be meant")],
    )
    def test_a_key_that_cannot_be_is_refused(self, judged, official, cuts, why):
        with pytest.raises(NotPossible, match=why):
            set_key(judged, official, cuts)

    def test_another_key_scores_everything_anew(self, practice, judged):
        member = join_practice(practice, "Ana")
        hand_in(member, 1, "3142", {})
        set_key(judged, "3124", (3, 5, 2))
        lead(judged, Step.SCORES)
        assert own_classes(member)[0].score == 48
        set_key(judged, "3142", (3, 5, 2))
        assert own_classes(member)[0].score == 50

    def test_notes_on_pairs_take_the_place_of_those_that_were_seen_and_of_no_others(self, judged):
        set_key(judged, "3124", (3, 5, 2))
        none = fingerprint([Note()] * 3)
        notes = [Note("longer and leveler", "heavier muscled", "steep in the hip"), Note(), Note(faults="shallow")]
        write_pair_notes(judged, notes, none)
        assert pair_notes_of(judged) == notes
        with pytest.raises(NotPossible, match="changed meanwhile"):
            write_pair_notes(judged, [Note("another")] * 3, none)
        write_pair_notes(judged, [Note()] * 3, fingerprint(notes))
        assert not judged.pair_notes.exists()

    def test_the_database_itself_keeps_one_note_a_pair_and_none_that_is_empty(self, judged):
        judged.pair_notes.create(pair=1, grants="wider")
        for wrong in ({"pair": 1, "grants": "wider"}, {"pair": 2}, {"pair": 8, "grants": "wider"}):
            with pytest.raises(IntegrityError), transaction.atomic():
                judged.pair_notes.create(**wrong)

    @pytest.mark.parametrize("animals", ["ABC", "ABCDEFGH"])
    def test_a_class_of_any_size_comes_to_its_scores(self, animals):
        practice = make_practice("Any", animals, 5, keeps=False, by="coach")
        judged, member = practice.classes.get(), join_practice(practice, "Ana")
        hand_in(member, 1, animals[::-1], {})
        set_key(judged, animals, range(1, len(animals)))
        lead(judged, Step.SWITCHES)
        shown = class_shown(judged)
        assert (shown.picture, shown.would_gain, len(shown.pairs)) == (None, 1, len(animals) - 1)
        assert own_classes(member)[0].score == shown.given[0].score
