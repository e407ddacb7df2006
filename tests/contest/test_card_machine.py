"""Any interleaving of readings, undo, decisions, key changes and scratches, held against a plain model."""

from dataclasses import replace
from uuid import uuid4

import pytest
from django.db import connection, transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from contest.changes.exceptions import NotPossible
from contest.history.past import as_of
from contest.keys import hand_in_key
from contest.models import Card, Contest, Contestant, JudgingClass, Reading
from contest.records import load_record, save_record
from contest.slips.reading import bring_back, set_aside, take_back
from contest.trail import record_change
from contest.trail.sentences import Sentence
from contest.watch.finding import doubts_of
from contest.watch.waiting import forget_all, waiting
from scoring.core import record as pure
from scoring.core.placing import PLACINGS
from scoring.core.record import NO_CARD, UNREADABLE
from scoring.core.tally import tally
from tests.slips import decide_card, move_card, read_card

CLASSES = {1: ("JR", "SR"), 2: ("SR",), 3: ("JR", "SR")}
DIVISION_OF = {101: "JR", 102: "JR", 201: "SR", 202: "SR"}
STRANGERS = (999,)

numbers = st.sampled_from((*DIVISION_OF, *STRANGERS))
contestants = st.sampled_from(tuple(DIVISION_OF))
class_numbers = st.sampled_from(tuple(CLASSES))
placings = st.sampled_from((*PLACINGS[:3], UNREADABLE, NO_CARD))
readers = st.sampled_from(("Ann", "Ben", "Cy"))


def empty_contest():
    return save_record(
        pure.Record(
            rules=pure.Rules(name="Machine"),
            divisions=(pure.Division("JR", "Junior", 2), pure.Division("SR", "Senior", 2)),
            classes=tuple(pure.JudgingClass(n, f"Class {n}", divisions) for n, divisions in CLASSES.items()),
            individual_ties=("class:1",),
            contestants=tuple(pure.Contestant(n, division, "Red") for n, division in DIVISION_OF.items()),
        ),
        by="test",
    )


def in_one_order(record):
    """Cards stand in the order in which they were first read, which means nothing: one that went and came back may
    keep its place where the record is brought up to date, and comes last where it is read anew."""
    return replace(record, cards=tuple(sorted(record.cards, key=lambda card: card[:2])))


class Model:
    """What should be known, in the plainest form: readings in the order they came, each a dictionary."""

    def __init__(self):
        self.readings = {}  # by id, in order: class, number, placing, by, decides, withdrawn

    def live(self, class_number, number):
        return [
            one
            for one in self.readings.values()
            if (one["class"], one["number"]) == (class_number, number) and not one["withdrawn"]
        ]

    def card(self, class_number, number):
        """(placing that counts, state), or None: the rules of settling, written a second time, from the end."""
        live = self.live(class_number, number)
        decisions = [place for place, one in enumerate(live) if one["decides"]]
        if decisions:
            before, after = live[: decisions[-1] + 1], live[decisions[-1] + 1 :]
            news = {one["placing"] for one in after} - {one["placing"] for one in before} - {NO_CARD}
            return before[-1]["placing"], "doubt" if news else "settled"
        if not live:
            return None
        cards = [one for one in live if one["placing"] != NO_CARD]
        if not cards:
            return NO_CARD, "settled" if len({one["by"] for one in live}) > 1 else "once"
        counted = live[live.index(cards[0]) :]
        said = {one["placing"] for one in counted}
        if len(said) == 1:
            return cards[0]["placing"], "settled" if len({one["by"] for one in counted}) > 1 else "once"
        # The first one counts, unless the first that differed from it says that there is no card.
        differing = next(one["placing"] for one in counted if one["placing"] != counted[0]["placing"])
        return (NO_CARD if differing == NO_CARD else counted[0]["placing"]), "doubt"


class CardMachine(RuleBasedStateMachine):
    made = Bundle("made")

    def __init__(self):
        super().__init__()
        self.transaction = transaction.atomic()
        self.transaction.__enter__()
        forget_all()  # the one before was taken back, and this one has its key
        self.contest = empty_contest()
        self.classes = {judged.number: judged for judged in JudgingClass.objects.filter(contest=self.contest)}
        self.model = Model()
        self.absent = set()
        self.keys = {}
        self.known = load_record(self.contest.pk)
        self.saved = {}

    def doubts(self):
        return waiting(Contest.objects.get(pk=self.contest.pk)).doubts

    def teardown(self):
        assert self.doubts() == doubts_of(self.contest)
        for revision, record in list(self.saved.items())[::4]:
            assert as_of(self.contest.pk, revision) == record
        transaction.set_rollback(True)
        self.transaction.__exit__(None, None, None)

    def remember(self, reading_id, class_number, number, placing, by, decides=False):
        self.model.readings[reading_id] = {
            "class": class_number,
            "number": number,
            "placing": placing,
            "by": by,
            "decides": decides,
            "withdrawn": False,
        }
        return reading_id

    @rule(target=made, class_number=class_numbers, number=numbers, placing=placings, by=readers, again=st.booleans())
    def read(self, class_number, number, placing, by, again):
        submission = uuid4()
        fate = read_card(self.classes[class_number], number, placing, by, submission)
        if again:  # the network stuttered
            assert read_card(self.classes[class_number], number, placing, by, submission) == fate
        return self.remember(fate.reading_id, class_number, number, placing, by)

    @rule(reading_id=made, by=readers)
    def undo(self, reading_id, by):
        known = self.model.readings[reading_id]
        reading = Reading.objects.get(pk=reading_id)
        card = self.expected_card(known["class"], known["number"])
        alone = all(one["by"] == by and not one["decides"] for one in self.model.live(known["class"], known["number"]))
        allowed = known["by"] == by and not known["withdrawn"] and (card is None or card[1] != "settled" or alone)
        try:
            take_back(reading, by)
        except NotPossible:
            assert not allowed
        else:
            assert allowed
            known["withdrawn"] = True

    @rule(reading_id=made)
    def put_aside(self, reading_id):
        known = self.model.readings[reading_id]
        try:
            set_aside(Reading.objects.get(pk=reading_id), "Boss", "belongs to another contest")
        except NotPossible:
            assert known["withdrawn"]
        else:
            assert not known["withdrawn"]
            known["withdrawn"] = True

    @rule(reading_id=made)
    def bring_back(self, reading_id):
        known = self.model.readings[reading_id]
        try:
            bring_back(Reading.objects.get(pk=reading_id), "Boss")
        except NotPossible:
            assert not known["withdrawn"]
        else:
            assert known["withdrawn"]
            known["withdrawn"] = False

    @rule(reading_id=made, number=contestants)
    def move(self, reading_id, number):
        known = self.model.readings[reading_id]
        if known["withdrawn"]:
            return
        move_card(Reading.objects.get(pk=reading_id), number, "Boss", "the number was misread")
        known["withdrawn"] = True
        newest = Reading.objects.latest("pk")
        self.remember(newest.pk, known["class"], number, known["placing"], known["by"])

    @rule(class_number=class_numbers, number=contestants, placing=placings)
    def decide(self, class_number, number, placing):
        contestant = Contestant.objects.get(contest=self.contest, number=number)
        try:
            decide_card(self.classes[class_number], contestant, placing, "Boss", "seen on the paper")
        except NotPossible:
            assert not self.judged(class_number, number)
        else:
            self.remember(Reading.objects.latest("pk").pk, class_number, number, placing, "Boss", decides=True)

    @rule(class_number=class_numbers, official=st.sampled_from(PLACINGS), cuts=st.tuples(*[st.integers(0, 8)] * 3))
    def hand_in(self, class_number, official, cuts):
        hand_in_key(self.classes[class_number], official, cuts, "Boss", reason="a change")
        self.keys[class_number] = (official, cuts)

    @rule(number=contestants)
    def scratch_or_return(self, number):
        self.absent ^= {number}
        rows = Contestant.objects.filter(contest=self.contest, number=number)
        rows.update(present=number not in self.absent)
        record_change(self.contest, "Boss", Sentence("presence"))

    def judged(self, class_number, number):
        return DIVISION_OF.get(number) in CLASSES[class_number]

    def expected_card(self, class_number, number):
        return self.model.card(class_number, number) if self.judged(class_number, number) else None

    @invariant()
    def the_cards_are_the_models(self):
        rows = Card.objects.filter(judging_class__contest=self.contest)
        cards = {
            (class_number, number): (placing, state)
            for class_number, number, placing, state in rows.values_list(
                "judging_class__number", "contestant__number", "placing", "state"
            )
        }
        expected = {
            (class_number, number): card
            for class_number in CLASSES
            for number in DIVISION_OF
            if (card := self.expected_card(class_number, number))
        }
        assert cards == expected

    @invariant()
    def no_reading_ever_disappears(self):
        rows = Reading.objects.filter(judging_class__contest=self.contest)
        kept = {
            reading.pk: (reading.number, reading.placing, reading.by, bool(reading.withdrawn_at)) for reading in rows
        }
        assert kept == {
            pk: (one["number"], one["placing"], one["by"], one["withdrawn"]) for pk, one in self.model.readings.items()
        }

    @invariant()
    def what_is_brought_up_to_date_is_what_is_read_anew(self):
        anew = load_record(self.contest.pk)
        self.known = load_record(self.contest.pk, self.known)
        assert self.known[0] == anew[0]
        assert in_one_order(self.known[1]) == in_one_order(anew[1])
        if anew[0] % 3 == 0:  # somebody looks now and then
            self.doubts()
        self.saved[anew[0]] = anew[1]
        self.check_scores(tally(self.known[1]))

    def check_scores(self, result):
        """The scores are those of the cards and of the last keys, of those who are present."""
        for scores in result.scores:
            class_number = int(scores.item.removeprefix("class:"))
            official, cuts = self.keys[class_number]
            for number, points in zip(scores.numbers, scores.points, strict=True):
                placing, _ = self.expected_card(class_number, number) or (NO_CARD, None)
                assert points == plain_score(official, cuts, placing)
                assert number not in self.absent


def plain_score(official, cuts, placing):
    """Pair by pair, without the grid."""
    if placing in (NO_CARD, UNREADABLE):
        return 0
    lost = 0
    for above in range(4):
        for below in range(above + 1, 4):
            if placing.index(official[above]) > placing.index(official[below]):
                lost += sum(cuts[above:below])
    return 50 - lost


@pytest.mark.django_db
def test_any_interleaving_ends_with_the_cards_of_a_plain_model():
    examples = 15 if connection.vendor == "sqlite" else 6  # others each time, and each takes a second or more
    run_state_machine_as_test(
        CardMachine,
        settings=settings(max_examples=examples, stateful_step_count=25, deadline=None, report_multiple_bugs=False),
    )
