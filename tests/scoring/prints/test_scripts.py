"""Names in other scripts: they can be copied out of a PDF as they are read, and are as dark as those beside them."""

import io
from dataclasses import replace

import pypdfium2
import pytest
from pdfminer.high_level import extract_text

from scoring.prints.choice import Choice
from scoring.prints.rendering import render_pdf
from tests.scoring.prints.papers import a_person, awkward, demo, html, material_of, pdf

FROM_THE_RIGHT = (
    ("عبد الله", "الخطيب"),
    ("שלומית", "בן־דוד"),
    ("إسلام", "لاشين"),
    ("آلاء", "الأسعد"),
    ("גרשון", "צרניחובסקי"),
    ("لؤي", "جلال"),
    ("پژمان", "چگینی"),
    ("ليلى", "هداية"),
)


def readers_of(made):
    """What two libraries find in a PDF: one takes text as it comes, one by where it stands."""
    with pypdfium2.PdfDocument(made.data) as document:
        by_place = [page.get_textpage().get_text_range() for page in document]
    return extract_text(io.BytesIO(made.data)), "\n".join(by_place)


def test_names_from_right_to_left_copy_as_they_are_read():
    people = tuple(
        a_person(number, first_name=first, last_name=last, team="מועדון הגליל")
        for number, (first, last) in enumerate(FROM_THE_RIGHT, start=101)
    )
    material = material_of(replace(demo().record, contestants=people, cards=(), reasons=(), marks=()))
    for reader in readers_of(pdf(material, "award-sheets", Choice(lists=("SR/overall",)))):
        for first, last in FROM_THE_RIGHT:
            assert f"{first} {last}" in reader
        assert reader.count("מועדון הגליל") > len(people)


def test_cyrillic_and_greek_have_the_weight_of_latin():
    """A letter that all three share is as dark in each, light or heavy, small or large."""
    head = html(awkward(), "check-in").partition("<body")[0]
    cases = [(letter, weight, size) for weight in (400, 600, 700) for size in (9, 24) for letter in "oоο"]
    style = "break-after: page; font-weight: {}; font-size: {}pt"
    pages = "".join(f'<p style="{style.format(weight, size)}">{letter * 20}</p>' for letter, weight, size in cases)
    with pypdfium2.PdfDocument(render_pdf(f"{head}<body>{pages}</body></html>")) as document:
        drawn = [page.render(scale=3, grayscale=True).to_pil() for page in document]
    ink = [sum(count * (255 - shade) for shade, count in enumerate(image.histogram())) for image in drawn]
    for at in range(0, len(cases), 3):
        assert ink[at] > 0
        assert ink[at + 1] == pytest.approx(ink[at], rel=0.05), cases[at + 1]
        assert ink[at + 2] == pytest.approx(ink[at], rel=0.05), cases[at + 2]
