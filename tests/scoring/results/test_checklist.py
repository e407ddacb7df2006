"""What the program finds open or odd before a release, and where each line leads."""

import pytest
from django.test import Client

from contest.keys import enter_key
from contest.models import Card as CardRow
from contest.models import Contestant, Key, Mark, MarkReading, Reading
from contest.trail import record_change
from contest.trail.sentences import Sentence
from reasons.scores.officials import add_official
from scoring.core.due import fewer_officials, missing_cards, missing_marks, missing_reasons
from scoring.core.explain import first_numbers
from scoring.core.placing import PLACINGS
from scoring.core.record import Card, ReasonsScore
from scoring.core.suspicious import Alike, alike, cuts_of_nothing, odd_reasons, without_any_card
from scoring.models import AwardList
from scoring.results.checklist import LOOK
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, RecordFactory, people
from tests.scoring.results.cast import items_of, lines_of, read, ready, the_class
from tests.slips import read_mark, read_reasons


@pytest.fixture
def contest(db):
    return ready()


def but_ties(contest):
    return [line for line in lines_of(contest) if "share rank" not in line]


def touch(contest):
    record_change(contest, "test", Sentence("something"))


class TestCards:
    def test_nothing_is_open_in_a_contest_that_is_ready(self, contest):
        assert lines_of(contest) == []

    def test_a_card_in_doubt(self, contest):
        read(contest, 1, 101, "3142", "Zoe")
        assert lines_of(contest) == ["Class 1: 1 card in doubt: 101"]

    def test_cards_read_once_and_cards_missing(self, contest):
        Reading.objects.filter(judging_class__number=1).delete()
        CardRow.objects.filter(judging_class__number=1).delete()
        read(contest, 1, 101, "3124")
        assert but_ties(contest) == [
            "Class 1: 1 card read only once: 101",
            "Class 1: 3 cards missing: 102, 103, 104",
        ]

    def test_stray_readings(self, contest):
        read(contest, 1, 999, "3124")
        read(contest, 2, 105, "3124")
        assert lines_of(contest) == [
            "Class 1: 1 reading of a number that nobody has: 999",
            "Class 2: 1 card of somebody who is marked absent: 105",
        ]

    def test_a_void_class_waits_for_nothing(self, contest):
        CardRow.objects.filter(judging_class__number=1).delete()
        Key.objects.filter(judging_class__number=1).update(confirmed_by="", confirmed_at=None)
        contest.classes.filter(number=1).update(void=True)
        touch(contest)
        assert but_ties(contest) == []

    def test_somebody_who_is_not_eligible_is_not_waited_for(self, contest):
        CardRow.objects.filter(contestant__number=104).delete()
        Contestant.objects.filter(number=104).update(ineligible=True, ineligible_reason="too old")
        touch(contest)
        assert lines_of(contest) == []


class TestKeys:
    def test_one_that_nobody_confirmed_one_in_dispute_and_one_that_is_missing(self, contest):
        enter_key(the_class(contest, 1), "1324", (3, 5, 2), "Ann", "corrected")
        Key.objects.filter(judging_class__number=2).delete()
        enter_key(the_class(contest, 2), "4213", (2, 4, 3), "Ann")
        enter_key(the_class(contest, 2), "4213", (2, 4, 4), "Ben")
        assert lines_of(contest) == [
            "Class 1: its key was typed only once",
            "Class 2: two entries of its key differ",
        ]
        Key.objects.filter(judging_class__number=2).delete()
        touch(contest)
        assert "Class 2 has no key and counts for nobody" in lines_of(contest)

    def test_one_beyond_the_published_limits(self, db):
        contest = ready(
            classes=(
                ClassFactory(reasons=("SR",)),
                ClassFactory(number=2, name="Ewes", official="4213", cuts=(2, 9, 1)),
            )
        )
        assert lines_of(contest) == ["Class 2: the middle cut is 9, more than 8"]


class TestScores:
    def test_sets_of_reasons_without_a_score_and_with_fewer_officials(self, contest):
        official = add_official(contest, "B", "Sue")
        for by in ("Ann", "Ben"):
            for number in (102, 103, 104):
                read_reasons(the_class(contest, 1), official, contest.contestants.get(number=number), 4100, by)
        assert but_ties(contest) == ["Class 1: scored by fewer officials than others: 101"]

    def test_reasons_missing_once_and_in_doubt(self, db):
        contest = ready(reasons=(ReasonsScore(1, 101, "A", 4000),))
        official = contest.reasons_officials.get()
        read_reasons(the_class(contest, 1), official, contest.contestants.get(number=102), 4100, "Ann")
        for by, points in (("Ann", 4100), ("Ben", 4200)):
            read_reasons(the_class(contest, 1), official, contest.contestants.get(number=103), points, by)
        assert but_ties(contest) == [
            "Class 1: 1 set of reasons without a score: 104",
            "Class 1: reasons in doubt: 103",
            "Class 1: reasons read only once: 102",
        ]

    def test_scores_of_somebody_who_is_absent(self, contest):
        official = contest.reasons_officials.get()
        read_reasons(the_class(contest, 1), official, contest.contestants.get(number=105), 4100, "Ann")
        assert lines_of(contest) == ["Reasons or marks of 1 contestant marked absent: 105"]

    def test_marks_missing_once_and_in_doubt(self, contest):
        MarkReading.objects.all().delete()
        Mark.objects.all().delete()
        touch(contest)
        assert lines_of(contest) == ["Team activity, Senior: no mark at all: Barley Hill, Ötztal"]
        part = contest.parts.get()
        team = contest.divisions.get().teams.get(name="Ötztal")
        read_mark(part, team, 3000, "Ann")
        assert lines_of(contest) == [
            "Team activity, Senior: 1 mark missing: Barley Hill",
            "Team activity: marks read only once: Ötztal",
        ]
        read_mark(part, team, 3100, "Ben")
        assert "Team activity: marks in doubt: Ötztal" in lines_of(contest)


class TestTies:
    @pytest.fixture
    def shared(self, db):
        return ready(
            cards=tuple(Card(judged, n, "1234", "1234") for n in (101, 102, 103, 104) for judged in (1, 2)),
            reasons=tuple(ReasonsScore(1, n, "A", 4000) for n in (101, 102, 103, 104)),
            marks=(),
            parts=(),
        )

    def test_places_that_are_shared(self, shared):
        lines = lines_of(shared)
        assert "Senior, Overall: 101, 102, 103 and 104 share rank 1" in lines
        assert "Senior, Overall: teams Barley Hill and Ötztal share rank 1" in lines

    def test_only_where_there_is_an_award(self, shared):
        AwardList.objects.create(
            contest=shared, position=1, division="SR", code="reasons", kind="individuals", places=1
        )
        touch(shared)
        assert lines_of(shared) == ["Senior, Reasons: 101, 102, 103 and 104 share rank 1"]

    def test_a_place_below_the_awards_does_not_matter(self, contest):
        AwardList.objects.create(contest=contest, position=1, division="SR", code="overall", kind="teams", places=1)
        touch(contest)
        assert lines_of(contest) == []


class TestWorthALook:
    def test_team_mates_whose_cards_are_all_alike(self):
        classes = tuple(ClassFactory(number=number) for number in (1, 2, 3))
        cards = tuple(Card(judged, n, PLACINGS[judged]) for judged in (1, 2, 3) for n in (101, 102, 103))
        record = RecordFactory(classes=classes, cards=cards)
        assert alike(record) == [Alike("SR", "Barley Hill", (101, 102, 103), True, 3)]
        but_one = RecordFactory(classes=classes, cards=(*cards[:-1], Card(3, 103, "4321")))
        assert alike(but_one) == [Alike("SR", "Barley Hill", (101, 102), False, 3)]
        assert alike(RecordFactory(classes=classes[:2], cards=cards[:6])) == []
        assert alike(RecordFactory(classes=classes, cards=cards, contestants=people(1))) == []

    def test_team_mates_who_are_both_right_are_not_odd(self):
        classes = tuple(ClassFactory(number=number) for number in (1, 2, 3))
        right = tuple(Card(judged, n, "3124") for judged in (1, 2, 3) for n in (101, 102, 103))
        assert alike(RecordFactory(classes=classes, cards=right)) == []

    def test_cuts_of_nothing(self):
        assert cuts_of_nothing(RecordFactory(classes=(ClassFactory(cuts=(0, 5, 0)),))) == {1: ["top", "bottom"]}
        assert cuts_of_nothing(RecordFactory(classes=(ClassFactory(cuts=(0, 5, 0), void=True),))) == {}

    def test_a_set_of_reasons_scored_far_from_the_others_of_the_same_official(self):
        def record(*scores):
            given = (ReasonsScore(1, 101 + n, "A", points) for n, points in enumerate(scores))
            return RecordFactory(
                classes=(ClassFactory(reasons=("SR",)),), contestants=people(len(scores)), reasons=tuple(given)
            )

        assert odd_reasons(record(4400, 4150, 3900, 440, 3600)) == {1: [104]}
        assert odd_reasons(record(4400, 4150, 3900, 1900, 3600)) == {}
        assert odd_reasons(record(4400, 4150, 440)) == {}

    def test_somebody_without_any_card(self):
        record = RecordFactory(cards=(Card(1, 101, "3124"), Card(1, 102, "")))
        assert without_any_card(record) == [102, 103]

    def test_they_stand_on_the_list_with_the_way_to_look(self, superintendent):
        numbers = tuple(range(101, 131))
        classes = (*(ClassFactory(number=number) for number in range(1, 6)), ClassFactory(number=6, cuts=(0, 5, 2)))
        right = {(judged, n): "1324" for judged in range(1, 7) for n in numbers if n != 130}
        odd = {(judged, n): PLACINGS[(n + judged) % 20] for judged in (3, 4, 5) for n in numbers[5:-1]}
        odd |= {(judged, 107): PLACINGS[(106 + judged) % 20] for judged in (3, 4, 5)}
        contest = ready(
            classes=(ClassFactory(reasons=("SR",)), *classes[1:]),
            contestants=tuple(ContestantFactory(number=n, team=f"Team {n // 2}") for n in numbers),
            cards=tuple(Card(judged, n, placing, placing) for (judged, n), placing in {**right, **odd}.items()),
            reasons=tuple(ReasonsScore(1, n, "A", 440 if n == 105 else 4400) for n in numbers),
            parts=(),
            marks=(),
            team_ties=(),
        )
        look = {item.text: item for item in items_of(contest) if item.section == LOOK}
        ways = {
            "Class 6: the top cut is 0": "watch/keys/6/",
            "Class 1: reasons scored far from what the same official gave others: 105": "scores/reasons/1/",
            "Present, but without any card: 130": "entries/check-in/",
            "Senior, Team 53: the same card from every member in all of 6 classes": "standings/SR/teams/",
        }
        for text, way in ways.items():
            assert text in look, "\n".join(look)
            assert look[text].address.startswith(f"/contests/{contest.pk}/{way}")
            assert superintendent.get(look[text].address).status_code == 200


@pytest.mark.django_db
def test_every_line_leads_to_a_page_that_is_there(superintendent):
    contest = ready(
        divisions=(DivisionFactory(team_counting=2),),
        classes=(
            ClassFactory(reasons=("SR",)),
            *(ClassFactory(number=number, cuts=(9, 5, 2)) for number in (2, 3)),
            ClassFactory(number=4, official=None, cuts=None),
        ),
        cards=tuple(Card(judged, n, "4213", "4213") for judged in (1, 2, 3) for n in (101, 102)),
        reasons=(),
        marks=(),
    )
    read(contest, 1, 101, "3142", "Zoe")
    read(contest, 1, 999, "3142", "Zoe")
    items = items_of(contest)
    assert len({item.section for item in items}) == 5
    for item in items:
        assert superintendent.get(item.address).status_code == 200, item.text
        assert Client().get(item.address).status_code == 302


def test_a_long_line_names_a_dozen():
    assert first_numbers(range(3)) == "0, 1, 2"
    assert first_numbers(range(20)) == "0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 8 more"


class TestDue:
    def test_nobody_who_is_absent_and_no_class_that_is_void_is_waited_for(self):
        first, absent = people(2)
        record = RecordFactory(
            classes=(ClassFactory(reasons=("SR",)), ClassFactory(number=2, void=True, reasons=("SR",))),
            contestants=(first, absent._replace(present=False)),
            parts=(PartFactory(),),
            cards=(),
        )
        assert missing_cards(record) == {1: (101,)}
        assert missing_reasons(record) == {1: (101,)}
        assert missing_marks(record) == {"QUEST": (101,)}

    def test_a_card_that_was_read_as_none_is_not_missing(self):
        assert missing_cards(RecordFactory(cards=tuple(Card(1, n, "") for n in (101, 102, 103)))) == {}

    def test_fewer_officials_are_told_within_a_division(self):
        junior = ContestantFactory(number=201, division="JR", team="Larks")
        record = RecordFactory(
            divisions=(DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
            classes=(ClassFactory(divisions=("SR", "JR"), reasons=("SR", "JR")),),
            contestants=(*people(2), junior),
            reasons=(
                ReasonsScore(1, 101, "A", 4000),
                ReasonsScore(1, 101, "B", 4000),
                ReasonsScore(1, 102, "A", 4000),
                ReasonsScore(1, 201, "A", 4000),
            ),
        )
        assert fewer_officials(record) == {1: (102,)}
