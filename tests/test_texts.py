"""Every text that people read is marked, so that it can be said in any language."""

from pathlib import Path

import pytest

from tests.texts.unmarked import words_of

TEMPLATES = Path(__file__).parent.parent / "templates"
MARKED = [
    "400.html",
    "403_csrf.html",
    "404.html",
    "413.html",
    "422.html",
    "500.html",
    "base.html",
    "contest/desk",
    "contest/entries",
    "contest/history",
    "contest/language",
    "contest/look",
    "contest/setup",
    "contest/trail",
    "contest/uploads",
    "contest/watch",
    *(f"contest/{path.name}" for path in sorted((TEMPLATES / "contest").glob("*.html"))),
    "prints",
    "reasons",
    "scoring",
]
"""What is marked so far, by file or folder."""


def test_words_outside_of_a_marked_text_are_found():
    said = '<p title="Four digits">{% translate "Class" %} {{ n }} of</p>{% blocktranslate %}a{% endblocktranslate %}'
    assert words_of(said) == ["of", "Four", "digits"]


@pytest.mark.parametrize("place", MARKED)
def test_every_word_of_a_template_is_marked(place):
    paths = [TEMPLATES / place] if place.endswith(".html") else sorted((TEMPLATES / place).rglob("*.html"))
    assert paths
    assert [(path.name, words) for path in paths if (words := words_of(path.read_text(encoding="utf-8")))] == []
