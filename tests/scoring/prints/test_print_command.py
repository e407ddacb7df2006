"""`manage.py print`: any document, without a browser."""

import re
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from contest.data_folder import held_by_one
from contest.models import Contest
from scoring.management.commands.print import Command
from scoring.prints import rendering
from scoring.prints.catalogue import DOCUMENTS
from tests.factories import a_contest
from tests.scoring.prints.papers import Pdf

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


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
    where = ("--address", "http://10.0.0.7:8000") if document == "join-sheet" else ()
    run(a_contest().pk, document, *where, "--out", str(out))
    assert str(DOCUMENTS[document].title) in out.read_text()


def test_help_names_every_document():
    text = " ".join(Command().create_parser("manage.py", "print").format_help().split())
    for name, document in DOCUMENTS.items():
        assert f" {name} {document.about}" in text
        assert all(order in text for order in document.orders)


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("results", "--list", "SR/nothing"), "no list SR/nothing; this contest has SR/overall"),
        (("join-sheet",), "join-sheet says how other devices reach this laptop, and Tanbark is not serving them now"),
        (("nothing",), r"(?s)The documents:\n  check-in .*\nThere is no nothing\.$"),
        (("check-in", "--order", "weight"), "has team, number, name, group, not weight"),
        (("results", "--order", "name"), "results has no choice of order, not name"),
        (("results", "--number", "101"), "results takes no --number, only --list, --of"),
        (("check-in", "--list", "SR/overall"), "check-in takes no --list, only paper, copies and order"),
        (("packets", "--number", "101", "--number", "7"), "nobody has number 7"),
        (("packets", "--who", "Nowhere"), "no team and nobody is called “Nowhere”"),
        (("results", "--who", "Harrow"), "results takes no --who"),
        (("class-reports", "--class", "9"), "there is no class 9; this contest has 1"),
        (("results", "--copies", "0"), "--copies: '0' is no whole number from 1 to 50"),
        (("results", "--paper", "legal"), "--paper: invalid choice: 'legal'"),
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


def test_it_says_where_it_cannot_write(tmp_path):
    contest = a_contest()
    with pytest.raises(CommandError, match="cannot be written there: No such file or directory"):
        run(contest.pk, "results", "--out", str(tmp_path / "nowhere" / "x.html"))
    (tmp_path / "folder.html").mkdir()
    with pytest.raises(CommandError, match="cannot be written there: Is a directory"):
        run(contest.pk, "results", "--out", str(tmp_path / "folder.html"))
    with pytest.raises(CommandError, match=r"a name that ends in \.pdf or \.html"):
        run(contest.pk, "results", "--out", str(tmp_path / "x.doc"))
    assert [path.name for path in tmp_path.iterdir()] == ["folder.html"]


def test_it_takes_the_place_of_the_file_that_is_there(tmp_path):
    out = tmp_path / "results.html"
    out.write_text("yesterday's")
    run(a_contest().pk, "results", "--out", str(out))
    assert out.read_text().lstrip().startswith("<!DOCTYPE html>")
    assert list(tmp_path.iterdir()) == [out]


def test_every_option_reaches_the_document_that_takes_it(tmp_path):
    contest = a_contest()
    labels = ("--list", "SR/overall", "--of", "individuals", "--places", "1", "--labels", "letter-30", "--skip", "3")
    run(contest.pk, "ribbon-labels", *labels, "--out", str(tmp_path / "labels.html"))
    text = (tmp_path / "labels.html").read_text()
    assert "label-sheet letter-30" in text
    assert len(re.findall(r'<div class="label">\s*</div>', text)) == 3
    assert "teams" not in text
    run(contest.pk, "packets", "--number", "102", "--out", str(tmp_path / "packets.html"))
    text = (tmp_path / "packets.html").read_text()
    assert "Given102x" in text
    assert "Given101x" not in text


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


def test_without_an_address_it_takes_that_of_the_running_server(tmp_path, settings):
    settings.DATA_FOLDER = tmp_path / "data"
    contest = a_contest()
    served = ["http://192.168.1.2:8000/", "http://10.0.0.7:8000/"]
    for chosen, shown in (("", "http://192.168.1.2:8000/join/"), ("10.0.0.7", "http://10.0.0.7:8000/join/")):
        Contest.objects.filter(pk=contest.pk).update(hall_address=chosen)
        with held_by_one(settings.DATA_FOLDER, "up", "http://localhost:8000/", served):
            run(contest.pk, "join-sheet", "--out", str(tmp_path / "sheet.html"))
        assert shown in (tmp_path / "sheet.html").read_text()
    with pytest.raises(CommandError, match="not serving them now"):
        run(contest.pk, "join-sheet", "--out", str(tmp_path / "sheet.html"))
