"""Pages of files: PDFs of any length, photographs as they were held, and what is neither."""

import pytest
from PIL import Image

from contest.scanning.reader import pages
from contest.scanning.reader.pages import CannotOpen, page_count, pages_of


@pytest.fixture
def pdf(tmp_path):
    sheets = [Image.new("L", (120 + 10 * at, 80), 200) for at in range(3)]
    sheets[0].save(tmp_path / "scanned.pdf", save_all=True, append_images=sheets[1:], resolution=100)
    return tmp_path / "scanned.pdf"


def test_each_page_of_a_pdf_comes_in_its_order_at_the_dots_that_are_asked_for(pdf):
    widths = [page.width for page in pages_of(pdf, dpi=100)]
    assert [round(width, -1) for width in widths] == [120, 130, 140]
    (last,) = pages_of(pdf, dpi=200, first=3)
    assert (last.mode, round(last.width, -1), round(last.height, -1)) == ("L", 280, 160)
    assert page_count(pdf) == 3


def test_a_page_is_grey_whatever_its_colours_and_as_light_as_they_are(tmp_path):
    sheets = [Image.new("L", (80, 80), 131), Image.new("RGB", (80, 80), (200, 40, 90))]
    sheets[0].save(tmp_path / "scanned.pdf", save_all=True, append_images=sheets[1:], resolution=200)
    grey, colours = pages_of(tmp_path / "scanned.pdf")
    assert (grey.mode, colours.mode) == ("L", "L")
    assert grey.getpixel((40, 40)) == pytest.approx(131, abs=1)
    assert colours.getpixel((40, 40)) == pytest.approx(0.299 * 200 + 0.587 * 40 + 0.114 * 90, abs=2)


def test_a_long_file_is_opened_anew_now_and_again_and_no_page_is_lost(pdf, monkeypatch):
    opened = []
    open_it = pages._opened
    monkeypatch.setattr(pages, "AN_OPENING", 2)
    monkeypatch.setattr(pages, "_opened", lambda path: opened.append(path) or open_it(path))
    assert [round(page.width, -1) for page in pages_of(pdf, dpi=100)] == [120, 130, 140]
    assert len(opened) == 3  # once for how many pages there are
    assert [round(page.width, -1) for page in pages_of(pdf, dpi=100, first=2)] == [130, 140]


def test_a_photograph_is_turned_as_the_camera_was_held(tmp_path):
    picture, turned = Image.new("RGB", (60, 40), "white"), Image.Exif()
    turned[0x0112] = 6
    picture.save(tmp_path / "photo.jpg", exif=turned)
    (page,) = pages_of(tmp_path / "photo.jpg")
    assert (page.mode, page.size) == ("L", (40, 60))
    assert page_count(tmp_path / "photo.jpg") == 1


@pytest.mark.parametrize(
    ("content", "code"),
    [(b"%PDF-1.7 and nothing else", "damaged"), (b"just words", "unknown"), (b"", "unknown")],
)
def test_what_cannot_be_opened_says_why(tmp_path, content, code):
    (tmp_path / "file").write_bytes(content)
    with pytest.raises(CannotOpen) as refused:
        list(pages_of(tmp_path / "file"))
    assert refused.value.code == code


def test_half_a_photograph_is_damaged(tmp_path, monkeypatch):
    # The PDF library asks for the contrary of its whole process, which is never the one that reads cards.
    monkeypatch.setattr("PIL.ImageFile.LOAD_TRUNCATED_IMAGES", False)
    Image.effect_noise((300, 300), 90).save(tmp_path / "whole.jpg")
    (tmp_path / "half.jpg").write_bytes((tmp_path / "whole.jpg").read_bytes()[:9000])
    with pytest.raises(CannotOpen) as refused:
        list(pages_of(tmp_path / "half.jpg"))
    assert refused.value.code == "damaged"


def test_a_picture_that_is_far_too_large_is_refused_before_it_is_read(tmp_path, monkeypatch):
    monkeypatch.setattr("contest.scanning.reader.pages.MOST_PIXELS", 1000)
    Image.new("L", (60, 40)).save(tmp_path / "large.png")
    with pytest.raises(CannotOpen) as refused:
        list(pages_of(tmp_path / "large.png"))
    assert refused.value.code == "too_large"
