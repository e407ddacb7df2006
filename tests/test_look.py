"""Sheets of style name sizes, spaces and colours of `tokens.css`, and have none of their own."""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parent.parent / "static" / "css"
SHEETS = [path for path in sorted(CSS.glob("*.css")) if path.name not in ("tokens.css", "print.css")]
SPACES = re.compile(r"(?<![\w-])((?:padding|margin)(?:-[\w-]+)?|(?:row-|column-)?gap)\s*:\s*([^;}]+)")
LENGTH = re.compile(r"(?<![\w.-])-?\d*\.?\d+(?:rem|em|ch|pt|mm|vw|vh|vmin)\b")


def rules_of(path):
    return re.sub(r"/\*.*?\*/", "", path.read_text(encoding="utf-8"), flags=re.S)


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.name)
def test_a_sheet_has_no_size_space_or_colour_of_its_own(path):
    rules = rules_of(path)
    sizes = [value for value in re.findall(r"font-size\s*:\s*([^;}]+)", rules) if LENGTH.search(value)]
    spaces = [found for found in SPACES.findall(rules) if LENGTH.search(found[1])]
    colours = re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[^{}]*[;}])|rgba?\([^)]*\)", rules)
    assert (sizes, spaces, colours) == ([], [], [])


def test_there_are_few_sizes_and_spaces():
    tokens = rules_of(CSS / "tokens.css")
    assert len(set(re.findall(r"--(?:type|paper)-[\w-]+(?=:)", tokens))) <= 20
    assert len(set(re.findall(r"--space-\d(?=:)", tokens))) == 8
