"""`manage.py print`: any document, without a browser."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from scoring.management.commands.print import Command
from scoring.prints import rendering
from scoring.prints.catalogue import DOCUMENTS
from tests.factories import a_contest
from tests.scoring.prints.papers import Pdf

pytestmark = pytest.mark.django_db


def run(*arguments):
    out = StringIO()
    call_command("print", *arguments, stdout=out)
    return out.getvalue()


def test_it_writes_a_pdf(tmp_path):
    contest = a_contest()
    said = run(contest.pk, "results", "--list", "SR/overall", "--paper", "letter", "--out", str(tmp_path / "r.pdf"))
    assert "Results of Harrow Creek Fall Judging Contest written to" in said
    made = Pdf(tmp_path / "r.pdf")
    assert "Senior – Overall" in made.text
    assert round(made.pages[0].width) == 612


@pytest.mark.parametrize("document", DOCUMENTS)
def test_it_makes_every_document_from_the_database(document, tmp_path):
    out = tmp_path / "paper.html"
    run(a_contest().pk, document, "--out", str(out))
    assert DOCUMENTS[document].title in out.read_text()


def test_help_names_every_document():
    text = Command().create_parser("manage.py", "print").format_help()
    for name, document in DOCUMENTS.items():
        assert f"  {name}" in text
        assert document.about in text


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("results", "--list", "SR/nothing"), "no list SR/nothing; this contest has SR/overall"),
        (("nothing",), "invalid choice"),
        (("check-in", "--order", "weight"), "has team, number, name, group, not weight"),
    ],
)
def test_it_refuses_what_there_is_not(arguments, why, tmp_path):
    with pytest.raises(CommandError, match=why):
        run(a_contest().pk, *arguments, "--out", str(tmp_path / "x.pdf"))
    assert not (tmp_path / "x.pdf").exists()


def test_it_lists_the_contests_where_the_number_is_wrong(tmp_path):
    contest = a_contest()
    with pytest.raises(CommandError, match=f"{contest.pk}  Harrow Creek"):
        run(contest.pk + 1, "results", "--out", str(tmp_path / "x.pdf"))


def test_it_says_where_it_cannot_write():
    with pytest.raises(CommandError, match="cannot be written there"):
        run(a_contest().pk, "results", "--out", "/nowhere/x.html")


def test_without_the_library_it_says_so(tmp_path, monkeypatch):
    import builtins

    real = builtins.__import__

    def without(name, *rest, **more):
        if name.partition(".")[0] == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    monkeypatch.setattr(rendering, "PRINTS", ())
    with pytest.raises(CommandError, match="lacks a system library"):
        run(a_contest().pk, "results", "--out", str(tmp_path / "x.pdf"))
