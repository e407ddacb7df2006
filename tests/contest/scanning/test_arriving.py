"""Pages on their way: files that come in pieces, go on where they broke off, and count once they are all here."""

import hashlib
import json
import os
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from django.conf import settings
from django.urls import reverse

from contest import kept
from contest.models import Duty, Scan
from contest.scanning import arriving, other_app
from contest.scanning.folder import digest_of, files_of
from contest.scanning.rules import change_rules
from tests.factories import a_contest, people

pytestmark = pytest.mark.django_db

PIECE = 1000
PAGES = os.urandom(2500)
PHOTO = os.urandom(300)


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch, in_a_bucket):
    """Pieces small enough for a test, in a store without paths."""
    monkeypatch.setattr(arriving, "PIECE", PIECE)


@pytest.fixture
def contest():
    made = a_contest(contestants=people(2), cards=())
    change_rules(made, "Sue", on=True)
    return made


@pytest.fixture
def ann(contest, as_helper):
    return as_helper(contest, Duty.TABULATOR)


def sha(content):
    return hashlib.sha256(content).hexdigest()


def at(contest, name, *args):
    return reverse(f"scanning-{name}", args=[contest.pk, *args])


def begin(client, contest, *files):
    told = [[f"{place}.pdf", len(content), 17] for place, content in enumerate(files)]
    return client.post(at(contest, "send"), {"told": json.dumps(told)})


def send(client, contest, key, content, file=0, begins=0):
    address = f"{at(contest, 'piece', key)}?file={file}&at={begins}"
    return client.post(address, content, content_type="application/octet-stream")


def send_all(client, contest, *files):
    """The key of a delivery that is all here."""
    told = begin(client, contest, *files).json()
    while wanted := told["wanted"]:
        content = files[wanted["file"]][wanted["at"] :][: wanted["length"]]
        told = send(client, contest, told["key"], content, wanted["file"], wanted["at"]).json()
    return told["key"]


def end(client, contest, key, *digests, submission=None):
    sent = {"digests": " ".join(digests), "submission": str(submission or uuid4())}
    return client.post(at(contest, "sent", key), sent)


def folders():
    return kept.folders_in("arriving")


def content_of(name):
    with kept.opened(name) as file:
        return file.read()


@pytest.fixture
def in_a_folder(settings, tmp_path):
    """A data folder of the test's own."""
    settings.STORAGES = {**settings.STORAGES, "kept": {"BACKEND": "contest.kept.InFolder"}}
    settings.DATA_FOLDER = tmp_path


def test_a_long_file_comes_in_pieces_and_its_hash_is_in_the_trail(contest, ann):
    key = send_all(ann, contest, PAGES)
    assert end(ann, contest, key, sha(PAGES)).json() == {"next": reverse("scanning", args=[contest.pk]) + "#scans"}
    scan = Scan.objects.get()
    assert (scan.name, scan.by, scan.state) == ("0.pdf", "Ann", "waiting")
    assert contest.trail.get(what="scan_brought").after == {"sha256": sha(PAGES)}
    assert [content_of(name) for name in files_of(scan)] == [PAGES]
    assert not folders()


def test_several_files_stay_in_their_order(contest, ann):
    key = send_all(ann, contest, PHOTO, PAGES, PHOTO[:7])
    end(ann, contest, key, sha(PHOTO), sha(PAGES), sha(PHOTO[:7]))
    scan = Scan.objects.get()
    assert [content_of(name) for name in files_of(scan)] == [PHOTO, PAGES, PHOTO[:7]]
    assert scan.digest == digest_of([sha(PHOTO), sha(PAGES), sha(PHOTO[:7])])


def test_what_broke_off_goes_on_where_it_was(contest, ann):
    told = begin(ann, contest, PAGES).json()
    assert told["wanted"] == {"file": 0, "at": 0, "length": 1000}
    send(ann, contest, told["key"], PAGES[:1000])
    assert "0.pdf</bdi> broke off at" in ann.get(reverse("scanning", args=[contest.pk])).text
    again = begin(ann, contest, PAGES).json()  # as the page does that is opened anew
    assert again == told | {"here": 1000, "wanted": {"file": 0, "at": 1000, "length": 1000}}


def test_a_piece_that_a_power_cut_tore_comes_again(contest, ann, in_a_folder):
    told = begin(ann, contest, PAGES).json()
    send(ann, contest, told["key"], PAGES[:1000])
    (folder,) = Path(settings.DATA_FOLDER, "arriving").iterdir()
    (folder / "torn.half").write_bytes(PAGES[1000:1700])
    assert begin(ann, contest, PAGES).json()["wanted"]["at"] == 1000
    assert send(ann, contest, told["key"], PAGES[1000:2000], begins=1000).json()["here"] == 2000
    arriving.find(contest, "Ann", UUID(told["key"])).give_up()
    assert not folders()


def test_a_piece_that_comes_twice_changes_nothing(contest, ann):
    told = begin(ann, contest, PAGES).json()
    send(ann, contest, told["key"], PAGES[:1000])
    again = send(ann, contest, told["key"], bytes(1000))
    assert (again.status_code, again.json()["here"]) == (200, 1000)
    (folder,) = folders()
    assert content_of(f"{folder}/00000-000000000000") == PAGES[:1000]


@pytest.mark.parametrize(
    ("content", "file", "begins", "why"),
    [
        (PAGES[1000:2000], 0, 1000, "A piece before this one has not come yet."),
        (PAGES[:1000], 1, 0, "A piece before this one has not come yet."),
        (PAGES[:999], 0, 0, "This piece has 999 bytes where 1000 were to come."),
        (PAGES[:1001], 0, 0, "This piece has 1001 bytes where 1000 were to come."),
    ],
)
def test_a_piece_out_of_order_or_of_another_size_is_refused(contest, ann, content, file, begins, why):
    key = begin(ann, contest, PAGES).json()["key"]
    answer = send(ann, contest, key, content, file, begins)
    assert answer.status_code == 409
    assert answer.json() == {"problem": why, "wanted": {"file": 0, "at": 0, "length": 1000}}
    (folder,) = folders()
    assert kept.names_in(folder) == [f"{folder}/about.json"]


def test_what_is_no_piece_is_refused(contest, ann):
    key = begin(ann, contest, PAGES).json()["key"]
    assert ann.post(at(contest, "piece", key) + "?file=0&at=0", {"pages": "x"}).status_code == 409
    assert send(ann, contest, key, PAGES[:1000], begins=-1).status_code == 409
    assert ann.get(at(contest, "piece", key)).status_code == 405


def test_nobody_adds_to_somebody_elses_or_ends_it(contest, ann, as_helper):
    key = send_all(ann, contest, PAGES)
    bob = as_helper(contest, Duty.TABULATOR, "Bob")
    assert send(bob, contest, key, PAGES[:1000]).status_code == 404
    assert "are somebody else’s" in end(bob, contest, key, sha(PAGES)).json()["problem"]
    bob.post(at(contest, "give-up", key))
    assert begin(bob, contest, PAGES).json()["here"] == 0  # one of his own
    assert "broke off" not in as_helper(contest, Duty.TABULATOR, "Cy").get(reverse("scanning", args=[contest.pk])).text
    assert end(ann, contest, key, sha(PAGES)).status_code == 200


def test_after_a_cancel_nothing_is_left_and_nothing_more_is_taken(contest, ann):
    told = begin(ann, contest, PAGES).json()
    send(ann, contest, told["key"], PAGES[:1000])
    for _ in range(2):
        assert ann.post(at(contest, "give-up", told["key"])).status_code == 302
    assert not folders()
    answer = send(ann, contest, told["key"], PAGES[1000:2000], begins=1000)
    assert (answer.status_code, "were cancelled" in answer.json()["problem"]) == (404, True)
    assert end(ann, contest, told["key"], sha(PAGES)).status_code == 404
    assert begin(ann, contest, PAGES).json()["here"] == 0


def test_what_did_not_arrive_as_it_was_sent_is_not_kept(contest, ann):
    key = send_all(ann, contest, PAGES)
    answer = end(ann, contest, key, sha(PHOTO))
    assert (answer.status_code, "did not arrive as they were sent" in answer.json()["problem"]) == (409, True)
    assert not folders()
    assert not Scan.objects.exists()


def test_what_is_not_all_here_is_not_read(contest, ann):
    told = begin(ann, contest, PAGES).json()
    send(ann, contest, told["key"], PAGES[:1000])
    assert end(ann, contest, told["key"], sha(PAGES)).json()["problem"] == "These pages are not all here yet."
    assert folders()


def test_an_answer_that_was_lost_is_given_again(contest, ann):
    key, submission = send_all(ann, contest, PAGES), uuid4()
    first = end(ann, contest, key, sha(PAGES), submission=submission)
    assert end(ann, contest, key, sha(PAGES), submission=submission).json() == first.json()
    assert Scan.objects.count() == 1


def test_pages_that_were_brought_before_count_once(contest, ann, as_helper):
    end(ann, contest, send_all(ann, contest, PAGES), sha(PAGES))
    bob = as_helper(contest, Duty.TABULATOR, "Bob")
    answer = end(bob, contest, send_all(bob, contest, PAGES), sha(PAGES))
    assert "brought before" in answer.json()["problem"]
    assert not folders()


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ([["a.pdf", arriving.MOST_BYTES + 1, 0]], "More than 1 GB at once"),
        ([["a.pdf", 0, 0]], "A file that was chosen is empty"),
        ([], "A file that was chosen is empty"),
        ([[f"{n}.jpg", 5, 0] for n in range(501)], "At most 500 pictures at once"),
        ([["a.pdf", -5, 0]], "could not be told"),
        ([["a.pdf", 5.5, 0]], "could not be told"),
        ([[5, 5, 5]], "could not be told"),
        ([["a.pdf", 5]], "could not be told"),
        ({"a.pdf": 5}, "could not be told"),
        ("[", "could not be told"),
    ],
)
def test_what_cannot_be_taken_is_said_before_any_of_it_is_sent(contest, ann, told, why):
    answer = ann.post(at(contest, "send"), {"told": json.dumps(told)})
    assert answer.status_code == 409
    assert why.casefold() in answer.json()["problem"].casefold()
    assert not folders()


def test_a_disk_without_room_is_said_before_any_of_it_is_sent(contest, ann, monkeypatch, in_a_folder):
    monkeypatch.setattr(arriving, "room_left", lambda folder: arriving.LITTLE_ROOM + 5200)
    assert begin(ann, contest, PAGES).status_code == 200
    answer = begin(ann, contest, PAGES + PHOTO)  # the other needs its own 2 500 bytes
    assert "disk has room for" in answer.json()["problem"]
    assert begin(ann, contest, PHOTO).status_code == 200


def test_only_so_many_are_on_their_way_at_once(contest, ann, monkeypatch):
    monkeypatch.setattr(arriving, "MOST_AT_ONCE", 2)
    assert [begin(ann, contest, PAGES[:size]).status_code for size in (10, 11, 12, 11)] == [200, 200, 409, 200]


def test_a_disk_that_fails_is_said(contest, ann, monkeypatch, in_a_folder):
    key = begin(ann, contest, PAGES).json()["key"]

    def full(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(kept.os, "fsync", full)
    answer = send(ann, contest, key, PAGES[:1000])
    assert (answer.status_code, "No space left" in answer.json()["problem"]) == (507, True)


def test_nothing_is_taken_where_it_is_not_switched_on(superintendent):
    assert "not read by scanner" in begin(superintendent, a_contest(), PAGES).json()["problem"]


def test_what_nobody_goes_on_with_is_cleaned_away(contest, ann, monkeypatch):
    told = begin(ann, contest, PAGES).json()
    send(ann, contest, told["key"], PAGES[:1000])
    arriving.drop_left_behind()
    assert folders()
    monkeypatch.setattr(kept, "age_of", lambda name: arriving.KEPT + 1)
    arriving.drop_left_behind()
    assert not folders()


def test_they_go_when_names_are_taken_out(contest, ann, django_capture_on_commit_callbacks):
    begin(ann, contest, PAGES)
    with django_capture_on_commit_callbacks(execute=True):
        other_app.make_anonymous(contest, str)("Sue")
    assert not folders()
