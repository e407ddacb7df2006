"""Ribbons and their labels: in the order of the table of ribbons, and each label where its sheet has one."""

import re
from collections import Counter
from dataclasses import replace

import pytest

from scoring.prints.choice import LABELS, Choice
from scoring.prints.documents.awards import PER_SHEET, awards_of
from scoring.prints.material import AwardList, Ribbon
from tests.pages import on_one_line
from tests.scoring.prints.papers import awkward, demo, html, material_of, pdf

TABLE = {1: Ribbon("Best of all", "gold"), 2: Ribbon("Runner-up", "green"), 3: Ribbon("Commended", "")}
LISTS = (AwardList("SR", "reasons", "individuals", 2), AwardList("JR", "overall", "teams", 3))
POINTS_PER_MM = 72 / 25.4

# Left and upper edge of the first label, its width and height, and the steps to the next one, in millimetres.
GEOMETRY = {
    "a4-24": (0, 0.5, 70, 37, 70, 37, 3),
    "a4-21": (7.2, 15.1, 63.5, 38.1, 66, 38.1, 3),
    "a4-14": (4.7, 15.1, 99.1, 38.1, 101.6, 38.1, 2),
    "letter-30": (4.8, 12.7, 66.7, 25.4, 69.8, 25.4, 3),
    "letter-10": (3.9, 12.7, 101.6, 50.8, 106.4, 50.8, 2),
}


@pytest.fixture(scope="module")
def material():
    return replace(demo(), ribbons=TABLE, award_lists=LISTS)


def order_of(text):
    return re.findall(r"^(Best of all|Runner-up|Commended)\b", text, re.MULTILINE)


def test_every_list_goes_through_the_table_of_ribbons(material):
    text = pdf(material, "ribbons").text
    assert text.index("Senior – Reasons, individuals") < text.index("Junior – Overall, teams")
    assert order_of(text) == ["Best of all", "Runner-up", "Best of all", "Runner-up", "Commended"]
    assert "gold" in text
    assert "Champion" not in text


def test_or_every_ribbon_goes_through_the_lists(material):
    text = pdf(material, "ribbons", Choice(order="ribbon")).text
    assert order_of(text) == ["Best of all", "Runner-up", "Commended"]
    lists = re.findall(r"^(Senior – Reasons|Junior – Overall), (individuals|teams)", text, re.MULTILINE)
    reasons, overall = ("Senior – Reasons", "individuals"), ("Junior – Overall", "teams")
    assert lists == [reasons, overall, reasons, overall, overall]


def test_it_counts_what_is_needed_in_the_order_of_the_table(material):
    found = re.search(r'class="needed">(.*?)</ul>', on_one_line(html(material, "ribbons"))).group(1)
    counted = re.findall(r"<b>(\d+)</b> × <bdi>(.*?)</bdi>", found)
    assert counted == [("2", "Best of all"), ("2", "Runner-up"), ("1", "Commended")]


def test_a_contest_without_a_table_of_ribbons_has_places_and_no_colours():
    text = pdf(replace(demo(), ribbons={}), "ribbons", Choice(lists=("JR/overall",), places=2)).text
    assert "1st place" in text
    assert "Ribbon Number" not in text


def test_labels_may_go_by_ribbon_too(material):
    labels = on_one_line(html(material, "ribbon-labels", Choice(order="ribbon")))
    found = re.findall(r'class="place [\w-]+"><bdi>(.*?)</bdi>', labels)
    assert found == ["Best of all"] * 2 + ["Runner-up"] * 2 + ["Commended"]


def cells(made, grid):
    """Which labels of a sheet have words on them, by the measures of the sheet; every word must lie on one label."""
    left, top, wide, high, across, down, columns = (
        n * POINTS_PER_MM if at < 6 else n for at, n in enumerate(GEOMETRY[grid])
    )
    found = Counter()
    for page, words in enumerate(made.words):
        for word in words:
            column, row = int((word["x0"] - left) // across), int((word["top"] - top) // down)
            assert left + column * across <= word["x0"]
            assert word["x1"] <= left + column * across + wide
            assert word["bottom"] <= top + row * down + high, word["text"]
            found[page * PER_SHEET[grid] + row * columns + column] += 1
    return found


@pytest.mark.parametrize("of", [demo, awkward])
@pytest.mark.parametrize("grid", LABELS)
def test_every_label_lies_where_the_sheet_has_one(grid, of):
    choice = Choice(labels=grid, lists=("SR/overall", "JR/overall", "IN/overall"))
    made = pdf(of(), "ribbon-labels", choice)
    wanted = sum(len(award.winners) for award in awards_of(of(), choice))
    assert sorted(cells(made, grid)) == list(range(wanted))
    paper = (612, 792) if grid.startswith("letter") else (595, 842)
    assert {(round(page.width), round(page.height)) for page in made.pages} == {paper}


def test_used_up_labels_are_skipped():
    made = pdf(demo(), "ribbon-labels", Choice(labels="a4-21", lists=("SR/overall",), kinds=("teams",), skip=4))
    assert sorted(cells(made, "a4-21")) == [4, 5]


def test_what_stands_on_labels_can_be_moved_for_a_printer_that_does_not_meet_them():
    plain = pdf(demo(), "ribbon-labels", Choice(lists=("SR/overall",)))
    moved = pdf(demo(), "ribbon-labels", Choice(lists=("SR/overall",), right=2, down=-3))
    for one, other in zip(plain.words[0], moved.words[0], strict=True):
        assert other["x0"] - one["x0"] == pytest.approx(2 * POINTS_PER_MM, abs=0.1)
        assert other["top"] - one["top"] == pytest.approx(-3 * POINTS_PER_MM, abs=0.1)


def test_an_award_sheet_says_when_reasons_count_standardised_in_its_list():
    record = demo().record
    standardised = material_of(replace(record, rules=replace(record.rules, reasons_standardised=True)))
    for material, name, said in (
        (demo(), "overall", False),
        (standardised, "overall", True),
        (standardised, "placing", False),
    ):
        page = html(material, "award-sheets", Choice(lists=(f"SR/{name}",), places=1))
        assert ("Reasons standardised across officials" in page) is said
