"""The contest as it was at each revision, after any history, is what was saved at the time."""

from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule, run_state_machine_as_test

from contest.book import read_book
from contest.changes.exceptions import NotPossible, WrongValue
from contest.entries import arrivals, assigning, people
from contest.entries.people import NotThis
from contest.entries.plan import Values
from contest.history.past import NotKept, as_of
from contest.history.taking_back import take_back_change
from contest.keys import hand_in_key
from contest.models import Card, Contest, Contestant, JudgingClass, Reading, RowChange
from contest.records import load_record, save_record
from contest.setup import contests, outline
from contest.slips.reading import set_aside
from scoring.core import record as pure
from scoring.core.placing import PLACINGS
from scoring.core.record import NO_CARD, UNREADABLE
from tests.factories import a_contest
from tests.slips import decide_card, move_card, read_card, settle_card

pytestmark = pytest.mark.django_db

REFUSED = (NotPossible, NotThis, WrongValue)

numbers = st.sampled_from((101, 102, 201, 202, 301, 999))
class_numbers = st.sampled_from((1, 2, 3))
codes = st.sampled_from(("JR", "SR"))
teams = st.sampled_from(("", "Red", "Blue"))
placings = st.sampled_from((*PLACINGS[:3], UNREADABLE, NO_CARD))
readers = st.sampled_from(("Ann", "Ben", "Cy"))
whole = st.integers(0, 100)


def a_record():
    return pure.Record(
        rules=pure.Rules(name="Machine"),
        divisions=(pure.Division("JR", "Junior", 2), pure.Division("SR", "Senior", 2)),
        classes=tuple(
            pure.JudgingClass(n, f"Class {n}", divisions)
            for n, divisions in {1: ("JR", "SR"), 2: ("SR",), 3: ("JR", "SR")}.items()
        ),
        parts=(pure.Part("QUEST", "Questions", ("JR", "SR"), 50, "individual"),),
        individual_ties=("total",),
        contestants=tuple(
            pure.Contestant(n, code, "Red") for n, code in {101: "JR", 102: "JR", 201: "SR", 202: "SR"}.items()
        ),
    )


class History(RuleBasedStateMachine):
    """Whatever a superintendent and three helpers can do, in any order; what is refused is refused."""

    def __init__(self):
        super().__init__()
        self.transaction = transaction.atomic()
        self.transaction.__enter__()
        self.contest = save_record(a_record(), by="test")
        self.saved = {}
        self.save()

    def save(self):
        revision, record = load_record(self.contest.pk)
        assert self.saved.setdefault(revision, record) == record  # what moves no revision alters nothing
        return revision

    def teardown(self):
        try:
            for revision, record in self.saved.items():
                assert as_of(self.contest.pk, revision) == record
        finally:
            transaction.set_rollback(True)
            self.transaction.__exit__(None, None, None)

    def attempt(self, work):
        try:
            with transaction.atomic():
                work()
        except REFUSED:
            pass
        self.contest.refresh_from_db()
        self.save()
        self.check_cards()

    def check_cards(self):
        """Every card is what settling its readings gives: nothing that was taken back left one behind."""
        rows = Card.objects.filter(judging_class__contest=self.contest)
        before = set(rows.values_list("judging_class", "contestant", "placing", "second", "state"))
        with transaction.atomic():
            for judged in JudgingClass.objects.filter(contest=self.contest):
                for person in Contestant.objects.filter(contest=self.contest):
                    settle_card(judged, person)
            assert set(rows.all().values_list("judging_class", "contestant", "placing", "second", "state")) == before
            transaction.set_rollback(True)

    def judged(self, number):
        return JudgingClass.objects.filter(contest=self.contest, number=number).first()

    def person(self, number):
        return Contestant.objects.filter(contest=self.contest, number=number).first()

    def division(self, code):
        return self.contest.divisions.filter(code=code).first()

    def reading(self, which):
        found = list(Reading.objects.filter(judging_class__contest=self.contest))
        return found[which % len(found)] if found else None

    @rule(class_number=class_numbers, number=numbers, placing=placings, by=readers)
    def read(self, class_number, number, placing, by):
        if judged := self.judged(class_number):
            self.attempt(lambda: read_card(judged, number, placing, by, uuid4()))

    @rule(which=whole, number=numbers, aside=st.booleans())
    def put_right(self, which, number, aside):
        if reading := self.reading(which):
            act = (
                (lambda: set_aside(reading, "Boss", "stray"))
                if aside
                else (lambda: move_card(reading, number, "Boss", "misread"))
            )
            self.attempt(act)

    @rule(class_number=class_numbers, number=numbers, placing=placings)
    def decide(self, class_number, number, placing):
        judged, person = self.judged(class_number), self.person(number)
        if judged and person:
            self.attempt(lambda: decide_card(judged, person, placing, "Boss", "seen"))

    @rule(class_number=class_numbers, official=st.sampled_from(PLACINGS), cuts=st.tuples(*[st.integers(0, 8)] * 3))
    def hand_in(self, class_number, official, cuts):
        if judged := self.judged(class_number):
            self.attempt(lambda: hand_in_key(judged, official, cuts, "Boss", reason="a change"))

    @rule(number=numbers, back=st.booleans())
    def scratch(self, number, back):
        if person := self.person(number):
            self.attempt(lambda: (people.unscratch if back else people.scratch)(person, "Boss"))

    @rule()
    def scratch_missing(self):
        gone = arrivals.missing(self.contest).exclude(pk__in=arrivals.came_unnoticed(self.contest))
        self.attempt(lambda: arrivals.scratch_missing(self.contest, gone.count(), "Boss"))

    @rule(number=numbers, code=codes, team=teams)
    def move(self, number, code, team):
        person, division = self.person(number), self.division(code)
        if person and division:
            self.attempt(lambda: people.move_contestant(person, division, team, "Boss"))

    @rule(number=numbers, new=numbers)
    def renumber(self, number, new):
        if person := self.person(number):
            values = Values(new, person.division.code, "", "Ann", "Ash", "A", True, True)
            self.attempt(lambda: people.correct_entry(person, values, "Boss"))

    @rule(number=numbers, code=codes, team=teams)
    def enter(self, number, code, team):
        values = Values(number, code, team, "Bo", "Birch", "", True, True)
        self.attempt(lambda: people.add_contestant(self.contest, values, "Boss"))

    @rule(number=numbers)
    def remove_person(self, number):
        if person := self.person(number):
            self.attempt(lambda: people.remove_contestant(person, "Boss"))

    @rule(start=st.integers(1, 900), seed=st.sampled_from(("", "x")))
    def deal_numbers(self, start, seed):
        scheme = assigning.NumberScheme(start=start, seed=seed)
        shown = assigning.digest(assigning.numbers_of(assigning.everybody(self.contest), scheme))
        self.attempt(lambda: assigning.give_numbers(self.contest, scheme, "Boss", shown))

    @rule(count=st.integers(1, 3), keep=st.booleans())
    def deal_groups(self, count, keep):
        shown = assigning.digest(assigning.groups_of(assigning.everybody(self.contest), count, keep))
        self.attempt(lambda: assigning.deal_groups(self.contest, count, keep, "Boss", shown))

    @rule(number=class_numbers)
    def remove_class(self, number):
        if judged := self.judged(number):
            self.attempt(lambda: outline.remove(judged, "Boss"))

    @rule(number=class_numbers, divisions=st.sets(codes))
    def change_class(self, number, divisions):
        if judged := self.judged(number):
            ordered = [code for code in ("JR", "SR") if code in divisions and self.division(code)]
            self.attempt(lambda: outline.change(judged, "Boss", divisions=ordered, reasons=[]))

    @rule(code=codes)
    def remove_division(self, code):
        if division := self.division(code):
            self.attempt(lambda: outline.remove(division, "Boss"))

    @rule(readings=st.sampled_from((1, 2)), twice=st.booleans())
    def change_rules(self, readings, twice):
        self.attempt(
            lambda: contests.change_rules(self.contest, "Boss", readings_per_card=readings, same_reader_twice=twice)
        )

    @rule(which=whole)
    def take_back(self, which):
        """What can be taken back leaves the contest as it was before, as far as nothing else changed."""
        entries = list(self.contest.trail.order_by("-revision")[:6])
        entry = entries[which % len(entries)]
        was_last = entry.revision == self.contest.revision
        self.attempt(lambda: take_back_change(entry, "Boss"))
        if was_last and self.contest.revision > entry.revision:
            assert self.saved[self.contest.revision] == as_of(self.contest.pk, entry.revision - 1)


def test_any_history_can_be_walked_back():
    run_state_machine_as_test(
        History,
        settings=settings(
            max_examples=12 if connection.vendor == "sqlite" else 5,  # others each time; slow on PostgreSQL
            stateful_step_count=20,
            deadline=None,
            report_multiple_bugs=False,
            phases=(Phase.generate,),  # a history is read as it is: each step of shrinking takes seconds
        ),
    )


class TestTheCommand:
    def test_it_writes_the_book_that_was_exported_at_the_time(self, tmp_path, capsys):
        contest = a_contest()
        call_command("export_book", contest.pk, tmp_path / "then")
        people.scratch(contest.contestants.get(number=101), "Sue")
        outline.change(contest.classes.get(), "Sue", name="Yearlings")
        call_command("as_of", contest.pk, 1, tmp_path / "as-of")
        files = {path.name: path.read_bytes() for path in (tmp_path / "then").iterdir()}
        assert {path.name: path.read_bytes() for path in (tmp_path / "as-of").iterdir()} == files
        assert "as it was at revision 1" in capsys.readouterr().out
        assert read_book(tmp_path / "as-of") != load_record(contest.pk)[1]

    @pytest.mark.parametrize("revision", [0, 3])
    def test_it_says_which_revisions_there_are(self, tmp_path, revision):
        contest = a_contest()
        people.scratch(contest.contestants.get(number=101), "Sue")
        with pytest.raises(CommandError, match="from revision 1 to 2"):
            call_command("as_of", contest.pk, revision, tmp_path / "book")
        assert not (tmp_path / "book").exists()

    def test_it_writes_over_nothing(self, tmp_path):
        (tmp_path / "book").mkdir()
        (tmp_path / "book" / "notes.txt").write_text("mine")
        with pytest.raises(CommandError, match="there already"):
            call_command("as_of", a_contest().pk, 1, tmp_path / "book")

    def test_another_contest_is_not_found(self, tmp_path):
        with pytest.raises(CommandError, match="there is no contest 999"):
            call_command("as_of", 999, 1, tmp_path / "book")


def test_what_nobody_kept_cannot_be_seen():
    """A contest of an earlier version: what was changed before the update is not known."""
    contest = a_contest()
    people.scratch(contest.contestants.get(number=101), "Sue")
    Contest.objects.filter(pk=contest.pk).update(rows_kept_since=2)
    with pytest.raises(NotKept, match="from revision 2 to 2"):
        as_of(contest.pk, 1)


def test_without_what_rows_were_the_past_cannot_be_had():
    """A control: it is RowChange that it is made of."""
    contest = a_contest()
    before = load_record(contest.pk)[1]
    people.scratch(contest.contestants.get(number=101), "Sue")
    assert as_of(contest.pk, 1) == before
    RowChange.objects.all().delete()
    assert as_of(contest.pk, 1) != before
