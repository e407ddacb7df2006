"""What papers say of questions with an answer key, and what they keep back."""

from dataclasses import replace

import pytest

from contest.entries.accommodating import Needs
from contest.records.answers import Answered, questions_of
from scoring.core.record import Card, Mark, Part
from scoring.prints.choice import Choice
from tests.factories import DivisionFactory, RecordFactory, people
from tests.scoring.prints.papers import html, material_of, pdf


@pytest.fixture(scope="module")
def material():
    record = RecordFactory(
        divisions=(DivisionFactory(),),
        parts=(Part("QUIZ", "Beef quiz", ("SR",), 10, "individual"),),
        contestants=people(3, team="Barley Hill"),
        cards=tuple(Card(1, number, "3124") for number in (101, 102, 103)),
        marks=(Mark("QUIZ", 800, 101), Mark("QUIZ", 400, 102), Mark("QUIZ", 0, 103)),
    )
    rows = {101: "ABCDB", 102: "AB-*D", 103: ""}
    return material_of(record, answered={"QUIZ": Answered(questions_of(5, "ABCD", "2", "ABCDA"), rows)}, released=1)


def test_a_sheet_for_everybody_and_spares_without_a_number(material):
    page = html(material, "answer-sheets")
    assert page.count("Fill in one circle") == 3 and "Beef quiz" in page
    spares = html(material, "answer-sheets", Choice(order="blank", spares=5))
    assert spares.count("Fill in one circle") == 5 and "by-hand" in spares
    assert html(material, "key-forms").count("key-answers") == 1


def test_a_part_that_fills_a_page_has_it_to_itself(material):
    asked = Answered(questions_of(100, "ABCDEFGH", "1"), {})
    assert len(pdf(replace(material, answered={"QUIZ": asked}), "answer-sheets").pages) == 3


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_in_large_print_a_sheet_takes_as_many_pages_as_it_needs_and_nothing_is_small(material, paper):
    asked = Answered(questions_of(60, "ABCDE", "1"), {})
    needing = replace(material, answered={"QUIZ": asked}, accommodations={102: Needs(large_print=True)})
    made = pdf(needing, "large-answers", Choice(paper=paper))
    assert [f"Page {page} of 2" in text and "102" in text for page, text in enumerate(made.texts, start=1)] == [
        True
    ] * 2
    assert min(char["size"] for page in made.pages for char in page.chars) >= 17.99
    for page in made.pages:  # the last circle is on it
        assert max(curve["bottom"] for curve in page.curves) < page.height - 14
        assert max(curve["x1"] for curve in page.curves) < page.width - 14
    assert "by-hand" in html(replace(needing, accommodations={}), "large-answers")


def test_packets_tell_the_key_once_it_is_released_and_nothing_that_has_changed_since(material):
    told = html(material, "packets")
    assert "4 of 5 right; wrong: 5 (you B, key A)." in told
    assert "2 of 5 right; wrong: 3 (blank, key C), 4 (not clear, key D), 5 (you D, key A)." in told
    assert "no answer sheet." in told
    provisional = html(replace(material, released=None), "packets")
    assert "4 of 5 right." in provisional and "key A" not in provisional
    later = replace(material.answered["QUIZ"], rows={101: "ABCDA", 102: "AB-*D"})
    changed = html(replace(material, answered={"QUIZ": later}), "packets")
    assert "of 5 right" in changed and "5 of 5 right" not in changed and "4 of 5 right" not in changed
    assert "have changed since the results were announced" in html(
        replace(material, answered={"QUIZ": later}), "class-reports"
    )


def test_class_reports_say_how_each_question_went_and_the_wall_has_the_key_once_it_is_released(material):
    report = html(material, "class-reports")
    assert report.count("cannot be told") == 5 and "2 of 2" in report
    assert "ABCDA" in html(material, "keys")
    assert "ABCDA" not in html(replace(material, released=None), "keys")
