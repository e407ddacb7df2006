"""What a day leaves behind comes back from a book: readers, decisions, arrivals, slips that say there is nothing."""

import json
from dataclasses import replace
from datetime import time

import pytest

from contest.book import BookProblems, read_book, write_book
from contest.book.plain import plain_lines, record_from_lines
from contest.models import Card, Contest, Contestant, Mark, MarkReading, Reading, ReasonsReading, ReasonsScore
from contest.records import save_record
from contest.records.day import load_record_with_day, without_marks_of_nobody
from scoring.core import record as pure
from scoring.core.record import NONE, CardRead, Day, HowRead, MarkRead, PersonsDay, ReasonsRead
from tests.contest.book.books import SOUND, lay_out
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, RecordFactory, RulesFactory

DECIDED = "the paper says so"


@pytest.fixture
def record():
    """A day with a card and a score of each kind."""
    people = [ContestantFactory(number=number) for number in range(101, 107)]
    people[5] = people[5]._replace(present=False)
    return RecordFactory(
        rules=RulesFactory(same_reader_twice=True, starts_at=time(9), minutes_per_class=15, reasons_standardised=True),
        divisions=(DivisionFactory(),),
        classes=(ClassFactory(reasons=("SR",)),),
        parts=(PartFactory(), PartFactory(code="TEAM", name="Team work", scope="team")),
        contestants=tuple(people),
        cards=(
            pure.Card(1, 101, "3124", "3124"),
            pure.Card(1, 102, "3124", "3124"),  # decided
            pure.Card(1, 103, ""),
            pure.Card(1, 104, "3124", "1324"),
            pure.Card(1, 105, "1234"),
        ),
        reasons=(pure.ReasonsScore(1, 101, "A", 4150), pure.ReasonsScore(1, 102, "A", 4000)),
        no_reasons=(pure.NoReasons(1, 103, "A"),),
        marks=(pure.Mark("QUEST", 4000, 101), pure.Mark("TEAM", 3000, None, "SR", "Barley Hill")),
        no_marks=(pure.NoMark("QUEST", 102),),
        day=Day(
            people=(
                PersonsDay(101, "2026-10-17T08:12:00", "Giv-en"),
                PersonsDay(106, ineligible="too old", was_there=True),
            ),
            cards=(
                CardRead(1, 101, HowRead("Ann", "", "Bo")),
                CardRead(1, 102, HowRead("Sue", "1324", "Bo", DECIDED)),
                CardRead(1, 103, HowRead("Ann", NONE, "Bo")),
                CardRead(1, 104, HowRead("Ann", "", "Bo")),
            ),
            reasons=(
                ReasonsRead(1, 101, "A", HowRead("Ann", "41.5", "Bo")),
                ReasonsRead(1, 102, "A", HowRead("Ann", "42", "Bo")),
                ReasonsRead(1, 103, "A", HowRead("Sue", "39", "Bo", DECIDED)),
            ),
            marks=(MarkRead("QUEST", 101, "", "", HowRead("Ann")), MarkRead("QUEST", 102, "", "", HowRead("Ann"))),
        ),
    )


@pytest.mark.parametrize("name", ["book", "book.zip"])
def test_a_book_with_a_day_reads_as_it_was_written(record, tmp_path, name):
    write_book(record, tmp_path / name)
    assert read_book(tmp_path / name) == record


def test_a_day_passes_from_one_process_to_another(record):
    assert record_from_lines(json.loads(json.dumps(list(plain_lines(record))))) == record


def test_marks_of_a_team_that_nobody_is_in_are_left_out(record, tmp_path):
    lone = replace(
        record,
        contestants=tuple(person._replace(team="", role="individual") for person in record.contestants),
        no_marks=(*record.no_marks, pure.NoMark("TEAM", None, "SR", "Gone")),
    )
    sound = without_marks_of_nobody(lone)
    assert ([mark.part for mark in sound.marks], sound.no_marks) == (["QUEST"], record.no_marks)
    write_book(sound, tmp_path / "book")
    assert read_book(tmp_path / "book") == sound


@pytest.mark.django_db
class TestInTheDatabase:
    def test_a_day_comes_back_from_the_database(self, record):
        contest = save_record(record, by="Zoe")
        again = load_record_with_day(contest.pk)
        assert again.day == record.day
        assert again == record

    def test_cards_and_scores_are_as_settled_as_they_were(self, record):
        save_record(record, by="Zoe")
        cards = dict(Card.objects.values_list("contestant__number", "state"))
        assert cards == {101: "settled", 102: "settled", 103: "settled", 104: "doubt", 105: "once"}
        scores = {
            n: (points, state)
            for n, points, state in ReasonsScore.objects.values_list("contestant__number", "hundredths", "state")
        }
        assert scores == {101: (4150, "settled"), 102: (4000, "doubt"), 103: (None, "settled")}
        marks = list(Mark.objects.order_by("pk").values_list("part__code", "hundredths", "state"))
        assert marks == [("QUEST", 4000, "once"), ("TEAM", 3000, "settled"), ("QUEST", None, "once")]

    def test_readers_are_who_read_and_the_book_where_nobody_is_named(self, record):
        save_record(record, by="Zoe")
        readers = set(Reading.objects.values_list("contestant__number", "by", "decides"))
        assert {(101, "Ann", False), (101, "Bo", False), (102, "Sue", True), (105, "contest book", False)} <= readers
        assert ReasonsReading.objects.get(decides=True).reason == DECIDED
        assert MarkReading.objects.get(part__code="TEAM").by == "contest book"
        assert not {"Zoe"} & {by for _, by, _ in readers}

    def test_arrivals_names_as_they_are_said_and_who_may_not_compete_come_back(self, record):
        save_record(record, by="Zoe")
        first, last = Contestant.objects.get(number=101), Contestant.objects.get(number=106)
        assert (first.checked_in_at is not None, first.say_name) == (True, "Giv-en")
        assert (last.ineligible, last.ineligible_reason, last.present) == (True, "too old", True)

    def test_the_settings_of_the_day_come_back(self, record):
        contest = Contest.objects.get(pk=save_record(record, by="Zoe").pk)
        assert (contest.starts_at, contest.minutes_per_class) == (time(9), 15)
        assert (contest.same_reader_twice, contest.reasons_standardised) == (True, True)


def test_the_tally_of_a_book_does_not_doubt_what_was_decided(record, tmp_path):
    write_book(record, tmp_path / "book")
    card = next(card for card in read_book(tmp_path / "book").cards if card.number == 102)
    assert card.second == card.placing


@pytest.mark.parametrize(
    ("file", "text", "words"),
    [
        ("cards.csv", "class,number,placing,second_by\n1,{number},1234,Bo\n", "second does not say what they read"),
        ("cards.csv", "class,number,placing,by\n1,{number},1234," + "x" * 61 + "\n", "60 is the most a name can have"),
        ("reasons.csv", "class,number,official,score,second\n1,101,A,41,51\n", "more than 50"),
        ("reasons.csv", "class,number,official,score,second\n1,101,A,nothing,41\n", "is not a number of points"),
    ],
)
def test_what_makes_no_sense_is_named(tmp_path, file, text, words):
    number = SOUND["cards.csv"].splitlines()[1].split(",")[1]
    with pytest.raises(BookProblems, match=words):
        read_book(lay_out(tmp_path / "book", {**SOUND, file: text.format(number=number)}))


def test_an_arrival_that_is_no_time_is_named(tmp_path):
    header, first, *rest = SOUND["entries.csv"].splitlines()
    for odd in ("8:12", "2026-10-17", "2026-10-17T08:12:00+02:00"):
        text = "\n".join([f"{header},arrived", f"{first},{odd}", *(f"{row}," for row in rest)])
        with pytest.raises(BookProblems, match="must be a day and a time, such as 2026-10-17T08:12:00"):
            read_book(lay_out(tmp_path / odd.replace(":", "-"), {**SOUND, "entries.csv": text}))


def test_a_book_of_nothing_but_entries_writes_no_column_of_the_day(record, tmp_path):
    write_book(replace(record, day=Day()), tmp_path / "book")
    assert (tmp_path / "book" / "entries.csv").read_text().splitlines()[0].endswith("show_name,present")
    assert (tmp_path / "book" / "cards.csv").read_text().splitlines()[0] == "class,number,placing,second"
