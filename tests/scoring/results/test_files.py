"""Results as files: CSV, a workbook, and a static copy for any web server."""

import csv
import io
import re
import sys
import threading
import zipfile
from datetime import timedelta
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone
from openpyxl import load_workbook

from contest.book.results import result_files
from contest.models import Contest
from scoring.core.record import Mark
from scoring.core.tally import tally
from scoring.models import TakeHomeLink
from scoring.results import publishing
from scoring.results.downloads import Titles, csv_zip, workbook
from scoring.results.links import make_links, withdraw_link
from scoring.results.protests import close_protests, take_protests
from scoring.results.publishing import SIGN, publish
from tests.factories import ContestantFactory, PartFactory, RecordFactory
from tests.pages import on_one_line
from tests.scoring.results.cast import change_key, correct, ready, release

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def contest():
    return ready()


class TestDownloads:
    def test_the_zip_holds_the_four_result_files_to_the_byte(self):
        record = RecordFactory()
        result = tally(record)
        with zipfile.ZipFile(io.BytesIO(csv_zip(record, result))) as archive:
            held = {name: archive.read(name).decode() for name in archive.namelist()}
        assert held == result_files(record, result)
        assert csv_zip(record, result) == csv_zip(record, result)

    def test_the_workbook_has_one_sheet_a_list_with_real_numbers_and_a_frozen_head(self, contest):
        from contest.records.tallying import tallied

        shown = tallied(contest)
        book = load_workbook(io.BytesIO(workbook(shown.record, shown.result)))
        lists = ["Overall", "Placing", "Reasons"]
        wanted = [title for name in lists for title in (f"SR {name} teams", f"SR {name}")]
        assert book.sheetnames == [*wanted, "SR scores", "SR team scores"]
        sheet = book["SR Overall"]
        assert sheet.freeze_panes == "A2"
        head, first, *_ = sheet.values
        assert head == ("Rank", "Number", "Name", "Team", "Total", "Tie")
        row = shown.result.standings[0].individuals[0]
        assert first[:2] == (row.rank, row.number)
        assert Fraction(str(first[4])) == row.total
        assert isinstance(first[4], (int, float))

    def test_every_score_stands_in_a_column_of_its_class_set_or_part(self, contest):
        from contest.records.tallying import tallied

        shown = tallied(contest)
        book = load_workbook(io.BytesIO(workbook(shown.record, shown.result)))
        head, first, *_ = book["SR scores"].values
        assert head == ("Number", "Name", "Team", "Class 1", "Class 2", "Reasons 1")
        assert first == (101, "Given101x Family101x", "Barley Hill", 50, 50, 41.01)
        assert list(book["SR team scores"].values)[:2] == [("Team", "Team activity"), ("Barley Hill", 30.5)]

    def test_how_a_tie_fell_is_told_in_words(self):
        record = RecordFactory()
        book = load_workbook(io.BytesIO(workbook(record, tally(record))))
        assert book["SR Overall"]["F2"].value == "level at 50; shares its place with 102 and 103"
        assert book["SR Overall teams"]["D2"].value == "101, 102, 103"

    def test_no_cell_of_the_csv_files_is_taken_for_a_formula(self):
        teams = ("=cmd|' /C calc'!A0", "+1", "-1", "@A1", "Ötztal")
        people = tuple(ContestantFactory(number=101 + n, team=team) for n, team in enumerate(teams))
        record = RecordFactory(
            contestants=people,
            parts=(PartFactory(scope="team"),),
            marks=tuple(Mark("QUEST", 1000, division="SR", team=team) for team in teams),
        )
        with zipfile.ZipFile(io.BytesIO(csv_zip(record, tally(record)))) as archive:
            for name in ("individuals.csv", "teams.csv", "team-scores.csv"):
                rows = list(csv.DictReader(io.StringIO(archive.read(name).decode())))
                assert {row["team"] for row in rows} == {f"'{team}" for team in teams[:4]} | {"Ötztal"}, name

    def test_what_looks_like_a_formula_is_text(self):
        record = RecordFactory(contestants=(ContestantFactory(number=101, team="=1+1\x07"),))
        book = load_workbook(io.BytesIO(workbook(record, tally(record))))
        cell = book["SR Overall teams"]["B2"]
        assert (cell.value, cell.data_type) == ("=1+1", "s")

    def test_the_public_workbook_has_no_scores_class_by_class(self):
        record = RecordFactory()
        titles = load_workbook(io.BytesIO(workbook(record, tally(record), public=True))).sheetnames
        assert titles == ["SR Overall teams", "SR Overall", "SR Placing teams", "SR Placing"]

    def test_a_contest_without_lists_makes_a_workbook_all_the_same(self):
        record = RecordFactory(divisions=(), classes=(), contestants=(), cards=())
        assert load_workbook(io.BytesIO(workbook(record, tally(record), public=True))).sheetnames == ["Results"]

    def test_titles_of_sheets_are_short_plain_and_different(self):
        titles = Titles()
        assert titles.of("A/B [x]") == "A B  x"
        long = [titles.of("x" * 40) for _ in range(12)]
        assert len({title.casefold() for title in long}) == 12
        assert max(map(len, long)) == 31
        assert titles.of("a/b [X]") == "a b  X 2"

    @pytest.mark.parametrize("ending", ["zip", "xlsx"])
    def test_the_superintendent_has_them_before_a_release(self, superintendent, contest, ending):
        answer = superintendent.get(f"/contests/{contest.pk}/results/results.{ending}")
        assert answer.content[:2] == b"PK"
        assert answer.headers["Cache-Control"] == "no-store"

    def test_another_ending_is_not_found(self, superintendent, contest):
        assert superintendent.get(f"/contests/{contest.pk}/results/results.pdf").status_code == 404


class Links(HTMLParser):
    """What a page names: addresses, and whether there is any script or style in it."""

    def __init__(self, page):
        super().__init__()
        self.addresses, self.tags = [], set()
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        self.addresses += [value for name, value in attributes if name in ("href", "src")]


class TestPublishing:
    @pytest.fixture
    def copy(self, contest, tmp_path):
        release(contest)
        folder = tmp_path / "site"
        publish(contest, folder)
        return folder

    def test_before_a_release_it_is_refused_and_nothing_is_written(self, contest, tmp_path):
        with pytest.raises(CommandError, match="not released yet"):
            call_command("publish", contest.pk, str(tmp_path / "site"))
        assert not (tmp_path / "site").exists()

    def test_it_is_whole_in_itself(self, copy):
        pages = sorted(copy.glob("*.html"))
        assert {page.name for page in pages} >= {"index.html", "list-1.html", "class-1.html", "class-2.html"}
        for page in pages:
            links = Links(page.read_text(encoding="utf-8"))
            assert not links.tags & {"script", "style", "iframe"}
            for address in links.addresses:
                assert not re.match(r"[a-z]+:|/", address), address
                if not address.startswith("#"):
                    assert (copy / address).is_file(), address
        for style in (copy / "css").glob("*.css"):
            for named in re.findall(r'url\("([^"]+)"\)', style.read_text(encoding="utf-8")):
                assert (style.parent / named).resolve().is_file(), named

    def test_it_holds_the_pages_behind_links_to_take_home(self, copy, contest):
        assert list(copy.glob("home/*")) == [copy / "home" / "index.html"]
        make_links(Contest.objects.get(pk=contest.pk), "Sue")
        withdraw_link(TakeHomeLink.objects.get(contestant__number=103), "Sue")
        publish(Contest.objects.get(pk=contest.pk), copy)
        links = TakeHomeLink.objects.filter(contest=contest, withdrawn_at=None)
        assert {page.parent.name for page in copy.glob("home/*/index.html")} == {link.token for link in links}
        assert "home" not in (copy / "home" / "index.html").read_text(encoding="utf-8")
        for link in links:
            page = copy / "home" / link.token / "index.html"
            text = page.read_text(encoding="utf-8")
            assert str(link.team or link.contestant.number) in text
            assert "Family104x" not in text
            for address in Links(text).addresses:
                assert not re.match(r"[a-z]+:|/", address), address
                assert address.startswith("#") or (page.parent / address).resolve().is_file(), address

    def test_it_shows_what_was_announced_and_no_more_of_a_name_than_may_be(self, copy):
        text = "".join(page.read_text(encoding="utf-8") for page in copy.glob("*.html"))
        assert "Given101x Family101x" in text
        for hidden in ("Family104x", "Given105x", "csrf", "/contests/", "127.0.0.1"):
            assert hidden not in text

    def test_what_changes_is_in_it_only_once_it_is_announced(self, copy, contest):
        before = (copy / "list-1.html").read_bytes()
        change_key(contest)
        call_command("publish", contest.pk, str(copy), stdout=io.StringIO())
        assert (copy / "list-1.html").read_bytes() == before
        correct(contest, "the key of class 1")
        call_command("publish", contest.pk, str(copy), stdout=io.StringIO())
        assert "the key of class 1" in (copy / "index.html").read_text(encoding="utf-8")

    def test_it_takes_the_place_of_an_earlier_copy_as_a_whole(self, copy, contest):
        (copy / "list-99.html").write_text("left over")
        call_command("publish", contest.pk, str(copy), stdout=io.StringIO())
        assert not (copy / "list-99.html").exists()
        assert [path.name for path in copy.parent.iterdir()] == ["site"]

    def test_a_reader_finds_a_whole_copy_at_every_moment(self, copy, contest):
        missed, read = [], []

        def reads():
            while not done.is_set():
                try:
                    read.append((copy / "index.html").read_bytes())
                except OSError as error:
                    missed.append(error)

        done = threading.Event()
        reader = threading.Thread(target=reads)
        reader.start()
        try:
            for _ in range(5):
                publish(contest, copy)
        finally:
            done.set()
            reader.join()
        assert missed == [] or sys.platform != "linux"
        assert len(set(read)) == 1

    def test_where_folders_cannot_be_exchanged_in_one_step_it_takes_two(self, copy, contest, monkeypatch):
        monkeypatch.setattr(publishing, "_exchanged", lambda *_: False)
        (copy / "list-99.html").write_text("left over")
        publish(contest, copy)
        assert not (copy / "list-99.html").exists()
        assert (copy / "index.html").is_file()
        assert [path.name for path in copy.parent.iterdir()] == ["site"]

    def test_it_tells_until_when_protests_are_taken(self, copy, contest):
        take_protests(contest, "Sue", timezone.now() + timedelta(minutes=30), "At the desk.")
        publish(contest, copy)
        page = on_one_line((copy / "list-1.html").read_text(encoding="utf-8"))
        assert "Not final when this copy was made.</strong> Protests are taken until" in page
        close_protests(contest, "Sue")
        publish(contest, copy)
        assert "<strong>Final.</strong>" in (copy / "list-1.html").read_text(encoding="utf-8")

    def test_a_copy_that_fails_leaves_the_earlier_one(self, copy, contest, monkeypatch):
        def fails(*_):
            raise OSError(28, "No space left on device")

        before = sorted(path.name for path in copy.iterdir())
        monkeypatch.setattr(Path, "write_bytes", fails)
        with pytest.raises(CommandError, match="No space left"):
            call_command("publish", contest.pk, str(copy))
        assert sorted(path.name for path in copy.iterdir()) == before
        assert [path.name for path in copy.parent.iterdir()] == ["site"]

    def test_a_folder_with_anything_else_is_left_alone(self, copy, contest, tmp_path):
        other = tmp_path / "papers"
        other.mkdir()
        (other / "thesis.txt").write_text("mine")
        with pytest.raises(CommandError, match="holds something else"):
            call_command("publish", contest.pk, str(other))
        assert (other / "thesis.txt").read_text() == "mine"
        assert (copy / SIGN).is_file()

    def test_it_says_what_it_wrote(self, copy, contest, tmp_path):
        out = io.StringIO()
        call_command("publish", contest.pk, str(tmp_path / "again"), stdout=out)
        assert re.search(r"6 pages written to .*again\. Open .*again/index\.html", out.getvalue())

    def test_an_unknown_contest_is_said(self, tmp_path):
        with pytest.raises(CommandError, match="there is no contest 4711"):
            call_command("publish", 4711, str(tmp_path / "site"))
