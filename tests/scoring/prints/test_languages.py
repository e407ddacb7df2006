"""Every document in a language that is made up, 1.4 times as long as English; one from right to left."""

import html as entities
import re
from dataclasses import replace
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import translation

from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.jobs import order_again, order_job
from tests.factories import a_contest
from tests.scoring.prints.papers import a_part, demo, html, pdf
from tests.texts import pseudo

pytestmark = pytest.mark.any_database

OURS = re.compile(f"{pseudo.OPEN}[^{pseudo.OPEN}{pseudo.CLOSE}]*{pseudo.CLOSE}")
WORD = re.compile(r"[^\W\d_]{2,}")
TYPED = {"April", "A4"} | set(
    WORD.findall(
        "Readings differ Class contestant Look at the card Ann"
        " Tabulator reads placing cards Choose a stack that is free http ABCD-EFGH join QR"
    )
)
"""The month, and what the papers' doubt and way in say, which stand for what others make words of."""


@pytest.fixture(scope="module")
def made_up(made_up_texts):
    with pseudo.spoken(made_up_texts):
        yield


def the_contests_own() -> set[str]:
    material = demo()
    return TYPED | set(
        WORD.findall(repr((material.record, material.ribbons, material.rooms, material.say, material.sweepstakes)))
    )


def a_few_pages(document: str) -> Choice:
    choice = a_part(demo(), document)
    return replace(choice, classes=(1, 3)) if "classes" in DOCUMENTS[document].asks else choice


def in_no_brackets(page: str) -> set[str]:
    """The words of a page that stand in no text of ours."""
    shown = re.sub(r"<(style|script)\b.*?</\1>|<!--.*?-->|<head>.*?<title>|<meta [^>]*>", " ", page, flags=re.S)
    read_out = re.findall(r'\b(?:alt|data-part|title)="([^"]*)"', shown)
    # An element within a text ends no text.
    text = entities.unescape(" ".join([re.sub(r"<[^<>]*>", " ", shown), *read_out]))
    while text != (text := OURS.sub(" ", text)):
        pass
    return set(WORD.findall(text))


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_text_on_paper_is_said_in_the_language(document, made_up):
    with translation.override(pseudo.LEFT_TO_RIGHT):
        page = html(demo(), document, a_few_pages(document))
    assert in_no_brackets(page) - the_contests_own() == set()
    assert re.search(r'<html lang="xx"\s+dir="ltr">', page)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_words_of_1_4_times_the_length_find_room(document, made_up):
    with translation.override(pseudo.LEFT_TO_RIGHT):
        made = pdf(demo(), document, a_few_pages(document))
    assert made.outside() == []
    assert made.overlapping() == []
    assert made.text.count(pseudo.OPEN) == made.text.count(pseudo.CLOSE) > 0


def test_a_page_is_numbered_and_a_total_has_its_mark_in_the_language(made_up):
    with translation.override(pseudo.LEFT_TO_RIGHT):
        made = pdf(demo(), "results", a_few_pages("results"))
    words = pseudo.said("Page {page} of {all}").format(page=1, all=len(made.pages))
    assert words in made.text
    assert "375,75" in made.text
    assert made.catalogue["Lang"] == b"xx"


def test_a_list_from_right_to_left_is_mirrored(made_up):
    choice = a_few_pages("results")
    with translation.override(pseudo.RIGHT_TO_LEFT):
        mirrored = pdf(demo(), "results", choice)
    assert mirrored.outside() == []
    assert mirrored.overlapping() == []
    rank, total = (next(word for word in mirrored.words[0] if part in word["text"]) for part in ("Ràñk", "Tötàl"))
    assert rank["x0"] > total["x1"]
    page, title = (next(word for word in mirrored.words[0] if part in word["text"]) for part in ("Pàğé", "Réšûltš"))
    assert page["x1"] < mirrored.pages[0].width / 2 < title["x0"]


def test_a_placing_is_written_as_a_number_whatever_the_direction(made_up):
    with translation.override(pseudo.RIGHT_TO_LEFT):
        made = pdf(demo(), "class-reports", Choice(classes=(1,)))
    key = [word["text"] for word in made.words[0] if word["bottom"] - word["top"] > 14 and word["text"] in "1234"]
    assert "".join(key) == demo().record.classes[0].official


def test_the_command_writes_in_the_language_that_it_is_told(db, made_up, tmp_path):
    out = tmp_path / "results.html"
    call_command(
        "print", str(a_contest().pk), "results", out=str(out), language=pseudo.LEFT_TO_RIGHT, stdout=StringIO()
    )
    assert pseudo.said("Results") in out.read_text(encoding="utf-8")
    assert translation.get_language() == "en"


def test_a_job_keeps_the_language_of_whoever_orders_it(db, made_up):
    contest = a_contest()
    with translation.override(pseudo.LEFT_TO_RIGHT):
        job = order_job(contest, DOCUMENTS["results"], Choice(), by="Ann")
        assert job.choice["language"] == pseudo.LEFT_TO_RIGHT
    assert "language" not in order_again(job, by="Sue").choice
