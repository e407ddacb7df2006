"""Deleting a contest: everything of it goes, everything else stays, and nobody does it by a slip of the hand."""

from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from django.apps import apps
from django.conf import settings

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.desk.stacks import take_stack
from contest.entries.accommodating import Needs, accommodate
from contest.helpers.joining import let_in
from contest.models import (
    BroughtFile,
    CardPicture,
    Choice,
    ChoiceReading,
    CommitteeKey,
    CommitteeOfficial,
    CommitteeSeat,
    Contest,
    Duty,
    Event,
    EventContest,
    EventPerson,
    KeyDispute,
    Membership,
    PartKey,
    Permit,
    ResultSet,
    Scan,
    ScannedCard,
    ScanRules,
    SetMember,
    TieDecision,
    TrailEntry,
    TrailName,
)
from contest.records import save_record
from contest.scanning.arriving import Declared, begin
from contest.scanning.folder import folder_of
from contest.trail import record_change
from contest.trail.sentences import Sentence
from contest.uploads.files import file_of as file_of_brought
from reasons.models import PairNote, ReasonsDay, Room, SetNote, Slot, TimetableSearch
from reasons.scores.officials import add_official
from scoring.models import (
    AwardList,
    BoardChoice,
    Ceremony,
    KeyRelease,
    NextList,
    NotComing,
    PrintJob,
    Protest,
    ProtestWindow,
    Release,
    Ribbon,
    TakeHomeLink,
)
from scoring.prints.jobs import file_of
from tests.accounts import an_account
from tests.reasons.cast import contest_with_reasons, person, questions
from tests.slips import read_card, read_mark, read_reasons
from tests.trails import last_of

pytestmark = pytest.mark.django_db

OURS = [model for name in ("contest", "reasons", "scoring") for model in apps.get_app_config(name).get_models(True)]
NOT_OF_A_CONTEST = {
    *("Event", "EventCode", "Identity", "Submission", "SiteTrail", "TrailDoor", "Unrecorded"),
    *("LibraryClass", "LibraryPractice", "WrongAttempt"),
    *("Invitation", "Membership", "Organisation"),
    *("OneTimeKey", "RecoveryCode", "SignOn"),
    *("Practice", "PracticeClass", "PracticeMember", "PracticeNote", "PracticePicture", "PracticePlacing"),
    *("PracticeSet", "PracticeSetScore", "TermList"),
    *("Season", "SeasonClass", "SeasonEntry", "SeasonMember", "SeasonPlacing", "SeasonReasons", "SeasonSource"),
}


def of_contests(model):
    """The rows of a model that belong to contests; the site's own trail, forgotten names and files for none stay."""
    rows = model._base_manager.all()
    return rows.filter(contest__isnull=False) if model in (BroughtFile, TrailEntry, TrailName) else rows


def rows():
    """Every row of ours, by its table."""
    return {
        model.__name__: set(of_contests(model).values_list("pk", flat=True))
        for model in OURS
        if model.__name__ not in NOT_OF_A_CONTEST
    }


def fill(contest):
    """Give a contest something of every kind there is."""
    judged, someone, now = contest.classes.get(number=3), person(contest), datetime.now(UTC)
    helper = let_in(contest, Duty.TABULATOR, "Ann")
    take_stack(helper, judged, "A")
    some = an_account(f"Ada {contest.pk}", role=Membership.Role.SOME)
    Permit.objects.create(membership=some.membership, contest=contest)
    contest.join_codes.get_or_create(duty=Duty.TABULATOR, defaults={"code": uuid4().hex[:12]})
    read_card(judged, 101, "3124", "Ann", uuid4(), helper)
    read_card(judged, 999, "3124", "Ann", uuid4(), helper)
    read_mark(questions(contest).part, someone, 4000, "Ann", uuid4(), helper)
    part = questions(contest).part
    PartKey.objects.create(part=part, version=1, given="1 2", by="Ben")
    ChoiceReading.objects.create(part=part, contestant=someone, submission=uuid4(), by="Ann", chosen="12")
    Choice.objects.create(part=part, contestant=someone, state="once", chosen="12")
    seat = CommitteeSeat.objects.create(
        judging_class=judged, official=CommitteeOfficial.objects.create(contest=contest, name="Ms. Ash")
    )
    CommitteeKey.objects.create(seat=seat, version=1, placing="3124", cuts=(1, 1, 1), by="Ms. Ash")
    judged.keys.get().agreed_by.add(seat.official)
    NextList.objects.create(contest=contest, division="SR", code="overall", kind=AwardList.Kind.values[0], places=1)
    NotComing.objects.create(contest=contest, contestant=someone, reason="no time")
    place = EventContest.objects.create(event=Event.objects.get_or_create(name="Fair")[0], contest=contest)
    EventPerson.objects.create(place=place, contestant=someone, together=uuid4())
    KeyDispute.objects.create(key=judged.keys.get(), official="1234", cuts=(1, 1, 1), by="Ben")
    accommodate(someone, Needs(reader=True), "Sue")
    room = Room.objects.create(contest=contest, name="Room 1")
    official = add_official(contest, "Mr. Brook", "Sue")
    room.officials.add(official)
    room.classes.add(judged)
    read_reasons(judged, official, someone, 4300, "Ann", uuid4(), helper)
    contest.tie_steps.create(scope="individual", position=1, kind="class", judging_class=judged)
    contest.last_prints.create(document="awards", sheets={})
    contest.waved_mixups.create(what="0123456789abcdef", by="Sue", reason="every paper was looked at")
    TieDecision.objects.create(
        contest=contest, division="SR", list="overall", kind="teams", order=["A", "B"], how="draw", reason="a coin"
    )
    Slot.objects.create(
        room=room, judging_class=judged, contestant=someone, starts_at=now, ends_at=now + timedelta(minutes=2)
    )
    ReasonsDay.objects.create(contest=contest, starts_at=time(9))
    search = TimetableSearch.objects.create(contest=contest, key=uuid4(), planning={})
    search.drafts.create(place=1, made={})
    PairNote.objects.create(judging_class=judged, pair=1, by="Sue")
    SetNote.objects.create(judging_class=judged, contestant=someone, official=official, note="spoke well")
    Release.objects.create(contest=contest, version=1, revision=1, by="Sue", book=b"")
    KeyRelease.objects.create(judging_class=judged, by="Sue")
    Protest.objects.create(contest=contest, by="Sue", text="a word")
    ProtestWindow.objects.create(contest=contest, deadline=now)
    awards = AwardList.objects.create(
        contest=contest, position=1, division="SR", code="overall", kind=AwardList.Kind.values[0]
    )
    BoardChoice.objects.create(contest=contest)
    Ceremony.objects.create(contest=contest, award_list=awards)
    TakeHomeLink.objects.create(contest=contest, contestant=someone, token=uuid4().hex)
    of = ResultSet.objects.create(contest=contest, position=1, code="CH", name="Chapters")
    SetMember.objects.create(result_set=of, contestant=someone)
    Ribbon.objects.create(contest=contest, place=1, name="First")
    Ribbon.objects.create(contest=contest, result_set=of, place=1, name="Best chapter")
    ScanRules.objects.create(contest=contest, seed="0a1b")
    scan = Scan.objects.create(contest=contest, digest="ab" * 32, by="Ann")
    card = ScannedCard.objects.create(
        scan=scan, page=1, place=1, judging_class=judged, became="waiting", submission=uuid4()
    )
    CardPicture.objects.create(card=card, image=b"a picture")
    BroughtFile.objects.create(contest=contest, key=uuid4(), kind="list", name="e.csv", purpose="entries")
    record_change(contest, "Sue", Sentence("filled"))
    return PrintJob.objects.create(contest=contest, document="doubts", revision=1, by="Sue")


def sent(contest, **fields):
    return {"submission": str(uuid4()), "name": contest.name, **fields}


def test_everything_of_it_goes_and_nothing_of_any_other(superintendent, django_capture_on_commit_callbacks, caplog):
    fill(other := contest_with_reasons())
    before = rows()
    contest = contest_with_reasons()
    job = fill(contest)
    full, ended = rows(), last_of(contest)
    lacking = [name for name in full if full[name] == before[name]]
    assert lacking == []  # there was something of every kind to delete
    file, picture = file_of(job), Path(settings.DATA_FOLDER) / "pictures" / f"{contest.pk}.png"
    file.parent.mkdir(parents=True, exist_ok=True)
    picture.parent.mkdir(parents=True, exist_ok=True)
    pages = Path(settings.DATA_FOLDER) / folder_of(contest.scans.get()) / "00000"
    pages.parent.mkdir(parents=True)
    arriving = Path(settings.DATA_FOLDER) / begin(contest, "Sue", [Declared("pages.pdf", 9, 0)]).folder / "00000"
    brought = Path(settings.DATA_FOLDER) / file_of_brought(contest.brought_files.get())
    brought.parent.mkdir(parents=True, exist_ok=True)
    for path in (file, picture, pages, arriving, brought):
        path.write_bytes(b"something")
    with django_capture_on_commit_callbacks(execute=True):
        response = superintendent.post(f"/contests/{contest.pk}/delete/", sent(contest))
        assert response.headers["Location"] == "/"
        response = superintendent.post(f"/bin/{contest.pk}/empty/", sent(contest))
    assert response.headers["Location"] == "/bin/"
    assert rows() == before
    assert not file.exists()
    assert not picture.exists()
    assert not pages.exists()
    assert not arriving.exists()
    assert not brought.exists()
    assert f"contest {contest.pk} was deleted for good" in caplog.text
    entry = last_of(None)
    assert (entry.by, entry.what) == ("superintendent", "contest deleted for good")
    assert (entry.before["name"], entry.before["revision"]) == (contest.name, ended.revision + 1)
    assert not TrailName.objects.filter(contest=None, name="Ann").exists()
    assert superintendent.get(f"/contests/{contest.pk}/").status_code == 404
    assert superintendent.get(f"/contests/{other.pk}/").status_code == 200


def test_a_whole_scored_contest_goes(superintendent):
    contest = save_record(read_book(DEMO_BOOK), "test")
    superintendent.get(f"/contests/{contest.pk}/standings/")
    superintendent.post(f"/contests/{contest.pk}/delete/", sent(contest))
    superintendent.post(f"/bin/{contest.pk}/empty/", sent(contest))
    assert not any(rows().values())


def test_another_name_deletes_nothing_and_stays_in_its_field(superintendent):
    contest = contest_with_reasons()
    for name in ("Harrow", contest.name.upper(), ""):
        response = superintendent.post(f"/contests/{contest.pk}/delete/", sent(contest, name=name))
        assert response.status_code == 422
        assert f'value="{name}"' in response.content.decode() or not name
    assert Contest.objects.exists()


def test_spaces_around_the_name_do_no_harm(superintendent):
    contest = contest_with_reasons()
    name = f"  {contest.name.replace(' ', '  ')} "
    assert superintendent.post(f"/contests/{contest.pk}/delete/", sent(contest, name=name)).status_code == 302
    assert not Contest.objects.exists()


def test_the_page_offers_the_book_and_says_what_goes(superintendent):
    contest = contest_with_reasons()
    fill(contest)
    text = superintendent.get(f"/contests/{contest.pk}/delete/").content.decode()
    for words in (f"/contests/{contest.pk}/book.zip", "4 contestants", "1 card", "1 helper", "2 marks"):
        assert words in text
    assert Contest.objects.exists()


def test_pressed_twice_it_is_gone_once(superintendent):
    contest = contest_with_reasons()
    fields = sent(contest)
    for _ in range(2):
        assert superintendent.post(f"/contests/{contest.pk}/delete/", fields).headers["Location"] == "/"
    assert superintendent.post(f"/contests/{contest.pk}/delete/", sent(contest)).status_code == 404


def test_its_helpers_are_out_at_once(superintendent, as_helper):
    contest = contest_with_reasons()
    ann = as_helper(contest, Duty.TABULATOR)
    assert ann.get(f"/contests/{contest.pk}/desk/").status_code == 200
    superintendent.post(f"/contests/{contest.pk}/delete/", sent(contest))
    assert ann.get(f"/contests/{contest.pk}/desk/").headers["Location"].startswith("/join/")


@pytest.mark.parametrize("duty", Duty.values)
def test_no_helper_can(as_helper, duty):
    contest = contest_with_reasons()
    client = as_helper(contest, duty)
    assert client.get(f"/contests/{contest.pk}/delete/").status_code == 404
    assert client.post(f"/contests/{contest.pk}/delete/", sent(contest)).status_code == 404
    assert Contest.objects.exists()
