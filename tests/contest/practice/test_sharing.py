"""A practice saved to a file with its pictures, and opened by another coach."""

import io
import zipfile
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from contest.book import read_book
from contest.book.pair_notes import Note
from contest.demo import DEMO_BOOK
from contest.models import Contest, Practice, PracticeClass, PracticePicture
from contest.pair_notes import fingerprint
from contest.practice.joining import join_practice
from contest.practice.making import MOST_CLASSES, add_class, go_on_with, make_practice
from contest.practice.pictures import move_picture, put_picture, sides_of
from contest.practice.running import go_to, hand_in, pair_notes_of, set_key, write_pair_notes
from contest.practice.showing import current
from contest.web.middleware import MOST_UPLOADED
from scoring.core.practice import VIEWS
from tests.contest.practice.test_pictures import photograph
from tests.contest.uploads.cast import demo_files, zipped
from tests.trails import trail_of

pytestmark = pytest.mark.django_db(transaction=True)  # a thread of the server keeps what was read

Step = PracticeClass.Step
TOML = """format = 1
[contest]
name = "Steers at the club"
held_on = 2026-11-29
[[division]]
code = "ALL"
name = "Everybody"
team_counting = 0
[[class]]
number = 7
name = "Market steers"
divisions = ["ALL"]
"""
PICTURE_HEADER = "class,animal,view,file,says\n"
NOTES = [Note("longer, =and leveler", "“wider”", "steep\nin the hip"), Note(), Note(faults="shallow")]


@pytest.fixture
def practice():
    made = make_practice("Market steers", "1234", 12, keeps=False, by="coach")
    steers = made.classes.get()
    set_key(steers, "3124", (3, 5, 2))
    put_picture(steers, "3", "side", "a brown steer", photograph())
    put_picture(steers, "1", "rear", "=a red one, “wide”", photograph(100, 300))
    hogs = add_class(made, "Hogs", "ABCDE", 9)
    put_picture(hogs, "B", "side", "a spotted hog", photograph(120, 60))
    write_pair_notes(steers, NOTES, fingerprint([Note()] * 3))
    hand_in(join_practice(made, "Anastasia"), 1, "4321", {"3": {"good": "deep-ribbed"}})
    return made


def saved(coach, practice):
    return coach.get(f"/practices/{practice.pk}/file/")


def bring(coach, data, name="steers.zip", **more):
    fields = {"submission": uuid4(), "keeps": "", "file": SimpleUploadedFile(name, data, "application/zip")}
    return coach.post("/practices/open/", fields | more)


def rows(practice):
    names = ("number", "name", "animals", "minutes", "perfect", "official", "cuts")
    return list(practice.classes.values_list(*names))


def pictures(practice):
    names = ("judging_class__number", "animal", "view", "says")
    return list(PracticePicture.objects.filter(judging_class__practice=practice).values_list(*names).order_by("pk"))


def why(reply):
    """Each problem that the page shows: its file, line and reason."""
    return [(one.file, one.line, one.reason) for kind in reply.context["problems"]["kinds"] for one in kind.shown]


def test_what_was_saved_opens_as_it_was_and_without_anybody(practice, superintendent):
    file = saved(superintendent, practice)
    assert file.headers["Content-Disposition"] == 'attachment; filename="market-steers.zip"'
    reply = bring(superintendent, file.content, keeps="yes")
    made = Practice.objects.first()
    assert reply.url == made.get_absolute_url()
    assert (made.pk, made.code) != (practice.pk, practice.code)
    assert rows(made) == rows(practice)
    assert sorted(pictures(made)) == sorted(pictures(practice))
    assert [pair_notes_of(judged) for judged in made.classes.all()] == [NOTES, [Note()] * 4]
    assert (made.keeps, made.members.count(), set(made.classes.values_list("step", flat=True))) == (True, 0, {0})
    assert [entry.what for entry in trail_of(None)][-1:] == ["practice made from a file"]


def test_the_file_holds_no_name_and_no_placing(practice, superintendent):
    content = saved(superintendent, practice).content
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    assert set(files) == {
        *("contest.toml", "entries.csv", "cards.csv", "reasons.csv", "marks.csv", "practice.csv", "pictures.csv"),
        "notes.csv",
        *("pictures/1-3-side.jpg", "pictures/1-1-rear.jpg", "pictures/2-B-side.jpg"),
    }
    for data in files.values():
        assert b"Anastasia" not in data
        assert b"4321" not in data
        assert b"deep-ribbed" not in data
    assert saved(superintendent, practice).content == content


def test_the_file_is_a_contest_book_too(practice, superintendent, tmp_path):
    path = tmp_path / "steers.zip"
    path.write_bytes(saved(superintendent, practice).content)
    record = read_book(path)
    assert [(one.name, one.animals, one.official, one.cuts) for one in record.classes] == [
        ("Market steers", "1234", "3124", (3, 5, 2)),
        ("Hogs", "ABCDE", None, None),
    ]
    fields = {"submission": uuid4(), "way": "book", "book-book": SimpleUploadedFile("s.zip", path.read_bytes())}
    assert superintendent.post("/contests/new/", fields).status_code == 302
    assert Contest.objects.get().name == "Practice: Market steers"


def test_any_contest_book_gives_its_classes_and_nobody(superintendent):
    bring(superintendent, zipped(demo_files()))
    made, demo = Practice.objects.get(), read_book(DEMO_BOOK)
    placed = [one for one in demo.classes if one.places and not one.void]
    assert [row[1:3] for row in rows(made)] == [(one.name, one.animals) for one in placed]
    assert {row[3] for row in rows(made)} == {demo.rules.minutes_per_class}
    assert not made.members.exists()


def test_a_book_in_a_folder_of_its_zip_keeps_its_pictures(superintendent):
    table = PICTURE_HEADER + "7,3,side,three.jpg,a brown steer\n"
    files = {"contest.toml": TOML, "pictures.csv": table, "pictures/three.jpg": photograph(3000, 1500, orientation=6)}
    bring(superintendent, zipped({f"steers/{name}": data for name, data in files.items()}))
    made = Practice.objects.get()
    assert (rows(made)[0][:2], pictures(made)) == ((1, "Market steers"), [(1, "3", "side", "a brown steer")])
    picture = Image.open(io.BytesIO(bytes(PracticePicture.objects.get().image)))
    assert (picture.format, picture.size, dict(picture.getexif())) == ("JPEG", (600, 1200), {})


@pytest.mark.parametrize(
    ("files", "where", "reason"),
    [
        ({"contest.toml": "format ="}, ("contest.toml", 1), "not valid TOML"),
        ({"contest.toml": TOML + "places = false\n"}, ("contest.toml", 0), "no class that is placed"),
        ({"practice.csv": "class,minutes\n7,0\n"}, ("practice.csv", 2), "a whole number from 1 to 120"),
        ({"practice.csv": "class,minutes\n8,12\n"}, ("practice.csv", 2), "class '8' is none that"),
        ({"practice.csv": "class,minute\n7,12\n"}, ("practice.csv", 1), "is 'minutes' meant?"),
        ({"notes.csv": "class,pair,grants\n7,4,wider\n"}, ("notes.csv", 2), "class 7 has pairs 1 (top) to 3"),
        ({"notes.csv": "class,pair,grants\n7,top,wider\n"}, ("notes.csv", 2), "pair is 'top'"),
        ({"notes.csv": "class,pair\n7,1\n7,1\n"}, ("notes.csv", 3), "a note on that pair already"),
        ({"notes.csv": "class,pair\n8,1\n"}, ("notes.csv", 2), "class '8' is none that"),
        ({"notes.csv": f"class,pair,faults\n7,1,{2001 * 'x'}\n"}, ("notes.csv", 2), "faults has 2001 characters"),
        ({"pictures.csv": "7,5,side,a.jpg,a steer\n"}, ("pictures.csv", 2), "class 7 has the animals 1, 2, 3, 4"),
        ({"pictures.csv": "7,,side,a.jpg,a steer\n"}, ("pictures.csv", 2), "class 7 has the animals 1, 2, 3, 4"),
        ({"pictures.csv": "7,1,above,a.jpg,a steer\n"}, ("pictures.csv", 2), "one of side, rear, front"),
        ({"pictures.csv": "7,1,side,a.jpg,\n"}, ("pictures.csv", 2), "write what the picture shows"),
        ({"pictures.csv": "7,1,side,b.jpg,a steer\n"}, ("pictures.csv", 2), "b.jpg is not in the folder pictures"),
        ({"pictures.csv": "7,1,side,../a.jpg,a steer\n"}, ("pictures.csv", 2), "../a.jpg is not in the folder"),
        ({"pictures.csv": 2 * "7,1,side,a.jpg,a steer\n"}, ("pictures.csv", 3), "there is a picture of that animal"),
        ({"pictures/a.jpg": b"GIF89a"}, ("pictures.csv", 2), "a.jpg: that is no PNG or JPEG photograph"),
        ({"pictures/a.jpg": photograph()[:900]}, ("pictures.csv", 2), "a.jpg: the picture is damaged"),
    ],
)
def test_what_is_wrong_is_said_with_its_file_and_line_and_nothing_is_made(superintendent, files, where, reason):
    sound = {"contest.toml": TOML, "pictures.csv": "7,1,side,a.jpg,a steer\n", "pictures/a.jpg": photograph()}
    given = sound | files
    given["pictures.csv"] = PICTURE_HEADER + given["pictures.csv"]
    reply = bring(superintendent, zipped(given))
    assert reply.status_code == 422
    found = [text for *place, text in why(reply) if tuple(place) == where]
    assert any(reason in text for text in found), why(reply)
    assert not Practice.objects.exists()


def test_a_damaged_picture_in_a_zip_is_named(superintendent):
    table = PICTURE_HEADER + "7,1,side,a.jpg,x\n"
    data = bytearray(zipped({"contest.toml": TOML, "pictures.csv": table, "pictures/a.jpg": b"pixels"}))
    at = data.index(b"a.jpg", data.index(b"pictures/a.jpg")) + len(b"a.jpg")
    data[at : at + 4] = b"\xff\xff\xff\xff"
    assert "a.jpg is damaged in the zip" in why(bring(superintendent, bytes(data)))[0][2]


def test_a_book_with_more_classes_than_a_practice_has_is_refused(superintendent):
    more = "".join(
        f'[[class]]\nnumber = {number}\nname = "Hogs"\ndivisions = ["ALL"]\n' for number in range(10, MOST_CLASSES + 10)
    )
    reply = bring(superintendent, zipped({"contest.toml": TOML + more}))
    assert why(reply)[0][2].startswith(f"it has {MOST_CLASSES + 1} classes that are placed")


@pytest.mark.parametrize("data", [b"no zip", b"", b"PK" + bytes(MOST_UPLOADED)], ids=["other", "empty", "large"])
def test_a_file_that_is_no_practice_is_refused_in_words(superintendent, data):
    reply = bring(superintendent, data)
    assert reply.status_code in (413, 422)
    assert not Practice.objects.exists()
    assert len(reply.content) > 500


def test_the_same_form_twice_makes_one(practice, superintendent):
    file, submission = saved(superintendent, practice).content, uuid4()
    first, again = (bring(superintendent, file, submission=submission) for _ in range(2))
    assert (first.url, Practice.objects.count()) == (again.url, 2)


def test_a_practice_too_large_to_be_opened_is_not_saved_and_says_why(practice, superintendent, monkeypatch):
    monkeypatch.setattr("contest.practice.sharing.MOST_UPLOADED", 1_000_001)
    reply = saved(superintendent, practice)
    assert reply.status_code == 409
    assert "Its pictures have 1 MB" in reply.content.decode()


def test_the_first_class_is_on_and_the_others_wait(practice, superintendent):
    bring(superintendent, saved(superintendent, practice).content)
    made = Practice.objects.first()
    steers, hogs = made.classes.all()
    assert current(made) == steers
    for step in range(1, Step.SWITCHES + 1):
        go_to(steers, step - 1, step)
    page = superintendent.get(made.get_absolute_url()).content.decode()
    assert "Go on with 2 Hogs" in page
    ana = join_practice(made, "Ana")
    assert superintendent.post(f"/practices/{made.pk}/classes/2/on/", {"submission": uuid4()}).status_code == 302
    made.refresh_from_db()
    assert current(made) == hogs
    go_on_with(steers)
    made.refresh_from_db()
    assert (current(made), ana.placings.count()) == (steers, 0)


def test_views_are_called_alike_in_files_and_in_the_database():
    assert tuple(PracticePicture.View.values) == VIEWS


def test_the_coachs_order_of_pictures_goes_with_them(practice, superintendent):
    steers = practice.classes.first()
    first, second = (put_picture(steers, animal, "front", "a steer", photograph(60, 60)) for animal in "24")
    move_picture(steers, second.pk, -1)
    bring(superintendent, saved(superintendent, practice).content)
    sides = {side.view: side for side in sides_of(Practice.objects.first().classes.first())}
    assert [one.animal for one in sides["front"].pictures] == [second.animal, first.animal]
