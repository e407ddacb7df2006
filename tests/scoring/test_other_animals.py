"""What is shown and printed of classes that have not four animals under digits."""

import random

import pytest
from django.test import Client

from contest.models import Contest
from contest.records import save_record
from scoring.board import board_cache
from scoring.board.choosing import choose, picture_wish
from scoring.core import record as pure
from scoring.models import KeyRelease
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.crossed_lines import _STROKES, crossing
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of

pytestmark = pytest.mark.any_database

CLASSES = {1: "123", 2: "ABCXYZ", 3: "12345678"}


@pytest.fixture
def contest(db) -> Contest:
    mixed = random.Random(3)
    keys = {number: "".join(mixed.sample(animals, len(animals))) for number, animals in CLASSES.items()}
    classes = tuple(
        pure.JudgingClass(
            number, f"Class of {len(animals)}", ("SR",), reasons=("SR",), official=keys[number],
            cuts=tuple(range(1, len(animals))), animals=animals,
        )
        for number, animals in CLASSES.items()
    )  # fmt: skip
    people = tuple(pure.Contestant(number, "SR", role="individual", group="A") for number in range(101, 107))
    cards = tuple(
        pure.Card(number, person.number, "".join(mixed.sample(animals, len(animals))))
        for number, animals in CLASSES.items()
        for person in people
    )
    division = pure.Division("SR", "Senior", 3)
    return save_record(
        pure.Record(pure.Rules("Odd"), (division,), classes=classes, contestants=people, cards=cards), "t"
    )


PAGES = (
    "", "classes/1/", "classes/2/", "classes/3/", "setup/", "watch/keys/", "watch/keys/3/", "watch/doubts/",
    "watch/progress/", "watch/progress/2/", "standings/SR/overall/", "standings/contestants/101/", "results/",
    "results/margins/", "results/study/", "reasons/notes/2/", "reasons/sheets/", "desk/practice/",
    "desk/classes/3/loose/",
)  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_every_page_about_them_opens(contest, superintendent, page):
    answer = superintendent.get(f"/contests/{contest.pk}/{page}")
    assert answer.status_code == 200
    assert b"Traceback" not in answer.content


@pytest.mark.parametrize("name", sorted(DOCUMENTS))
def test_every_document_is_made_of_them(contest, name):
    document = DOCUMENTS[name]
    assert "<html" in html_of(document, gather_material(contest.pk, document), Choice())[0]


def test_a_grid_of_many_shows_the_placings_that_were_given_alone(contest, superintendent):
    page = superintendent.get(f"/contests/{contest.pk}/classes/3/").content.decode()
    given = set(contest.classes.get(number=3).cards.values_list("placing", flat=True))
    official = contest.classes.get(number=3).keys.get().official
    assert page.count('<th scope="row">') == len(given | {official}) + 2  # unreadable, no card
    of_three = superintendent.get(f"/contests/{contest.pk}/classes/1/").content.decode()
    assert of_three.count('<th scope="row">') == 6 + 2


def test_the_board_tells_for_a_critique_what_most_gave_where_no_picture_is(contest):
    KeyRelease.objects.create(judging_class=contest.classes.get(number=2), by="Sue")
    choose(contest, picture_wish(2), "Sue")
    board_cache.forget_all()
    page = Client().get(f"/board/{contest.pk}/").content.decode()
    assert 'class="commonest"' in page
    for placing in contest.classes.get(number=2).cards.values_list("placing", flat=True):
        assert placing in page


@pytest.mark.parametrize("animals", ["123", "ABXY", "ABCXYZ", "12345678"])
def test_crossed_lines_draw_a_line_from_each_animal_to_itself(animals):
    assert crossing(animals, animals[::-1]).count("L") == len(animals)


def test_every_label_that_an_animal_can_have_is_drawn():
    assert sorted(_STROKES) == sorted("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")
