"""Every text that people read is marked, so that it can be said in any language."""

import re
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils.translation import override

from scoring.core.points import figure, written
from tests.texts.catalogs import DOMAINS, brought_up_to_date, is_translated, mo_bytes, po_bytes, po_file, read
from tests.texts.unmarked import words_of

PLACE = re.compile(r"{\w*(?:![rsa])?(?::[^{}]*)?}|%\(\w+\)s|%s")

TEMPLATES = Path(__file__).parent.parent / "templates"


def test_words_outside_of_a_marked_text_are_found():
    said = '<p title="Four digits">{% translate "Class" %} {{ n }} of</p>{% blocktranslate %}a{% endblocktranslate %}'
    assert words_of(said) == ["of", "Four", "digits"]


def test_every_word_of_a_template_is_marked():
    paths = sorted(TEMPLATES.rglob("*.html"))
    assert len(paths) > 300
    assert [(path.name, words) for path in paths if (words := words_of(path.read_text(encoding="utf-8")))] == []


def places_of(text):
    """Where values go; Spanish says some of our ordinals as numbers."""
    return Counter(PLACE.findall(text.replace("{ordinal}", "{number}")))


class TestSpanish:
    @pytest.mark.parametrize("domain", DOMAINS)
    def test_every_text_has_its_spanish(self, domain):
        catalog = brought_up_to_date("es", domain)
        assert [message.id for message in catalog if message.id and not is_translated(message)] == []

    @pytest.mark.parametrize("domain", DOMAINS)
    def test_the_files_are_as_the_command_writes_them(self, domain):
        file = po_file("es", domain)
        catalog = brought_up_to_date("es", domain)
        assert file.read_bytes() == po_bytes(catalog), "run python -m tests.texts es"
        assert file.with_suffix(".mo").read_bytes() == mo_bytes(catalog), "run python -m tests.texts es"

    @pytest.mark.parametrize("domain", DOMAINS)
    def test_a_text_and_its_spanish_have_the_same_places_for_values(self, domain):
        wrong = []
        for message in read("es", domain):
            texts = [message.id] if isinstance(message.id, str) else message.id
            said = [message.string] if isinstance(message.string, str) else message.string
            pairs = zip(texts, said, strict=True)
            wrong += [(text, spanish) for text, spanish in pairs if places_of(text) != places_of(spanish)]
        assert wrong == []

    def test_a_page_is_spanish_for_a_spanish_browser_and_has_its_decimal_mark(self, client, db):
        page = client.get(reverse("join"), headers={"accept-language": "es-AR,es;q=0.9,en;q=0.5"})
        assert '<html lang="es"' in page.text
        assert "Código de acceso" in page.text

    @pytest.mark.parametrize(("language", "shown"), [("en", "412.5"), ("es", "412,5"), ("es-mx", "412.5")])
    def test_points_have_the_decimal_mark_of_the_language(self, language, shown):
        with override(language):
            assert figure(Fraction(825, 2)) == shown
            assert written(Fraction(825, 2)) == "412.5"
