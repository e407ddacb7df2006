"""Contests looked back on: the page, and the folder that `manage.py study` writes."""

import csv
import io
import re

import pytest
from django.core.management import CommandError, call_command

from contest.demo import DEMO_BOOK
from tests.scoring.results.cast import ready


@pytest.mark.django_db
@pytest.mark.any_database
def test_the_page_says_what_is_known_and_names_nobody(superintendent):
    contest = ready()
    page = superintendent.get(f"/contests/{contest.pk}/results/study/").content.decode()
    assert "Which pair fooled whom" in page
    assert "Fewer than five contestants or two classes say nothing about this." in page
    assert not any(f">{person.number}<" in page for person in contest.contestants.all())


def test_a_folder_has_everything_without_a_server_or_a_database(tmp_path, capsys):
    call_command("study", str(DEMO_BOOK), str(DEMO_BOOK), "--out", str(tmp_path / "made"))
    assert "2 contests looked back on" in capsys.readouterr().out
    made = tmp_path / "made" / "contest-1"
    page = (made / "index.html").read_text(encoding="utf-8")
    pictures = page.count("<svg viewBox")
    assert pictures == page.count("<figcaption>") == 9
    named = re.findall(r'(?:href|src)="([^"#]+)"', page)
    assert all((made / name).exists() for name in named)
    rows = {
        name: list(csv.DictReader(io.StringIO((made / f"{name}.csv").read_text(encoding="utf-8"))))
        for name in ("reliability", "classes", "placings", "pairs", "cuts", "officials")
    }
    assert [row["division"] for row in rows["reliability"]] == ["JR", "IN", "SR"]
    assert len(rows["pairs"]) == 6 * len(rows["classes"])
    assert sum(int(row["cards"]) for row in rows["placings"]) == sum(int(row["cards"]) for row in rows["classes"])
    assert "contest-2/index.html" in (tmp_path / "made" / "index.html").read_text(encoding="utf-8")
    call_command("study", str(DEMO_BOOK), "--out", str(tmp_path / "made"))  # again, over what it wrote itself


def test_nothing_is_written_over_what_somebody_else_keeps_there(tmp_path):
    (tmp_path / "photographs.txt").write_text("ours")
    with pytest.raises(CommandError, match="holds something else"):
        call_command("study", str(DEMO_BOOK), "--out", str(tmp_path))
    assert [path.name for path in tmp_path.iterdir()] == ["photographs.txt"]
