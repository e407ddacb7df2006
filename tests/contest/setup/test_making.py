"""New contests in the browser, and contests taken away as books."""

import io
import zipfile
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Contest, Duty
from contest.records import load_record, save_record
from contest.setup.views import making
from tests.contest.setup.cast import in_use
from tests.factories import a_contest
from tests.pages import body
from tests.trails import last_of

pytestmark = pytest.mark.django_db
NEW = "/contests/new/"


def send(client, address, values):
    return client.post(address, {**values, "submission": str(uuid4())})


def zipped(files, name="fair.zip"):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for file, text in files.items():
            archive.writestr(file, text)
    return SimpleUploadedFile(name, data.getvalue())


def demo_files():
    return {path.name: path.read_bytes() for path in DEMO_BOOK.iterdir()}


def made(response):
    """The contest that the reply leads to."""
    assert response.status_code == 302
    contest = Contest.objects.latest("pk")
    assert response.headers["Location"] == f"/contests/{contest.pk}/setup/"
    return contest


class TestNewContest:
    def test_it_is_the_superintendents_alone(self, as_helper, client, superintendent):
        helper = as_helper(a_contest(), Duty.TABULATOR)
        assert helper.get(NEW).status_code == 404
        assert send(helper, NEW, {"way": "demo"}).status_code == 404
        assert client.get(NEW).status_code == 302
        body(superintendent.get(NEW))
        assert Contest.objects.count() == 1

    def test_the_list_of_contests_leads_to_it(self, superintendent):
        assert f'href="{NEW}"' in body(superintendent.get("/"))

    def test_an_empty_one(self, superintendent):
        values = {"way": "empty", "empty-name": "Alder Fair", "empty-held_on": "2027-03-01", "empty-place": "Alder"}
        contest = made(send(superintendent, NEW, values))
        assert (contest.name, str(contest.held_on), contest.place) == ("Alder Fair", "2027-03-01", "Alder")

    def test_one_without_a_name_is_refused_and_what_was_typed_stays(self, superintendent):
        page = body(send(superintendent, NEW, {"way": "empty", "empty-place": "Alder"}), 422)
        assert "This field is required." in page
        assert 'value="Alder"' in page
        assert not Contest.objects.exists()

    def test_the_demo(self, superintendent):
        contest = made(send(superintendent, NEW, {"way": "demo"}))
        assert load_record(contest.pk)[1] == read_book(DEMO_BOOK)

    def test_a_copy(self, superintendent):
        earlier = in_use()
        values = {"way": "copy", "copy-contest": earlier.pk, "copy-name": "Next year", "copy-held_on": ""}
        copy = made(send(superintendent, NEW, values))
        assert copy.classes.count() == 2
        assert not copy.contestants.exists()

    def test_a_copy_of_nothing_is_refused(self, superintendent):
        a_contest()
        body(send(superintendent, NEW, {"way": "copy", "copy-contest": "4711", "copy-name": "Next year"}), 422)
        assert Contest.objects.count() == 1

    def test_no_way_at_all_is_refused(self, superintendent):
        body(send(superintendent, NEW, {"way": "somehow"}), 422)
        assert not Contest.objects.exists()


@pytest.mark.django_db(transaction=True)
class TestFromABook:
    def test_a_book_is_brought_in(self, superintendent):
        contest = made(send(superintendent, NEW, {"way": "book", "book-book": zipped(demo_files())}))
        assert load_record(contest.pk)[1] == read_book(DEMO_BOOK)
        assert last_of(contest).by == "superintendent"

    def test_every_problem_is_listed_and_nothing_is_saved(self, superintendent):
        files = demo_files()
        files["cards.csv"] = b"class,number,placing\n1,101,3125\n99,101,3124\n"
        page = body(send(superintendent, NEW, {"way": "book", "book-book": zipped(files)}), 422)
        assert "2 problems in the book" in page
        assert '<td>cards.csv</td><td class="figure">2</td>' in page
        assert '<td>cards.csv</td><td class="figure">3</td>' in page
        assert "names &#x27;5&#x27;" in page
        assert not Contest.objects.exists()

    def test_what_is_alike_is_said_once_and_the_whole_list_can_be_saved(self, superintendent, client):
        files = demo_files()
        files["cards.csv"] = b"class,number,placing\n" + b"99,101,3124\n" * 500
        page = body(send(superintendent, NEW, {"way": "book", "book-book": zipped(files)}), 422)
        assert "500 problems in the book" in page
        assert "and 497 more such rows in cards.csv" in page
        assert page.count("<td>cards.csv</td>") == 3
        saved = superintendent.get("/contests/new/problems.txt")
        assert f'href="{saved.request["PATH_INFO"]}" download' in page
        assert "attachment" in saved.headers["Content-Disposition"]
        lines = saved.content.decode().splitlines()
        assert lines[0] == "Problems of fair.zip"
        assert lines[2:] == [f"cards.csv:{line}: class '99' is not defined in contest.toml" for line in range(2, 502)]
        assert client.get("/contests/new/problems.txt").status_code == 302

    def test_there_is_no_list_where_no_book_was_refused(self, superintendent):
        assert superintendent.get("/contests/new/problems.txt").status_code == 404

    @pytest.mark.parametrize("data", [b"no zip at all", b""])
    def test_what_is_no_book_is_refused(self, superintendent, data):
        uploaded = SimpleUploadedFile("../../etc/fair.zip", data)
        body(send(superintendent, NEW, {"way": "book", "book-book": uploaded}), 422)
        assert not Contest.objects.exists()

    def test_no_file_is_refused(self, superintendent):
        assert "This field is required." in body(send(superintendent, NEW, {"way": "book"}), 422)

    def test_a_file_too_large_is_refused_unread(self, superintendent, monkeypatch):
        monkeypatch.setattr(making, "MOST_UPLOADED", 1024 * 1024)
        uploaded = SimpleUploadedFile("fair.zip", b"x" * (1024 * 1024 + 1))
        page = body(send(superintendent, NEW, {"way": "book", "book-book": uploaded}), 422)
        assert "larger than 1 MB" in page


class TestTakenAway:
    def test_the_book_holds_the_contest(self, superintendent, tmp_path):
        contest = save_record(read_book(DEMO_BOOK), by="test")
        response = superintendent.get(f"/contests/{contest.pk}/book.zip")
        assert response.headers["Content-Disposition"] == 'attachment; filename="marrowby-spring-sheep-judging-day.zip"'
        (tmp_path / "book.zip").write_bytes(response.content)
        assert read_book(tmp_path / "book.zip") == read_book(DEMO_BOOK)

    def test_a_name_without_letters_makes_a_file_all_the_same(self, superintendent):
        contest = a_contest()
        Contest.objects.filter(pk=contest.pk).update(name="مهرة")
        response = superintendent.get(f"/contests/{contest.pk}/book.zip")
        assert response.headers["Content-Disposition"] == 'attachment; filename="contest.zip"'

    def test_it_is_the_superintendents_alone(self, as_helper, client, superintendent):
        contest = a_contest()
        for duty in Duty:
            assert as_helper(contest, duty, duty.name).get(f"/contests/{contest.pk}/book.zip").status_code == 404
        assert client.get(f"/contests/{contest.pk}/book.zip").status_code == 302
        assert superintendent.post(f"/contests/{contest.pk}/book.zip").status_code == 405
        assert superintendent.get("/contests/4711/book.zip").status_code == 404


def test_a_contest_set_up_in_the_browser_reads_back_as_a_book(superintendent, tmp_path):
    contest = made(send(superintendent, NEW, {"way": "empty", "empty-name": "Alder Fair “2027”"}))
    at = f"/contests/{contest.pk}/setup/"

    def add(kind, **values):
        assert send(superintendent, f"{at}{kind}/new/", values).status_code == 302

    rest = {"team_counting": "0", "short_team": "unranked", "counting_members": "each", "alternates_compete": "True"}
    add("divisions", name="Junior", code="JR", **rest)
    add("divisions", name="Senior, “old hands”", code="SR", **rest | {"team_counting": "4"})
    add("categories", name="Halter", code="HAL")
    one = {"name": "Aged geldings", "category": "HAL", "places": "True", "perfect": "50", "divisions": ["JR", "SR"]}
    add("classes", number="1", **one, reasons=["SR"])
    add("classes", number="7", **one | {"places": "False", "name": "Reasons only\N{EN DASH}twice"})
    add("parts", name="Questions", code="QUEST", category="HAL", divisions=["JR"], most="50", scope="individual")
    for scope, added in (("individual", ["reasons", "class:1", "part:QUEST"]), ("team", ["left-out", "category:HAL"])):
        before = []
        for step in added:
            assert (
                send(superintendent, f"{at}ties/{scope}/", {"shown": " ".join(before), "add": step}).status_code == 302
            )
            before.append(step)

    (tmp_path / "book.zip").write_bytes(superintendent.get(f"/contests/{contest.pk}/book.zip").content)
    record = read_book(tmp_path / "book.zip")
    assert record == load_record(contest.pk)[1]
    assert [judged.number for judged in record.classes] == [1, 7]
    assert record.individual_ties == ("reasons", "class:1", "part:QUEST")
    assert record.team_ties == ("left-out", "category:HAL")
