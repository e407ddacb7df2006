"""Templates are read by people: short lines, short files. What one element a line means is djlint's business."""

from pathlib import Path

import pytest

TEMPLATES = Path(__file__).parent.parent / "templates"


@pytest.mark.parametrize("path", sorted(TEMPLATES.rglob("*.html")), ids=lambda path: str(path.relative_to(TEMPLATES)))
def test_a_template_has_short_lines_and_few_of_them(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert max(map(len, lines)) <= 120
    assert len(lines) <= 80
