"""A coach's own photographs of a class: taken in, shown, and to whom."""

import io
import random
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image, ImageDraw

from contest.models import PracticeClass, PracticePicture
from contest.practice.making import add_class, delete_practice, make_practice
from contest.practice.pictures import put_picture, remove_picture, sides_of
from contest.practice.running import go_to
from contest.uploads.pictures import MOST_OF_PHOTOGRAPH, PHOTOGRAPH_SIDE

pytestmark = pytest.mark.django_db(transaction=True)  # a thread of the server keeps what was read

Step = PracticeClass.Step
ORIENTATION, MAKER, PLACE = 0x0112, 0x010F, 0x8825


def photograph(width=400, height=200, orientation=1, kind="JPEG"):
    """An animal as a plain shape, dark at its head, with what a camera notes."""
    image = Image.new("RGB", (width, height), "white")
    drawn = ImageDraw.Draw(image)
    drawn.ellipse((width // 4, height // 4, width * 3 // 4, height * 3 // 4), fill="brown")
    drawn.rectangle((0, 0, width // 8, height // 8), fill="black")
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = orientation, "Somebody's camera"
    exif[PLACE] = {1: "N", 2: (52.0, 30.0, 0.0)}
    written = io.BytesIO()
    image.save(written, kind, exif=exif)
    return written.getvalue()


@pytest.fixture
def practice():
    return make_practice("Market steers", "1234", 12, keeps=False, by="coach")


def bring(coach, practice, data, **more):
    file = SimpleUploadedFile("steer.jpg", data, "image/jpeg")
    fields = {"submission": uuid4(), "animal": "3", "view": "side", "says": "a brown steer", "picture": file}
    return coach.post(f"/practices/{practice.pk}/classes/1/pictures/", fields | more)


def kept():
    return Image.open(io.BytesIO(bytes(PracticePicture.objects.get().image)))


def test_a_photograph_is_kept_upright_small_and_without_what_a_camera_notes(practice, superintendent):
    data = photograph(3000, 1500, orientation=6)  # held upright: the sensor's left is the picture's top
    assert b"Somebody" in data
    assert bring(superintendent, practice, data).status_code == 302
    picture = kept()
    assert (picture.format, picture.size) == ("JPEG", (PHOTOGRAPH_SIDE // 2, PHOTOGRAPH_SIDE))
    assert dict(picture.getexif()) == {}
    assert b"Somebody" not in bytes(PracticePicture.objects.get().image)
    dark = [picture.getpixel(at)[0] < 60 for at in ((5, 5), (590, 5), (5, 1190), (590, 1190))]
    assert dark == [False, True, False, False]  # turned by a quarter to the right


def test_what_is_not_filled_is_white(practice, superintendent):
    written = io.BytesIO()
    Image.new("RGBA", (40, 20), (0, 0, 0, 0)).save(written, "PNG")
    bring(superintendent, practice, written.getvalue())
    assert min(kept().getpixel((20, 10))) > 250


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no PNG or JPEG photograph"),
        (photograph()[:900], "damaged"),
        (b"", "empty"),
        (b"\xff\xd8\xff" + bytes(MOST_OF_PHOTOGRAPH), "is the most"),
    ],
    ids=["drawing", "damaged", "empty", "large"],
)
def test_what_is_no_photograph_is_refused_in_words(practice, superintendent, data, why):
    reply = bring(superintendent, practice, data)
    assert reply.status_code == 422
    assert why in reply.content.decode()
    assert not PracticePicture.objects.exists()


def test_damaged_photographs_never_fail_otherwise(practice, superintendent):
    chance = random.Random(17)
    for _ in range(3):
        data = bytearray(photograph())
        for at in chance.sample(range(len(data)), 40):
            data[at] = chance.randrange(256)
        assert bring(superintendent, practice, bytes(data)).status_code in (302, 422)


def test_it_says_what_it_shows_for_whoever_cannot_see_it(practice, superintendent):
    reply = bring(superintendent, practice, photograph(), says="")
    assert (reply.status_code, list(reply.context["form"].errors)) == (422, ["says"])
    bring(superintendent, practice, photograph())
    page = superintendent.get(f"/practices/{practice.pk}/classes/1/pictures/").content.decode()
    assert "Photographs of animals, not of children." in page
    assert 'alt="a brown steer"' in page


def test_another_picture_takes_the_place_of_the_one_before_at_another_address(practice, superintendent):
    bring(superintendent, practice, photograph())
    before = PracticePicture.objects.get().pk
    bring(superintendent, practice, photograph(200, 200))
    assert PracticePicture.objects.get().pk != before
    assert superintendent.get(f"/practice/pictures/{before}/").status_code == 404


def test_the_same_form_twice_is_one_picture(practice, superintendent):
    submission = uuid4()
    for _ in range(2):
        bring(superintendent, practice, photograph(), submission=submission)
    assert PracticePicture.objects.count() == 1


def test_they_stand_by_side_in_the_order_of_the_labels(practice):
    judged = practice.classes.get()
    for animal, view in (("4", "side"), ("1", "side"), ("2", "front")):
        put_picture(judged, animal, view, "an animal", b"jpeg")
    assert [(side.view, [one.animal for one in side.pictures]) for side in sides_of(judged)] == [
        ("side", ["1", "4"]),
        ("front", ["2"]),
    ]


def test_members_see_them_once_the_class_has_begun_and_nobody_else_ever(practice, superintendent):
    judged = practice.classes.get()
    picture = put_picture(judged, "3", "side", "a brown steer", b"jpeg")
    address = f"/practice/pictures/{picture.pk}/"
    member, other = Client(), Client()
    hogs = make_practice("Hogs", "1234", 12, keeps=False, by="coach")
    for client, joined in ((member, practice), (other, hogs)):
        client.post("/practice/", {"submission": uuid4(), "name": "Ana", "code": joined.code})
    assert (superintendent.get(address).status_code, member.get(address).status_code) == (200, 404)
    assert address not in member.get("/practice/mine/").content.decode()
    go_to(judged, Step.JOINING, Step.PLACING)
    shown = member.get(address)
    assert (shown.content, shown.headers["Content-Type"]) == (b"jpeg", "image/jpeg")
    assert address in member.get("/practice/mine/").content.decode()
    assert address in superintendent.get(f"/practices/{practice.pk}/screen/").content.decode()
    assert (other.get(address).status_code, Client().get(address).status_code) == (404, 404)


def test_the_screen_shows_one_side_at_a_time(practice, superintendent):
    judged = practice.classes.get()
    side = put_picture(judged, "3", "side", "from the side", b"jpeg")
    rear = put_picture(judged, "3", "rear", "from behind", b"jpeg")
    go_to(judged, Step.JOINING, Step.PLACING)
    for asked, shown, hidden in (("", side, rear), ("?side=rear", rear, side), ("?side=x", side, rear)):
        page = superintendent.get(f"/practices/{practice.pk}/screen/{asked}").content.decode()
        assert f"/practice/pictures/{shown.pk}/" in page
        assert f"/practice/pictures/{hidden.pk}/" not in page
    live = superintendent.get(f"/practices/{practice.pk}/screen/live/?v=no&side=rear").content.decode()
    assert f"/practice/pictures/{rear.pk}/" in live


def test_they_go_with_a_press_and_with_their_practice(practice, superintendent):
    judged = practice.classes.get()
    picture = put_picture(judged, "3", "side", "a brown steer", b"jpeg")
    other = add_class(practice, "Hogs", "1234", 12)
    remove = f"/practices/{practice.pk}/classes/{{}}/pictures/{picture.pk}/remove/"
    superintendent.post(remove.format(other.number), {"submission": uuid4()})
    assert PracticePicture.objects.exists()
    superintendent.post(remove.format(1), {"submission": uuid4()})
    assert not PracticePicture.objects.exists()
    put_picture(judged, "3", "side", "a brown steer", b"jpeg")
    delete_practice(practice, "coach")
    assert not PracticePicture.objects.exists()


def change(coach, practice, pk, **more):
    fields = {"submission": uuid4(), "quarters": "0", "top": 0, "right": 0, "bottom": 0, "left": 0, "says": "a steer"}
    return coach.post(f"/practices/{practice.pk}/classes/1/pictures/{pk}/", fields | more)


def corners(image):
    """Four squares of their own colours: red and green above, blue and white below."""
    colours = {(0, 0): "red", (1, 0): "lime", (0, 1): "blue", (1, 1): "white"}
    for (across, down), colour in colours.items():
        box = (across * image.width // 2, down * image.height // 2, (across + 1) * image.width // 2, image.height)
        image.paste(colour, box)
    written = io.BytesIO()
    image.save(written, "JPEG", quality=95, subsampling=0)
    return written.getvalue()


def colour_at(image, across, down):
    red, green, blue = image.getpixel((round(across * image.width), round(down * image.height)))
    return {(1, 0, 0): "red", (0, 1, 0): "lime", (0, 0, 1): "blue", (1, 1, 1): "white"}[
        (red > 128, green > 128, blue > 128)
    ]


@pytest.mark.parametrize(
    ("shape", "size", "first", "last"),
    [
        ({}, (200, 100), "red", "white"),
        ({"quarters": "1"}, (100, 200), "blue", "lime"),
        ({"quarters": "2"}, (200, 100), "white", "red"),
        ({"quarters": "3"}, (100, 200), "lime", "blue"),
        ({"right": 50}, (100, 100), "red", "blue"),
        ({"top": 50, "left": 50}, (100, 50), "white", "white"),
        ({"quarters": "1", "bottom": 50}, (100, 100), "blue", "red"),
        ({"left": 90, "top": 25}, (20, 75), "lime", "white"),
    ],
)
def test_a_picture_is_turned_and_then_cropped(practice, superintendent, shape, size, first, last):
    before = put_picture(practice.classes.get(), "3", "side", "a steer", corners(Image.new("RGB", (200, 100))))
    assert change(superintendent, practice, before.pk, **shape, says="a red steer").status_code == 302
    after, image = PracticePicture.objects.get(), kept()
    assert (after.animal, after.view, after.says, image.size) == ("3", "side", "a red steer", size)
    assert (colour_at(image, 0.1, 0.1), colour_at(image, 0.9, 0.9)) == (first, last)
    assert after.pk != before.pk  # at another address, since a browser keeps the one before


@pytest.mark.parametrize(
    ("typed", "field", "why"),
    [
        ({"top": 50, "bottom": 41}, "bottom", "at most 90 % can be cut off"),
        ({"left": 91}, "left", "less than or equal to 90"),
        ({"right": "a bit"}, "right", "whole number"),
        ({"quarters": "4"}, "quarters", "Select a valid choice"),
        ({"says": ""}, "says", "required"),
    ],
)
def test_a_crop_that_leaves_too_little_is_refused_beside_its_edge(practice, superintendent, typed, field, why):
    before = put_picture(practice.classes.get(), "3", "side", "a steer", photograph())
    reply = change(superintendent, practice, before.pk, **typed)
    assert (reply.status_code, list(reply.context["form"].errors)) == (422, [field])
    assert why in str(reply.context["form"].errors)
    assert PracticePicture.objects.get().pk == before.pk


def test_a_crop_that_is_sent_twice_is_made_once(practice, superintendent):
    before = put_picture(practice.classes.get(), "3", "side", "a steer", photograph())
    submission = uuid4()
    for _ in range(2):
        assert change(superintendent, practice, before.pk, right=50, submission=submission).status_code == 302
    assert kept().width == 200
    assert change(superintendent, practice, before.pk).status_code == 404


def order(practice, view="side"):
    sides = {side.view: side for side in sides_of(practice.classes.get())}
    return "".join(one.animal for one in sides[view].pictures)


def test_pictures_come_in_the_coachs_own_order(practice, superintendent):
    judged = practice.classes.get()
    made = {animal: put_picture(judged, animal, "side", "an animal", photograph()) for animal in "4213"}
    rear = put_picture(judged, "3", "rear", "an animal", b"jpeg")

    def move(picture, to):
        address = f"/practices/{practice.pk}/classes/1/pictures/{picture.pk}/move/"
        reply = superintendent.post(address, {"submission": uuid4(), "to": to})
        assert reply.url.endswith(f"#picture-{picture.pk}")
        return order(practice)

    assert order(practice) == "1234"
    assert move(made["3"], "up") == "1324"
    assert move(made["1"], "up") == "1324"  # it is the first
    assert move(made["4"], "down") == "1324"
    assert move(made["1"], "down") == "3124"
    assert move(rear, "down") == "3124"
    put_picture(judged, "1", "side", "another picture of it", b"jpeg")
    assert order(practice) == "3124"
    assert change(superintendent, practice, made["3"].pk, right=10).status_code == 302
    assert order(practice) == "3124"
    remove_picture(judged, made["2"].pk)
    put_picture(judged, "2", "side", "come anew", b"jpeg")
    assert order(practice) == "3142"
    assert order(practice, "rear") == "3"
