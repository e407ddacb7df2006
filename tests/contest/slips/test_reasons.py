from uuid import uuid4

import pytest

from contest.book import read_book, write_book
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contestant, ReasonsOfficial, ReasonsReading, ReasonsScore
from contest.records import load_record, save_record
from contest.setup import contests
from contest.slips.reading import ABSENT, DIFFERS, REPEATED, SAVED, SETTLED, outcome_of, take_back
from contest.watch.finding import doubts_of
from reasons.scores.officials import add_official, remove_official
from scoring.core.due import fewer_officials, missing_reasons
from scoring.core.tally import tally
from tests.reasons.cast import contest_with_reasons, person, reasons_sheet
from tests.slips import decide_reasons, give_reasons, read_reasons
from tests.trails import last_of, trail_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return contest_with_reasons()


@pytest.fixture
def sheet(contest):
    return reasons_sheet(contest)


def read(sheet, points, by="Ann", number=101, submission=None):
    contestant = person(sheet.contest, number)
    return read_reasons(sheet.judging_class, sheet.official, contestant, points, by, submission)


def score(number=101):
    return ReasonsScore.objects.filter(contestant__number=number).values_list("hundredths", "second", "state").first()


def latest():
    return ReasonsReading.objects.latest("pk")


def test_two_readers_who_agree_settle_a_score(sheet):
    assert read(sheet, 4300).kind == SAVED
    assert score() == (4300, None, "once")
    assert read(sheet, 4300, by="Ben").kind == SETTLED
    assert score() == (4300, 4300, "settled")


def test_where_one_reading_is_enough_it_settles():
    assert read(reasons_sheet(contest_with_reasons(readings_per_card=1)), 4350).kind == SETTLED
    assert score() == (4350, None, "settled")


def test_readings_that_differ_are_a_doubt_and_nobody_outvotes_anybody(sheet):
    read(sheet, 4300)
    assert read(sheet, 3400, by="Ben").kind == DIFFERS
    assert read(sheet, 4300, by="Cy").kind == DIFFERS
    assert score() == (4300, 3400, "doubt")


def test_the_same_reader_again_does_not_settle_whatever_the_case_of_the_name(sheet):
    read(sheet, 4300)
    assert read(sheet, 4300, by="ann").kind == REPEATED
    assert score() == (4300, None, "once")


def test_the_same_reader_may_settle_where_the_contest_allows_it():
    sheet = reasons_sheet(contest_with_reasons(same_reader_twice=True))
    read(sheet, 4300)
    assert read(sheet, 4300).kind == SETTLED


def test_scores_of_two_officials_do_not_touch_each_other(contest, sheet):
    read(sheet, 4300)
    read(reasons_sheet(contest, "Ms. Alder"), 3000, by="Ben")
    assert set(ReasonsScore.objects.values_list("hundredths", "state")) == {(4300, "once"), (3000, "once")}


def test_two_slips_that_say_no_score_settle_that_there_is_none(contest, sheet):
    assert read(sheet, None).kind == SAVED
    assert score() == (None, None, "once")
    assert read(sheet, None, by="Ben").kind == SETTLED
    assert score() == (None, None, "settled")
    assert contest.trail.latest("revision").after == {"code": "no_score", "values": {}}


def test_a_score_and_no_score_are_a_doubt_and_count_nothing_meanwhile(sheet):
    read(sheet, 4300)
    assert read(sheet, None, by="Ben").kind == DIFFERS
    assert score() == (None, 4300, "doubt")
    decide_reasons(sheet.judging_class, sheet.official, person(sheet.contest), None, "boss", "the slip is blank")
    assert score() == (None, None, "settled")


def test_a_score_that_turns_up_after_no_score_is_read_once(sheet):
    read(sheet, None)
    assert read(sheet, 4300, by="Ben").kind == SAVED
    assert score() == (4300, None, "once")


def test_where_there_is_no_score_the_official_does_not_count_in_the_mean_and_nothing_is_missing(contest, sheet):
    other = reasons_sheet(contest, "Ms. Alder")
    read(sheet, 4300)
    read(other, None, by="Ben")
    read(sheet, None, number=102)
    _, record = load_record(contest.pk)
    assert [tuple(row) for row in record.reasons] == [(3, 101, "Mr. Brook", 4300)]
    assert {(row.number, row.official) for row in record.no_reasons} == {(101, "Ms. Alder"), (102, "Mr. Brook")}
    assert missing_reasons(record) == {3: (103,)}
    assert fewer_officials(record) == {3: (102,)}  # of 102 nothing was read of Ms. Alder's
    standing = next(found for found in tally(record).standings if (found.division, found.code) == ("SR", "reasons"))
    heard = {row.number: row.total for row in standing.individuals}
    assert (heard[101], heard[102]) == (43, 0)


def test_a_book_says_where_there_is_no_score(contest, sheet, tmp_path):
    read(sheet, 4300)
    read(sheet, None, number=102)
    write_book(load_record(contest.pk)[1], tmp_path / "book")
    lines = (tmp_path / "book" / "reasons.csv").read_text().splitlines()
    assert lines == ["class,number,official,score", "3,101,Mr. Brook,43", "3,102,Mr. Brook,none"]


def test_the_superintendent_decides_a_doubt_and_the_trail_says_why(contest, sheet):
    read(sheet, 4300)
    read(sheet, 3400, by="Ben")
    decide_reasons(sheet.judging_class, sheet.official, person(contest), 3400, "boss", "the slip says 34")
    assert score() == (3400, 3400, "settled")
    entry = last_of(contest)
    assert (entry.by, entry.before, entry.after) == ("boss", "43", {"points": "34", "reason": "the slip says 34"})
    assert entry.what == "reasons of contestant 101 on class 3: decided"
    assert entry.about == ("contestant:101", "class:3", f"official:{sheet.official.pk}")


def test_a_decision_needs_a_reason(contest, sheet):
    with pytest.raises(NotPossible, match="say why"):
        decide_reasons(sheet.judging_class, sheet.official, person(contest), 3400, "boss", "  ")
    assert score() is None


def test_news_after_a_decision_is_a_doubt_again(contest, sheet):
    read(sheet, 4300)
    decide_reasons(sheet.judging_class, sheet.official, person(contest), 4300, "boss", "looked at it")
    assert read(sheet, 4300, by="Ben").kind == SETTLED
    assert read(sheet, 3400, by="Cy").kind == DIFFERS


def test_each_change_moves_the_revision_by_one(contest, sheet):
    before = type(contest).objects.get(pk=contest.pk).revision
    read(sheet, 4300)
    take_back(latest(), "Ann")
    assert type(contest).objects.get(pk=contest.pk).revision == before + 2


def test_a_submission_that_comes_twice_is_one_reading(contest, sheet):
    submission = uuid4()
    first = read(sheet, 4300, submission=submission)
    revision = type(contest).objects.get(pk=contest.pk).revision
    assert read(sheet, 4300, submission=submission) == first
    assert ReasonsReading.objects.count() == 1
    assert type(contest).objects.get(pk=contest.pk).revision == revision


@pytest.mark.parametrize("other", [{"points": 4400}, {"number": 102}, {"by": "Ben"}])
def test_a_submission_that_comes_with_another_reading_is_refused(sheet, other):
    submission = uuid4()
    read(sheet, 4300, submission=submission)
    with pytest.raises(SubmissionReused):
        read(sheet, **{"points": 4300, "submission": submission, **other})
    assert ReasonsReading.objects.count() == 1


def test_a_submission_that_comes_again_after_it_was_taken_back_changes_nothing(sheet):
    submission = uuid4()
    read(sheet, 4300, submission=submission)
    take_back(latest(), "Ann")
    assert read(sheet, 4300, submission=submission).kind == SAVED
    assert score() is None


@pytest.mark.parametrize("points", [-1, 5001, 10**6])
def test_points_outside_the_range_are_refused(sheet, points):
    with pytest.raises(NotPossible, match="0 to 50"):
        read(sheet, points)
    assert not ReasonsReading.objects.exists()


@pytest.mark.parametrize("points", [0, 5000, 4325])
def test_both_ends_of_the_range_and_decimals_are_taken(sheet, points):
    assert read(sheet, points).kind == SAVED


def test_a_division_that_gives_no_reasons_on_the_class_is_refused(sheet):
    with pytest.raises(NotPossible, match="201 gives no reasons on class 3"):
        read(sheet, 4300, number=201)


def test_a_class_without_reasons_is_refused(contest, sheet):
    with pytest.raises(NotPossible, match="gives no reasons on class 4"):
        read_reasons(contest.classes.get(number=4), sheet.official, person(contest), 4300, "Ann")


def test_a_score_of_somebody_absent_is_kept_and_the_reader_is_told(contest, sheet):
    Contestant.objects.filter(number=101).update(present=False)
    assert read(sheet, 4300).kind == ABSENT
    assert score() == (4300, None, "once")


def test_a_reader_takes_their_own_reading_back_and_nobody_elses(sheet):
    read(sheet, 4300)
    with pytest.raises(NotPossible, match="only whoever read"):
        take_back(latest(), "Ben")
    take_back(latest(), "Ann")
    assert score() is None
    assert latest().withdrawn_by == "Ann"


def test_taking_back_one_side_of_a_doubt_leaves_the_other(sheet):
    read(sheet, 3400)
    read(sheet, 4300, by="Ben")
    take_back(ReasonsReading.objects.get(by="Ann"), "Ann")
    assert score() == (4300, None, "once")
    assert outcome_of(ReasonsReading.objects.get(by="Ben")).kind == SAVED


def test_a_settled_score_stays(sheet):
    read(sheet, 4300)
    read(sheet, 4300, by="Ben")
    with pytest.raises(NotPossible, match="settled"):
        take_back(latest(), "Ben")
    assert score() == (4300, 4300, "settled")


def test_a_score_that_one_reading_settled_can_still_be_taken_back():
    sheet = reasons_sheet(contest_with_reasons(readings_per_card=1))
    read(sheet, 4300)
    take_back(latest(), "Ann")
    assert score() is None


def test_a_reading_is_taken_back_once(sheet):
    read(sheet, 4300)
    reading = latest()
    take_back(reading, "Ann")
    with pytest.raises(NotPossible, match="already"):
        take_back(reading, "Ann")


def test_an_official_is_added_once_whatever_the_case(contest):
    first = add_official(contest, "  Mr.   Brook ", "Ann")
    assert first.name == "Mr. Brook"
    assert add_official(contest, "mr. brook", "Ben") == first
    assert [entry.what for entry in trail_of(contest)].count("reasons official added") == 1


@pytest.mark.parametrize(("name", "why"), [(" ", "a name or a letter"), ("x" * 201, "too long")])
def test_an_official_needs_a_name_that_fits(contest, name, why):
    with pytest.raises(NotPossible, match=why):
        add_official(contest, name, "Ann")


def test_an_official_of_whom_nothing_was_read_can_be_removed(contest, sheet):
    remove_official(sheet.official, "Ann")
    assert not ReasonsOfficial.objects.exists()
    assert (last_of(contest).what, last_of(contest).before) == ("reasons official removed", {"person": "Mr. Brook"})


def test_an_official_stays_even_when_their_only_score_was_taken_back(sheet):
    read(sheet, 4300)
    take_back(latest(), "Ann")
    with pytest.raises(NotPossible, match="they stay"):
        remove_official(sheet.official, "Ann")
    assert ReasonsOfficial.objects.exists()


class TestWhatAnOfficialEnters:
    """On the room's tablet: nothing is copied, so there is nothing to read a second time."""

    def enter(self, sheet, points, by="Mr. Brook", number=101, submission=None):
        contestant = person(sheet.contest, number)
        return give_reasons(sheet.judging_class, sheet.official, contestant, points, by, submission or uuid4())

    def test_it_settles_where_two_readings_are_asked_for(self, sheet):
        assert self.enter(sheet, 4300).kind == SETTLED
        assert score() == (4300, None, "settled")
        assert sheet.slips("Ann")[0].state == "settled"

    def test_the_official_may_think_again_and_the_trail_keeps_both(self, contest, sheet):
        self.enter(sheet, 4300)
        assert self.enter(sheet, 4450).kind == SETTLED
        assert score() == (4450, None, "settled")
        told = [(entry.before, entry.after) for entry in contest.trail.order_by("pk") if "official" not in entry.what]
        assert told[-3:] == [(None, "43"), ("43", None), (None, "44.5")]
        assert list(ReasonsReading.objects.values_list("hundredths", "withdrawn_by")) == [
            (4300, "Mr. Brook"),
            (4450, ""),
        ]

    def test_the_same_again_is_no_change(self, contest, sheet):
        self.enter(sheet, 4300)
        before = contest.trail.count()
        assert self.enter(sheet, 4300).kind == SETTLED
        assert contest.trail.count() == before

    def test_a_slip_that_says_the_same_changes_nothing(self, sheet):
        self.enter(sheet, 4300)
        assert read(sheet, 4300).kind == SETTLED
        assert score() == (4300, 4300, "settled")

    @pytest.mark.parametrize("slip_first", [True, False])
    def test_a_slip_that_says_something_else_is_a_doubt_and_the_official_counts(self, sheet, slip_first):
        steps = [lambda: read(sheet, 3400), lambda: self.enter(sheet, 4300)]
        kinds = [step().kind for step in (steps if slip_first else steps[::-1])]
        assert kinds[-1] == DIFFERS
        assert score() == (4300, 3400, "doubt")

    def test_the_official_may_think_again_even_where_a_slip_agreed(self, sheet):
        self.enter(sheet, 4300)
        read(sheet, 4300)
        assert self.enter(sheet, 4400).kind == DIFFERS
        assert score() == (4400, 4300, "doubt")

    def test_thinking_again_after_a_decision_asks_the_superintendent_once_more(self, contest, sheet):
        read(sheet, 4300)
        decide_reasons(sheet.judging_class, sheet.official, person(contest), 4300, "Sue", "looked at the slip")
        assert self.enter(sheet, 4400).kind == DIFFERS
        assert score() == (4300, 4400, "doubt")

    def test_two_devices_of_one_official_do_not_overwrite_each_other(self, sheet):
        self.enter(sheet, 4300)
        assert self.enter(sheet, 4000, by="Mr. Brook again").kind == DIFFERS
        assert score() == (4300, 4000, "doubt")

    def test_after_the_release_another_score_is_refused_in_words_and_a_first_one_is_not(self, contest, sheet):
        self.enter(sheet, 4300)
        contest.releases.create(version=1, revision=1, by="Sue", book=b"")
        with pytest.raises(NotPossible, match="the results are released: tell the superintendent"):
            self.enter(sheet, 4400)
        assert score() == (4300, None, "settled")
        assert self.enter(sheet, 4300).kind == SETTLED
        assert self.enter(sheet, 4100, number=102).kind == SETTLED

    def test_the_same_submission_twice_is_one(self, sheet):
        submission = uuid4()
        for _ in range(2):
            self.enter(sheet, 4300, submission=submission)
        assert ReasonsReading.objects.count() == 1
        with pytest.raises(SubmissionReused):
            self.enter(sheet, 4400, submission=submission)

    @pytest.mark.parametrize(("readings", "same"), [(1, False), (2, True), (2, False)])
    def test_a_change_of_the_readings_rule_leaves_it_settled(self, contest, sheet, readings, same):
        self.enter(sheet, 4300)
        contests.change_rules(contest, "Sue", readings_per_card=readings, same_reader_twice=same)
        assert score() == (4300, None, "settled")

    def test_a_book_holds_it_like_any_other_score(self, contest, sheet, tmp_path):
        self.enter(sheet, 4350)
        read(sheet, 4000)
        write_book(load_record(contest.pk)[1], tmp_path / "book.zip")
        again = save_record(read_book(tmp_path / "book.zip"), by="test")
        kept = ReasonsScore.objects.get(judging_class__contest=again)
        assert (kept.hundredths, kept.state, kept.official.name) == (4350, "settled", "Mr. Brook")

    def test_the_doubt_says_who_entered_what(self, contest, sheet):
        self.enter(sheet, 4300)
        read(sheet, 4000)
        (doubt,) = doubts_of(contest)
        assert "The official entered one of them on the room’s tablet" in doubt.text
        assert [(said.text, said.by, said.by_official) for said in doubt.said] == [
            ("43", "Mr. Brook", True),
            ("40", "Ann", False),
        ]
