"""Sheets of style name sizes, spaces and colours of `tokens.css`, and have none of their own."""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parent.parent / "static" / "css"
SHEETS = [path for path in sorted(CSS.glob("*.css")) if path.name not in ("tokens.css", "print.css")]
ON_PAPER = [CSS / "print.css", *sorted(CSS.glob("prints/*.css"))]
SPACES = re.compile(r"(?<![\w-])((?:padding|margin)(?:-[\w-]+)?|(?:row-|column-)?gap)\s*:\s*([^;}]+)")
ONE_SIDED = re.compile(
    r"(?<![\w-])(?:(?:margin|padding|border|inset)-(?:left|right)(?:-\w+)?|left|right)\s*:[^;}]*"
    r"|(?:text-align|float|clear)\s*:\s*(?:left|right)\b"
)
FOUR_SIDED = re.compile(r"(?<![\w-])(?:padding|margin|inset|border-width)\s*:\s*([^;}]+)")
PAPER_LENGTH = re.compile(r"(?<![\w.-])-?\d*\.?\d+(?:rem|pt|mm|cm|px)\b")
LENGTH = re.compile(r"(?<![\w.-])-?\d*\.?\d+(?:rem|em|ch|pt|mm|vw|vh|vmin)\b")


def rules_of(path):
    return re.sub(r"/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.S)


def one_sided(rules):
    """What would not be mirrored where a page is read from right to left."""
    uneven = []
    for found in FOUR_SIDED.finditer(rules):
        values = re.findall(r"(?:[^\s()]|\((?:[^()]|\([^()]*\))*\))+", found[1])
        if len(values) == 4 and values[1] != values[3]:
            uneven.append(found[0])
    return ONE_SIDED.findall(rules) + uneven


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.name)
def test_a_sheet_has_no_size_space_or_colour_of_its_own(path):
    rules = rules_of(path)
    sizes = [value for value in re.findall(r"font-size\s*:\s*([^;}]+)", rules) if LENGTH.search(value)]
    spaces = [found for found in SPACES.findall(rules) if LENGTH.search(found[1])]
    colours = re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[^{}]*[;}])|rgba?\([^)]*\)", rules)
    assert (sizes, spaces, colours) == ([], [], [])


@pytest.mark.parametrize("path", ON_PAPER, ids=lambda path: path.name)
def test_a_printed_page_has_no_size_or_space_of_its_own(path):
    rules = re.sub(r"@page[^{]*\{\s*margin:[^;]*;", "", rules_of(path))  # the paper's own edges
    rules = re.sub(r"--[\w-]+\s*:[^;}]*", "", rules)  # the measures of label sheets
    sizes = [value for value in re.findall(r"font(?:-size)?\s*:\s*([^;}]+)", rules) if PAPER_LENGTH.search(value)]
    spaces = [found for found in SPACES.findall(rules) if PAPER_LENGTH.search(found[1])]
    assert (sizes, spaces) == ([], [])


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.name)
def test_a_sheet_knows_no_left_and_right_so_that_a_page_can_be_mirrored(path):
    assert one_sided(rules_of(path)) == []


@pytest.mark.parametrize(
    "rule",
    [
        "a { margin-left: 0; }",
        "a { border-left-width: 6px; }",
        "a { left: 0; }",
        "a { text-align: right; }",
        "a { float: left; }",
        "a { padding: 0 var(--space-2) calc(1 * var(--edge)) 0; }",
    ],
)
def test_what_knows_left_and_right_is_found(rule):
    assert one_sided(rule)


def test_there_are_few_sizes_and_spaces():
    tokens = rules_of(CSS / "tokens.css")
    assert len(set(re.findall(r"--(?:type|paper)-[\w-]+(?=:)", tokens))) <= 20
    assert len(set(re.findall(r"--space-\d(?=:)", tokens))) == 8
    assert len(set(re.findall(r"--sheet-\d(?=:)", tokens))) == 8
