"""A picture that somebody brings: what is taken, and what is refused."""

import io
from types import SimpleNamespace

import pytest
from PIL import Image

from contest.uploads import pictures
from contest.uploads.pictures import LARGEST, NotAPicture, checked, draw

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">%s</svg>'


def photograph(size=(40, 20), kind="JPEG", **more):
    written = io.BytesIO()
    Image.new("RGB", size, "red").save(written, kind, **more)
    return written.getvalue()


def test_a_photograph_is_written_anew_without_what_the_camera_noted():
    exif = Image.Exif()
    exif[0x010E] = "Secret barn"
    ending, data = checked(photograph(exif=exif))
    assert ending == ".png"
    assert b"Secret barn" not in data
    assert Image.open(io.BytesIO(data)).size == (40, 20)


def test_a_photograph_stands_upright_and_is_made_smaller():
    exif = Image.Exif()
    exif[0x0112] = 6  # the camera was turned
    made = Image.open(io.BytesIO(checked(photograph((3000, 1500), exif=exif))[1]))
    assert made.size == (LARGEST // 2, LARGEST)


def test_a_plain_drawing_is_taken():
    ending, data = checked(SVG % b'<defs><linearGradient id="g"/></defs><path d="M0 0h9" fill="url(#g)"/>')
    assert ending == ".svg"
    assert b"linearGradient" in data


@pytest.mark.parametrize(
    ("inside", "why"),
    [
        (b"<script>alert(1)</script>", "script"),
        (b'<rect onclick="alert(1)"/>', "script"),
        (b'<image href="http://192.0.2.1/x.png"/>', "image"),
        (b'<use href="http://192.0.2.1/x.svg#a"/>', "another file"),
        (b'<use xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="file:///etc/passwd"/>', "another file"),
        (b'<rect style="fill:url(http://192.0.2.1/x)"/>', "another file"),
        (b"<style>@import 'x'</style>", "style"),
        (b"<foreignObject/>", "foreignObject"),
        (b'<a href="javascript:alert(1)"/>', "<a>"),
        (b"<g>", "damaged"),
    ],
)
def test_a_drawing_that_does_more_than_draw_is_refused(inside, why):
    with pytest.raises(NotAPicture, match=why):
        checked(SVG % inside)


def test_a_drawing_with_entities_is_refused():
    bomb = b'<!DOCTYPE svg [<!ENTITY a "aaaa">]>' + SVG % b"<text>&a;</text>"
    with pytest.raises(NotAPicture, match="entities"):
        checked(bomb)


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"%PDF-1.7", b"\x89PNG\r\n\x1a\nbroken", photograph()[:200]])
def test_what_is_no_picture_is_refused(data):
    with pytest.raises(NotAPicture):
        checked(data)


def test_a_picture_that_is_too_large_is_refused():
    with pytest.raises(NotAPicture, match="bytes"):
        checked(b"\x89PNG" + bytes(4_000_001))
    with pytest.raises(NotAPicture, match="pixels"):
        checked(photograph((7000, 6000), "PNG"))


def test_a_drawing_that_would_hold_up_every_sheet_is_refused(monkeypatch):
    clock = iter([0.0, 0.9, 5.0, 6.1])  # of the processor, before and after each drawing: machines differ
    monkeypatch.setattr(pictures, "time", SimpleNamespace(process_time=lambda: next(clock)))
    drawing = SVG % b'<path d="M1 0h9"/>'
    draw(drawing)
    with pytest.raises(NotAPicture, match="more than 1 second to draw, on every sheet"):
        draw(drawing)
