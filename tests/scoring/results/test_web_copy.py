"""Released results as files for a web server: what is there, when it changes, and when it goes."""

import json
import os
import re
import subprocess
import sys
import threading
import time
from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.utils import timezone

from contest.models import Contest
from contest.trail import record_change
from contest.trail.sentences import Sentence
from scoring.models import TakeHomeLink
from scoring.results.links import make_links, withdraw_link
from scoring.results.protests import take_protests
from scoring.results.release import withdraw_results
from scoring.results.web_copy import keeper, places
from scoring.results.web_copy.child import write
from scoring.results.web_copy.keeper import Keeper, keep_web_copy
from scoring.results.web_copy.pages import state_of, told_of_web_copy
from scoring.results.web_copy.places import CannotBeKept, file_for, in_force, prepare, put_up, take_down
from tests.pages import body, on_one_line
from tests.scoring.results.cast import change_key, correct, ready, release
from tests.waiting import eventually

LANGUAGES = ("en", "es", "es-mx")


def always():
    return True


def words_of(page):
    """What somebody reads of its main part."""
    main = page.partition("<main")[2].partition("</main>")[0]
    return re.sub(r"<[^>]*>", " ", main).split()


class TestTheFolder:
    def test_a_version_takes_the_place_of_the_one_before_at_every_address(self, tmp_path):
        put_up(
            tmp_path, 7, "lists", "a", [("en/results/7/index.html", b"old"), ("en/public/7/x", b"gone soon")], always
        )
        put_up(tmp_path, 7, "lists", "b", [("en/results/7/index.html", b"new")], always)
        assert (tmp_path / "en/results/7/index.html").read_bytes() == b"new"
        assert not (tmp_path / "en/public/7").is_symlink()
        assert sorted(path.name for path in (tmp_path / "made/7/lists").iterdir()) == ["b", "now"]

    def test_what_was_written_while_it_changed_is_thrown_away(self, tmp_path):
        put_up(tmp_path, 7, "lists", "a", [("en/results/7/index.html", b"old")], always)
        assert not put_up(tmp_path, 7, "lists", "b", [("en/results/7/index.html", b"new")], lambda: False)
        assert (tmp_path / "en/results/7/index.html").read_bytes() == b"old"
        assert in_force(tmp_path, 7, "lists") == "a"

    def test_what_cannot_be_written_leaves_the_one_before(self, tmp_path):
        def breaks_off():
            yield "en/results/7/index.html", b"half"
            raise OSError("the disk is full")

        put_up(tmp_path, 7, "lists", "a", [("en/results/7/index.html", b"old")], always)
        with pytest.raises(OSError, match="full"):
            put_up(tmp_path, 7, "lists", "b", breaks_off(), always)
        assert (tmp_path / "en/results/7/index.html").read_bytes() == b"old"

    def test_taken_down_nothing_is_left_of_it_and_all_of_the_others(self, tmp_path):
        for contest in (7, 8):
            put_up(tmp_path, contest, "lists", "a", [(f"en/results/{contest}/index.html", b"lists")], always)
            put_up(tmp_path, contest, "homes", "a", [(f"en/home/T{contest}/index.html", b"home")], always)
        take_down(tmp_path, 7, "homes")
        assert not (tmp_path / "en/home/T7").is_symlink()
        assert (tmp_path / "en/results/7/index.html").read_bytes() == b"lists"
        take_down(tmp_path, 7, "lists")
        assert [path.name for path in tmp_path.rglob("*") if "7" in path.name] == []
        assert (tmp_path / "en/home/T8/index.html").read_bytes() == b"home"

    def test_a_web_server_may_read_all_and_list_no_family_s_address(self, tmp_path):
        prepare(folder := tmp_path / "copy")
        put_up(folder, 7, "homes", "a", [("en/home/TOKEN/index.html", b"home")], always)
        assert (folder / "en/home").stat().st_mode & 0o777 == 0o711
        assert (folder / "en/home/TOKEN/index.html").stat().st_mode & 0o777 == 0o644
        made = (folder / "en/home/TOKEN").resolve()
        assert made.stat().st_mode & 0o777 == 0o755
        assert made.parent.stat().st_mode & 0o777 == 0o711

    @pytest.mark.parametrize(
        "address", ["/results/7/../", "/results/7/a\\b/", "/results/7//x/", f"/results/7/{'a' * 201}/"]
    )
    def test_an_address_that_is_no_path_has_no_file(self, address):
        assert file_for(address) is None

    def test_pages_lie_in_folders_and_files_do_not(self):
        assert file_for("/results/7/SR/placing/") == "results/7/SR/placing/index.html"
        assert file_for("/results/7/results.zip") == "results/7/results.zip"

    def test_a_folder_that_holds_anything_else_is_refused(self, tmp_path):
        (tmp_path / "letters.txt").touch()
        with pytest.raises(CannotBeKept, match="holds something else"):
            prepare(tmp_path)
        assert [path.name for path in tmp_path.iterdir()] == ["letters.txt"]

    def test_one_without_symbolic_links_is_refused(self, tmp_path, monkeypatch):
        def refuse(*args):
            raise OSError(1, "Operation not permitted")

        monkeypatch.setattr("pathlib.Path.symlink_to", refuse)
        with pytest.raises(CannotBeKept, match="symbolic links can be made there: Operation not permitted"):
            prepare(tmp_path / "copy")


@pytest.fixture
def folder(tmp_path, settings):
    settings.WEB_COPY_FOLDER = tmp_path / "copy"
    prepare(settings.WEB_COPY_FOLDER)
    return settings.WEB_COPY_FOLDER


@pytest.fixture
def written(folder, monkeypatch):
    """A keeper whose child's work is done at once, in this process."""

    class Done:
        returncode = 0

        def poll(self):
            return 0

        def communicate(self):
            return "", ""

    def start(_module, order):
        write(json.loads(order))
        return Done()

    monkeypatch.setattr(keeper, "start_child", start)
    kept = Keeper(folder)

    def look():
        kept.turn()
        kept.turn()

    return look


@pytest.mark.django_db
@pytest.mark.any_database
class TestAContest:
    def test_there_is_nothing_before_the_release(self, folder, written):
        ready()
        written()
        assert not (folder / "made").exists()

    def test_each_page_says_what_the_site_says_in_each_language(self, folder, written):
        contest = ready()
        release(contest)
        make_links(contest, "superintendent")
        written()
        token = TakeHomeLink.objects.filter(contestant__number=101).get().token
        for address in (f"/results/{contest.pk}/", f"/public/{contest.pk}/classes/1/", f"/home/{token}/"):
            for language in LANGUAGES:
                site = Client(headers={"accept-language": language}).get(address)
                copied = (folder / language / address.strip("/") / "index.html").read_text(encoding="utf-8")
                there = words_of(on_one_line(copied))
                assert len(there) > 20
                assert [word for word in there if word not in words_of(body(site))] == []
                assert 'src="/static/js/' not in copied
        sheet = folder / "en" / "results" / str(contest.pk) / "results.xlsx"
        assert sheet.read_bytes().startswith(b"PK")

    def test_a_change_is_there_once_it_is_announced(self, folder, written):
        contest = ready()
        release(contest)
        written()
        page = folder / f"en/results/{contest.pk}/index.html"
        before, made = page.read_text(), page.resolve()
        change_key(contest)
        written()
        assert (page.read_text(), page.resolve()) == (before, made)  # and nothing was written again
        assert state_of(Contest.objects.get(pk=contest.pk)) == places.state_in_force(folder, contest.pk, "lists")
        correct(contest, "the key of class 1 was mistyped")
        written()
        assert "the key of class 1 was mistyped" in page.read_text()

    def test_withdrawn_results_are_gone(self, folder, written):
        contest = ready()
        release(contest)
        make_links(contest, "superintendent")
        written()
        assert list((folder / "en/home").iterdir())
        withdraw_results(contest, "superintendent", "the wrong list was read")
        written()
        assert list((folder / "en/home").iterdir()) == list((folder / "en/results").iterdir()) == []
        assert places.contests_in(folder) == set()

    def test_a_withdrawn_link_leads_nowhere_before_all_else_is_written(self, folder, written, monkeypatch):
        contest = ready()
        release(contest)
        make_links(contest, "superintendent")
        written()
        link = TakeHomeLink.objects.filter(contestant__number=101).get()
        withdraw_link(link, "superintendent")
        monkeypatch.setattr(keeper.Keeper, "_start", lambda self, pk: None)
        Keeper(folder).turn()
        assert not (folder / "en/home" / link.token).is_symlink()
        assert len(list((folder / "en/home").iterdir())) == 5

    def test_a_family_that_wants_no_name_shown_any_more_is_written_anew(self, folder, written):
        contest = ready()
        release(contest)
        written()
        page = folder / f"en/results/{contest.pk}/index.html"
        assert "Family101x" in page.read_text()
        contest.contestants.filter(number=101).update(show_name=False)
        record_change(contest, "superintendent", Sentence("results_released"))
        written()
        assert "Family101x" not in page.read_text()

    def test_when_the_time_for_protests_is_over_it_says_so(self, folder, written, monkeypatch):
        contest = ready()
        release(contest)
        take_protests(contest, "superintendent", timezone.now() + timedelta(minutes=10))
        written()
        page = folder / f"en/results/{contest.pk}/index.html"
        before = page.resolve()
        monkeypatch.setattr(keeper, "LOOK_AT_ALL_EVERY", 0)
        with time_machine.travel(timezone.now() + timedelta(minutes=11)):
            written()
        assert page.resolve() != before

    def test_results_tells_how_far_it_is(self, superintendent, folder, written):
        contest = ready()
        release(contest)
        address = f"/contests/{contest.pk}/results/"
        assert "copy is being written" in body(superintendent.get(address))
        written()
        assert "copy is as new as what everybody sees" in body(superintendent.get(address))
        places.say_trouble(folder, contest.pk, "No space left on device")
        change_key(contest)
        assert "No space left on device" in body(superintendent.get(address))

    def test_where_no_folder_was_chosen_nothing_is_said(self, superintendent, settings):
        settings.WEB_COPY_FOLDER = None
        contest = ready()
        release(contest)
        assert told_of_web_copy(contest) is None
        assert "web server’s copy" not in body(superintendent.get(f"/contests/{contest.pk}/results/"))


@pytest.mark.django_db(transaction=True)
class TestTheThread:
    def test_it_writes_in_a_process_of_its_own_and_takes_away_what_is_withdrawn(self, folder, monkeypatch):
        monkeypatch.setattr(keeper, "LOOK_EVERY", 0.05)
        contest = ready()
        release(contest)
        stop = threading.Event()
        thread = threading.Thread(target=keep_web_copy, args=[stop])
        thread.start()
        try:
            page = folder / f"en/results/{contest.pk}/index.html"
            eventually(page.is_file)
            withdraw_results(contest, "superintendent", "the wrong list was read")
            eventually(lambda: not page.exists())
        finally:
            stop.set()
            thread.join(10)
        assert not thread.is_alive()

    def test_of_two_one_waits_until_the_other_has_ended(self, folder, monkeypatch):
        monkeypatch.setattr(keeper, "LOOK_EVERY", 0.02)
        turns = []
        monkeypatch.setattr(Keeper, "turn", lambda self: turns.append(threading.current_thread().name))
        stops = {name: threading.Event() for name in ("first", "second")}
        threads = {}
        for name, stop in stops.items():
            threads[name] = threading.Thread(target=keep_web_copy, args=[stop], name=name)
            threads[name].start()
            eventually(lambda: turns)
        time.sleep(0.2)
        assert set(turns) == {"first"}
        stops["first"].set()
        eventually(lambda: "second" in turns)
        stops["second"].set()
        for thread in threads.values():
            thread.join(10)
            assert not thread.is_alive()

    def test_what_fails_is_told_and_what_is_old_taken_away(self, folder, monkeypatch):
        contest = ready()
        release(contest)
        put_up(folder, contest.pk, "lists", "old", [(f"en/results/{contest.pk}/index.html", b"old")], always)
        (folder / "es").write_text("in the way")
        kept = Keeper(folder)
        kept.turn()
        eventually(lambda: kept.child.poll() is not None)
        kept.turn()
        connection.close()
        assert places.trouble_of(folder, contest.pk) != ""
        assert not (folder / f"en/results/{contest.pk}").is_symlink()


class TestTheWebServer:
    def test_its_configuration_names_the_folders_of_this_tanbark(self, settings, tmp_path):
        settings.WEB_COPY_FOLDER = tmp_path
        said = StringIO()
        call_command("nginx", "--listen", "8080", "--tanbark", "http://127.0.0.1:9000/", stdout=said)
        text = said.getvalue()
        assert f"root {tmp_path}/$tanbark_language;" in text
        assert f"alias {settings.STATIC_ROOT}/;" in text
        assert "server 127.0.0.1:9000;" in text
        assert "@" not in text.replace("@shown", "")
        for code, _name in settings.LANGUAGES:
            assert f"    {code} {code};" in text

    def test_without_a_folder_it_says_what_to_name(self, settings):
        settings.WEB_COPY_FOLDER = None
        with pytest.raises(CommandError, match="TANBARK_WEB_COPY=DIR"):
            call_command("nginx")


def test_it_may_not_lie_in_the_data_folder(tmp_path):
    made = subprocess.run(
        [sys.executable, "-c", "import contest.settings"],
        env=os.environ | {"TANBARK_DATA": str(tmp_path), "TANBARK_WEB_COPY": str(tmp_path / "web")},
        capture_output=True,
        text=True,
    )
    assert "TANBARK_WEB_COPY must not lie in the data folder" in made.stderr
