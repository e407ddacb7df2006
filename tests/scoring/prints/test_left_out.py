"""Names that no font here can draw are told before they are printed, and the number is printed all the same."""

import re
import subprocess
from dataclasses import replace
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from contest.models import Contestant
from scoring.prints import fonts
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.fonts import leave_out, packages_for, undrawn
from scoring.prints.views import print_shop
from tests.factories import a_contest
from tests.scoring.prints.papers import Pdf, a_part, demo, html, material_of, pdf

HAN, THAI = ("太郎", "山田"), ("Anna สมชาย", "Berg")


@pytest.fixture(autouse=True)
def only_our_own_fonts(monkeypatch):
    monkeypatch.setattr(fonts, "_installed", lambda letters: set())


def named(contest):
    first, second = Contestant.objects.filter(contest=contest).order_by("number")[:2]
    for person, (first_name, last_name) in ((first, HAN), (second, THAI)):
        person.first_name, person.last_name = first_name, last_name
        person.save()
    return first.number, second.number


def test_our_own_fonts_draw_what_a_name_is_likely_to_have():
    assert (
        undrawn("Zażółć Gęślą-Jaźń, Þórdís, Γιώργος, Ольга, Қасым, Ґалаґан, Thị Ánh, שלומית, عبد الله, پژمان")
        == frozenset()
    )
    assert undrawn("e\u0301lan, a\u200db, one\u2028two") == frozenset()
    assert undrawn("山田 김 สม 👍") == set("山田김สม👍")


def test_what_is_left_out_leaves_one_mark():
    letters = undrawn("山田太郎สม")
    assert leave_out("<b>山田 太郎</b> and Anna สม", letters) == "<b>…</b> and Anna …"


def test_the_packages_are_those_that_have_the_letters():
    assert packages_for("山김カ") == ["fonts-noto-cjk"]
    assert packages_for("ส👍र") == ["fonts-noto-color-emoji", "fonts-noto-core"]


@pytest.mark.django_db
def test_the_prints_page_says_which_names_where_and_what_to_install(superintendent, monkeypatch):
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "")
    contest = a_contest()
    numbers = named(contest)
    page = " ".join(superintendent.get(reverse("prints", args=[contest.pk])).content.decode().split())
    assert f"太郎 山田 (number {numbers[0]}) and Anna สมชาย Berg (number {numbers[1]})" in page
    where = re.search("The PDF files of (.*?) have “…” in their place", page).group(1)
    assert "Check-in lists" in where
    assert "Team packets" in where
    assert "Placing cards" not in where
    assert "Install fonts-noto-cjk and fonts-noto-core (Debian’s names)" in page
    plain = superintendent.get(reverse("prints", args=[a_contest().pk])).content.decode()
    assert "No font here" not in plain


@pytest.mark.django_db
def test_the_command_says_so_in_words(tmp_path, caplog, settings):
    # At a terminal nobody may have collected the static files yet.
    settings.STATIC_ROOT = tmp_path / "static"
    storage = {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"}
    settings.STORAGES = settings.STORAGES | {"staticfiles": storage}
    contest = a_contest()
    numbers = named(contest)
    said, out = StringIO(), tmp_path / "paper.pdf"
    call_command("print", contest.pk, "check-in", "--out", str(out), stdout=StringIO(), stderr=said)
    assert said.getvalue().splitlines() == [
        f"No font here can draw 太郎 山田 (number {numbers[0]}) and Anna สมชาย Berg (number {numbers[1]}): where it "
        "stands on Check-in lists, “…” is printed. Install fonts-noto-cjk and fonts-noto-core (Debian’s names), or any "
        "font that has these letters."
    ]
    assert not caplog.records
    assert re.search(rf"^.?{numbers[0]} … ", Pdf(out).text, re.M)
    said.truncate(0)
    call_command("print", contest.pk, "placing-cards", "--out", str(out), stdout=StringIO(), stderr=said)
    assert "No font" not in said.getvalue()


@pytest.mark.parametrize("document", DOCUMENTS)
def test_wherever_a_name_is_left_out_the_number_stands(document, monkeypatch):
    monkeypatch.setattr(fonts, "LEFT_OUT", "⁂")
    record = demo().record
    people = tuple(
        person._replace(first_name=HAN[0], last_name=HAN[1], show_name=True) for person in record.contestants
    )
    material = material_of(replace(record, rules=replace(record.rules, show_people_as="name"), contestants=people))
    page = html(material, document, a_part(material, document))
    shown = page[page.index("<body") :]
    assert "山" not in shown
    for piece in re.split("<(?:tr|li|section|div)", shown):
        if fonts.LEFT_OUT in re.sub("<[^>]*>", "", piece):
            assert re.search(r"\b[1-3]\d\d\b", re.sub("<[^>]*>", " ", piece)), piece


def test_an_award_sheet_says_the_number_in_place_of_the_name():
    record = demo().record
    winner = demo().result.standings[0].individuals[0].number
    people = tuple(
        person._replace(first_name=HAN[0], last_name=HAN[1]) if person.number == winner else person
        for person in record.contestants
    )
    material = material_of(replace(record, contestants=people))
    made = pdf(
        material, "award-sheets", replace(a_part(material, "award-sheets"), lists=(), numbers=(winner,), places=1)
    )
    assert f"Contestant {winner}" in made.pages[0].extract_text(x_tolerance=3)


def test_installed_fonts_are_asked_for_what_ours_lack(monkeypatch):
    monkeypatch.undo()
    listed = subprocess.CompletedProcess([], 0, stdout="20-7e 4e00-9fff 20-7e e2a ")
    monkeypatch.setattr(subprocess, "run", lambda *_args, **_more: listed)
    assert undrawn("山ส김") == {"김"}


def test_where_nobody_knows_what_is_installed_nothing_is_left_out(monkeypatch):
    monkeypatch.undo()

    def gone(*_args, **_more):
        raise FileNotFoundError("fc-list")

    monkeypatch.setattr(subprocess, "run", gone)
    assert undrawn("山ส김") == frozenset()
