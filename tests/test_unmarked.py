"""Every page in a language made up for tests: what stands outside of its brackets was never marked as a text."""

import calendar
import re
from html.parser import HTMLParser

import pytest
from django.apps import apps
from django.db.models import CharField, TextField
from django.test import Client

from tests.accounts import an_account
from tests.addresses import addresses, values_of
from tests.bench.full_contest import make_full_contest
from tests.texts import pseudo

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

LEAVING = ("/leave/", "/sign-out/")
READ_OUT = ("aria-label", "title", "placeholder", "alt")
NOT_READ = {"script", "style", "code", "kbd", "template"}
MARKED = re.compile(rf"{pseudo.OPEN}[^{pseudo.OPEN}{pseudo.CLOSE}]*{pseudo.CLOSE}")
WORD = re.compile(r"[A-Za-zÀ-ÿ]{2,}")
NAMES = {
    *(
        "Tanbark",
        "Letter",
        "CSV",
        "PDF",
        "SVG",
        "PNG",
        "HTML",
        "JSON",
        "ZIP",
        "zip",
        "xlsx",
        "http",
        "localhost",
        "testserver",
        "home",  # in an address to take home
    ),
    *("English", "Xx", "Xr", *calendar.month_name, *calendar.month_abbr, *calendar.day_name),
    *["Maisie", "Tolworthy", "Cobblewick", "Zoë", "Lindqvarn", "Ockerby", "Fold", "Kofi", "Barimensa", "Tarrowdale"],
}
"""Names that are the same in every language."""


class Said(HTMLParser):
    """What a page says to whoever sees or hears it, in its order."""

    def __init__(self):
        super().__init__()
        self.parts, self.inside = [], []

    def handle_starttag(self, tag, attributes):
        values = dict(attributes)
        self.parts += [values[name] for name in READ_OUT if values.get(name)]
        if tag in NOT_READ or values.get("class") == "code" or values.get("translate") == "no":
            self.inside.append(tag)
        self.parts.append(" ")

    def handle_endtag(self, tag):
        if self.inside and self.inside[-1] == tag:
            self.inside.pop()
        self.parts.append(" ")

    def handle_data(self, data):
        if not self.inside:
            self.parts.append(data)


def unmarked(page, known):
    """Words of a page that are neither of the made-up language nor what somebody typed."""
    said = Said()
    said.feed(page)
    text = "".join(said.parts)
    while (shorter := MARKED.sub(" ", text)) != text:
        text = shorter
    return [word for word in WORD.findall(text) if word not in known]


def typed():
    """Every word that somebody typed: all that the tables hold."""
    words = set()
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if isinstance(field, CharField | TextField) and not field.choices:
                for value in model._base_manager.values_list(field.name, flat=True).distinct():
                    words.update(WORD.findall(str(value)))
    return words


def test_no_page_says_anything_that_is_not_marked(made_up_texts):
    contest = make_full_contest(24, 8)
    client = Client(headers={"accept-language": pseudo.LEFT_TO_RIGHT})
    client.force_login(an_account())
    known = typed() | NAMES | {"superintendent"}
    found, asked = {}, 0
    with pseudo.spoken(made_up_texts):
        for address in addresses(values_of(contest)):
            if address in LEAVING:
                continue
            answer = client.get(address)
            if answer.status_code == 200 and answer.headers["Content-Type"].startswith("text/html"):
                asked += 1
                if words := unmarked(answer.text, known):
                    found[address] = " ".join(words)[:300]
    assert asked > 60
    assert not found, "\n".join(f"{address}: {words}" for address, words in found.items())


def test_a_text_that_is_not_marked_is_found():
    page = f'<p title="Four">{pseudo.said("Class {n}")} Harrow <b>card</b><script>var a</script></p>'
    assert unmarked(page, {"Harrow"}) == ["Four", "card"]
