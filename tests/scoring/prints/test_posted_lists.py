"""Lists to be posted: how a tie fell, as many rows a page as can be read, and no heading alone."""

import re
from dataclasses import replace
from functools import cache
from html import unescape
from itertools import pairwise

from scoring.core.explain import how_ties_fell
from scoring.prints.choice import Choice
from scoring.prints.material import Material
from tests.bench.large_contest import large_record
from tests.scoring.prints.papers import demo, html, material_of, pdf

ALONE = re.compile(r"^(Individuals|Teams|Rank|Place) |^\d+ (contestants|teams)$| – ")


@cache
def in_two_divisions(contestants: int) -> Material:
    record = large_record(contestants)
    both = tuple(division.code for division in record.divisions[:2])
    people = tuple(person._replace(division=both[at % 2]) for at, person in enumerate(record.contestants))
    classes = tuple(replace(judged, divisions=both, reasons=judged.reasons and both) for judged in record.classes)
    parts = tuple(replace(part, divisions=both) for part in record.parts)
    divisions = record.divisions[:2]
    return material_of(replace(record, contestants=people, divisions=divisions, classes=classes, parts=parts))


def test_a_row_says_how_its_tie_fell_as_the_screen_does():
    material = demo()
    told = 0
    for standing in material.result.standings:
        page = html(material, "results", Choice(lists=(f"{standing.division}/{standing.code}",)))
        notes = [
            unescape(note).removesuffix("; card not settled")
            for note in re.findall(r'<td class="fell">(.*?)</td>', page)
        ]
        people, teams = how_ties_fell(material.record, material.result, standing)
        fell = [re.sub("^level at [^;]+; ", "", words) for words in people + teams]
        assert [note for note in notes if note not in ("", "card not settled")] == [words for words in fell if words]
        told += sum("ahead of" in note for note in notes)
    assert told > 10


def test_no_tie_doubles_a_row():
    made = pdf(in_two_divisions(120), "results")
    rows = re.compile(r"^\d+ \d+ Team")
    between = []
    for page in made.pages:
        lines = page.extract_text_lines()
        between += [
            (two["top"] - one["top"], "ahead" in one["text"] or "behind" in one["text"])
            for one, two in pairwise(lines)
            if rows.match(one["text"]) and rows.match(two["text"])
        ]
    assert sum(is_tied for _height, is_tied in between) > 20
    assert max(height for height, _is_tied in between) < 1.6 * min(height for height, _is_tied in between)


def test_the_results_of_120_contestants_take_14_pages():
    assert len(pdf(in_two_divisions(120), "results").pages) <= 14


def test_no_page_ends_with_a_heading():
    for material, document in ((demo(), "results"), (in_two_divisions(120), "results"), (demo(), "script")):
        for page in pdf(material, document).pages:
            *_lines, last, _stamp = page.extract_text_lines()
            assert not ALONE.search(last["text"]), (document, last["text"])
