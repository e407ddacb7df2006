"""Standardised reasons, from the rule to what everybody sees: asked before a release, announced after one, said."""

import io
import zipfile
from fractions import Fraction

import pytest
from django.core.management import call_command
from django.urls import reverse

from contest.book import read_book
from contest.models import Contest
from contest.records import load_record
from contest.records.tallying import tallied
from contest.setup.contests import change_rules
from scoring.announced.released import released
from scoring.core.record import Card, ReasonsScore
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.results.corrections import unannounced
from scoring.results.downloads import csv_zip
from scoring.results.pages import also_changed
from tests.factories import ContestantFactory, DivisionFactory
from tests.scoring.results.cast import NUMBERS, correct, lines_of, ready, release
from tests.trails import last_of

pytestmark = pytest.mark.django_db

SAID = "Reasons standardised across officials, as the superintendent set"


@pytest.fixture
def contest():
    """101 and 102 were heard by a strict official, 103 and 104 by a mild one, and so were six more each."""
    return heard(4)


def heard(times, **parts):
    """`times` as many contestants as the first four, in whose place the fifth, sixth and so on were heard too."""
    numbers = (*NUMBERS, *range(106, 102 + 4 * times))
    given = zip(numbers, (("A", 3000), ("A", 3400), ("B", 4400), ("B", 4600)) * times, strict=True)
    return ready(
        contestants=tuple(ContestantFactory(number=n, team="", role="individual") for n in numbers),
        cards=tuple(Card(judged, n, "3124", "3124") for n in numbers for judged in (1, 2)),
        reasons=tuple(ReasonsScore(1, n, by, points) for n, (by, points) in given),
        parts=(),
        marks=(),
        **parts,
    )


def ordered(contest, whether=True):
    change_rules(contest, "Sue", reasons_standardised=whether)
    return Contest.objects.get(pk=contest.pk)


def reasons_of(shown, number):
    (scores,) = [scores for scores in shown.result.scores if scores.item == "reasons:1"]
    return scores.points[scores.numbers.index(number)]


def test_a_change_of_the_rule_scores_everything_anew_and_is_in_the_trail(contest):
    assert reasons_of(tallied(contest), 103) == 44
    before = contest.revision
    contest = ordered(contest)
    assert contest.revision > before
    assert reasons_of(tallied(contest), 101) == reasons_of(tallied(contest), 103) < 40
    entry = last_of(contest)
    assert entry.what == "rules changed"
    assert (entry.before["reasons_standardised"], entry.after["reasons_standardised"]) == (False, True)
    assert reasons_of(tallied(ordered(contest, False)), 103) == 44


def test_another_score_later_moves_everybodys(contest):
    from contest.models import Contestant
    from reasons.scores.officials import add_official
    from tests.slips import decide_reasons

    contest = ordered(contest)
    before = reasons_of(tallied(contest), 103)
    who = Contestant.objects.get(contest=contest, number=101)
    decide_reasons(contest.classes.get(number=1), add_official(contest, "A", "t"), who, 1000, "Sue", "misread")
    assert reasons_of(tallied(Contest.objects.get(pk=contest.pk)), 103) != before


def test_a_division_that_gives_no_reasons_is_told_nothing(superintendent):
    both = (DivisionFactory(team_counting=2), DivisionFactory(code="JR", name="Junior"))
    contest = ordered(heard(4, divisions=both))
    for division, says in (("SR", True), ("JR", False)):
        page = superintendent.get(reverse("standings-list", args=[contest.pk, division, "overall"])).content.decode()
        assert (SAID in page) is says


def test_it_is_asked_before_a_release(contest):
    assert not [line for line in lines_of(contest) if line.startswith("Reasons standardised")]
    assert f"{SAID}: every list counts them so. Does the rulebook order it?" in lines_of(ordered(contest))


def test_officials_of_few_sets_count_as_they_gave_which_is_asked_before_a_release_and_said_nowhere_else(
    superintendent, client
):
    contest = ordered(heard(3))  # six sets an official
    assert reasons_of(tallied(contest), 103) == 44
    assert "Reasons are to be standardised, but 2 officials heard fewer than 8 sets: theirs count as given" in lines_of(
        contest
    )
    release(contest)
    for address in (
        reverse("standings-list", args=[contest.pk, "SR", "overall"]),
        reverse("standings-contestant", args=[contest.pk, 101]),
        reverse("public-list", args=[contest.pk, "SR", "overall"]),
    ):
        assert "tandardised" not in superintendent.get(address).content.decode()
    fair = superintendent.get(reverse("reasons-fairness", args=[contest.pk])).content.decode()
    assert "2 officials heard fewer than 8 sets" in " ".join(fair.split())
    shown = tallied(contest)
    assert "note.txt" not in zipfile.ZipFile(io.BytesIO(csv_zip(shown.record, shown.result))).namelist()


def test_a_release_says_it_and_keeps_it(contest, client):
    contest = ordered(contest)
    release(contest)
    contest.refresh_from_db()
    announced = released(contest)
    assert announced.result == tallied(contest).result
    assert announced.record.rules.reasons_standardised
    assert {score.hundredths for score in announced.whole.reasons} == {3000, 3400, 4400, 4600}
    assert not unannounced(contest, tallied(contest))
    page = client.get(reverse("public-list", args=[contest.pk, "SR", "overall"])).content.decode()
    assert f"{SAID}." in page
    assert SAID in client.get(reverse("board", args=[contest.pk])).content.decode()
    placing = client.get(reverse("public-list", args=[contest.pk, "SR", "placing"])).content.decode()
    assert SAID not in placing


def test_after_a_release_the_rule_is_announced_as_a_correction(contest, client):
    release(contest)
    contest = ordered(contest)
    found = unannounced(contest, tallied(contest))
    assert "whether reasons are standardised" in also_changed(found)
    address = reverse("public-list", args=[contest.pk, "SR", "overall"])
    assert SAID not in client.get(address).content.decode()
    correct(contest, "the rulebook orders standardised reasons")
    assert SAID in client.get(address).content.decode()


def test_the_book_holds_the_scores_as_given(contest):
    contest = ordered(contest)
    made = release(contest)
    from scoring.announced.snapshots import record_from_book

    again = record_from_book(bytes(made.book))
    assert not again.rules.reasons_standardised
    assert {score.hundredths for score in again.reasons} == {3000, 3400, 4400, 4600}


@pytest.mark.parametrize("whether", [True, False])
def test_a_book_holds_the_scores_as_they_were_given_and_whether_they_count_standardised(contest, whether, tmp_path):
    ordered(contest, whether)
    call_command("export_book", contest.pk, tmp_path / "book", stdout=io.StringIO())
    book = read_book(tmp_path / "book")
    assert {score.hundredths for score in book.reasons} == {3000, 3400, 4400, 4600}
    assert book.rules.reasons_standardised is whether


def test_downloads_follow_and_say_it(contest):
    plain = tallied(contest)
    names = zipfile.ZipFile(io.BytesIO(csv_zip(plain.record, plain.result))).namelist()
    shown = tallied(ordered(contest))
    archive = zipfile.ZipFile(io.BytesIO(csv_zip(shown.record, shown.result)))
    assert archive.namelist() == [*names, "note.txt"]
    assert SAID in archive.read("note.txt").decode()
    assert f"103,reasons:1,{float(reasons_of(shown, 103)):g}" in archive.read("scores.csv").decode()


def test_packets_hold_both(contest):
    contest = ordered(contest)
    material = gather_material(contest.pk)
    people = [
        person for packet in DOCUMENTS["packets"].build(material, Choice())["packets"] for person in packet["people"]
    ]
    (sheet,) = [person for person in people if person["number"] == 103]
    counts = reasons_of(tallied(contest), 103)
    assert sheet["sets"][0]["given"] == [f"44 ({float(counts):g})"]


def test_without_the_rule_nothing_is_touched(contest):
    record = load_record(contest.pk)[1]
    assert not record.rules.reasons_standardised
    assert reasons_of(tallied(contest), 104) == Fraction(46)
    assert not [line for line in lines_of(contest) if "tandardised" in line]
