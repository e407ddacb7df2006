"""`verify_trail`: it finds whatever was done to a trail behind the application's back, and says where."""

from datetime import timedelta
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db.models import F

from contest.models import Contest, RowChange, SiteTrail, TrailDoor, TrailEntry, TrailName
from contest.trail import note, record_change, sentence
from contest.trail.hashing import Content, short
from contest.trail.names import forget_names
from contest.trail.proving import prove
from contest.trail.sentences import Sentence
from contest.trail.triggers import drop_triggers
from scoring.models import Release
from tests.factories import a_contest
from tests.scoring.results.cast import release
from tests.slips import read_card

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    """A contest with a trail of six entries, on a database that guards nothing."""
    made = a_contest()
    for number in range(101, 106):
        record_change(
            made, "Ann", sentence("contestant_corrected", contestant=number), after={"first_name": f"Given{number}"}
        )
    drop_triggers()
    return made


def found(contest):
    return [(problem.revision, problem.kind) for problem in prove(contest).problems]


def entry(contest, revision):
    return TrailEntry.objects.filter(contest=contest, revision=revision)


def verify(*args):
    out, errors = StringIO(), StringIO()
    call_command("verify_trail", *args, stdout=out, stderr=errors)
    return out.getvalue() + errors.getvalue()


def test_a_trail_that_nobody_touched_is_whole(contest):
    note("Sue", Sentence("signed in"))
    proof = prove(contest)
    assert (proof.entries, proof.revision, proof.head, proof.names) == (6, 6, contest.trail_head, 7)
    assert (found(contest), found(None), found(a_contest())) == ([], [], [])


@pytest.mark.parametrize(
    "change",
    [
        {"what": "something else"},
        {"before": {"forged": True}},
        {"after": None},
        {"at": F("at") + timedelta(seconds=1)},
        {"touches": "cards"},
        {"about": " contestant:999 "},
        {"rows_digest": "ab"},
        {"hash": "ab"},
    ],
)
def test_whatever_is_changed_of_an_entry_is_found_at_its_revision(contest, change):
    entry(contest, 3).update(**change)
    assert (3, "content") in found(contest)


def test_an_entry_that_is_gone_leaves_a_gap_that_is_named(contest):
    entry(contest, 3).delete()
    assert found(contest) == [(4, "gap"), (4, "content")]
    assert str(prove(contest).problems[0]) == "revision 4: nothing stands between it and revision 2"


def test_an_entry_forged_with_its_hash_is_found_at_the_next(contest):
    forged = entry(contest, 3).get()
    forged.what = "forged"
    before = entry(contest, 2).get().hash
    entry(contest, 3).update(what="forged", hash=Content.of(forged).hash_after(before))
    assert found(contest) == [(4, "content")]


def test_two_that_changed_places_are_found(contest):
    entry(contest, 3).update(revision=99)
    entry(contest, 4).update(revision=3)
    entry(contest, 99).update(revision=4)
    assert {(3, "content"), (4, "order"), (4, "content")} <= set(found(contest))


@pytest.mark.parametrize("change", [{"revision": 7}, {"trail_head": "ab"}])
def test_a_contest_that_says_its_trail_ends_elsewhere_is_found(contest, change):
    Contest.objects.filter(pk=contest.pk).update(**change)
    assert found(contest) == [(None, "head")]


def test_the_last_entry_cut_off_is_found(contest):
    entry(contest, 6).delete()
    assert (None, "head") in found(contest)


def test_a_whole_chain_written_anew_is_shown_by_a_paper(contest):
    on_paper = short(contest.trail_head)
    assert "belongs to this trail, at revision 6" in verify(contest.pk, "--head", on_paper, "--revision", "6")
    assert "belongs to this trail, at revision 6" in verify(contest.pk, "--head", on_paper.replace(" ", "").upper())
    head = ""
    for one in contest.trail.all():
        if one.values.get("contestant") == 105:
            one.values["contestant"] = 104
        head = Content.of(one).hash_after(head)
        entry(contest, one.revision).update(values=one.values, hash=head)
    Contest.objects.filter(pk=contest.pk).update(trail_head=head)
    assert found(contest) == []
    with pytest.raises(CommandError, match="does not belong to revision 6 of this trail"):
        verify(contest.pk, "--head", on_paper, "--revision", "6")


def test_a_name_put_in_the_place_of_another_is_found(contest):
    TrailName.objects.filter(contest=contest, name="Ann").update(name="Bob")
    assert found(contest) == [(None, "name")]
    TrailName.objects.filter(contest=contest, name="Bob").delete()
    assert found(contest) == [(None, "name")]


def test_a_trail_made_anonymous_still_proves_and_says_so(contest):
    forget_names(contest, keep=["Ann"])
    proof = prove(contest)
    assert (proof.problems, proof.names, proof.forgotten) == ((), 7, 6)
    assert "7 names, 6 made anonymous; whole" in verify(contest.pk)


def test_the_book_of_a_release_is_in_the_chain(contest):
    release(contest)
    assert found(contest) == []
    Release.objects.update(book=b"another")
    assert found(contest) == [(None, "release")]
    Release.objects.all().delete()
    assert found(contest) == [(None, "release")]


def test_the_rows_kept_beside_an_entry_are_in_the_chain(contest):
    read_card(contest.classes.get(), 101, "3124", "Ann", uuid4())
    assert found(contest) == []
    RowChange.objects.filter(contest=contest, kind="update").update(before="{}")
    assert found(contest) == [(7, "rows")]
    RowChange.objects.filter(contest=contest, revision=7).delete()
    assert found(contest) == [(7, "rows")]


def test_a_door_left_open_is_found(contest):
    TrailDoor.objects.create(contest_key=contest.pk)
    assert found(None) == [(None, "door")]


def test_the_sites_own_chain_is_proved_too(contest):
    note("Sue", Sentence("signed in"))
    note("Sue", Sentence("signed out"))
    SiteTrail.objects.update(revision=5)
    assert found(None) == [(None, "head")]


class TestCommand:
    def test_every_trail_is_proved(self, contest):
        note("Sue", Sentence("signed in"))
        lines = verify().splitlines()
        assert len(lines) == 2
        assert f"6 entries to revision 6, trail {short(contest.trail_head)}; 7 names; whole" in lines[0]
        assert lines[1].startswith("the site itself: 1 entry to revision 1, trail ")

    def test_what_does_not_hold_ends_it_with_1(self, contest, capsys):
        entry(contest, 3).update(what="forged")
        with pytest.raises(CommandError, match="does not hold") as ended:
            verify(contest.pk)
        assert ended.value.returncode == 1

    def test_what_cannot_be_on_a_paper_is_said(self, contest):
        with pytest.raises(CommandError, match="copy the groups"):
            verify(contest.pk, "--head", "trail")
        with pytest.raises(CommandError, match="which contest"):
            verify("--head", "0a1b 2c3d")
        with pytest.raises(CommandError, match="give --head too"):
            verify(contest.pk, "--revision", "3")

    def test_a_contest_that_is_not_there_is_named_with_those_there_are(self, contest):
        with pytest.raises(CommandError, match="Harrow Creek"):
            verify(contest.pk + 1)
