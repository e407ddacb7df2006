"""What the cards of many say together: a key typed wrong, stacks exchanged, a stack upside down."""

from dataclasses import replace

import numpy as np
import pytest

from scoring.core.crowd import Seen, losses, pulls_of_key, ranks_by_key, sharpness_of
from scoring.core.mixups import LIMITS, SURE, Look, mixup_of_stack, mixups
from scoring.core.placing import PLACINGS, score
from scoring.core.record import NO_CARD, UNREADABLE
from tests.bench.mixups import simulate

CROWD = simulate.Crowd(people=60, classes=8, mean=43, agrees=True)


@pytest.fixture(scope="module")
def clean():
    return simulate.contest(np.random.default_rng(7), CROWD)


def spoilt(clean, spoil, *more, seed=3):
    return spoil(np.random.default_rng(seed), clean, *more)


def points(record, number, cards, key_of=None, turned=False):
    """What cards of a class score by a class's key."""
    key = next(judged for judged in record.classes if judged.number == (key_of or number))
    return sum(score(key.official, key.cuts, card.placing[:: -1 if turned else 1]) for card in cards)


def stack(record, number, group):
    theirs = {person.number for person in record.contestants if person.group == group}
    return [card for card in record.cards if card.class_number == number and card.number in theirs]


def test_nothing_is_told_of_a_contest_with_nothing_wrong(clean):
    assert mixups(clean) == []


@pytest.mark.parametrize(("spoil", "kind"), [(simulate.key_reversed, "reversed"), (simulate.ends_exchanged, "ends")])
def test_a_key_typed_the_wrong_way_round_is_told_with_the_placing_that_fits(clean, spoil, kind):
    record, (number,), _group = spoilt(clean, spoil)
    (told,) = mixups(record)
    right = clean.classes[number - 1].official
    assert (told.kind, told.classes, told.group, told.better) == (kind, (number,), "", right)
    cards = [card for card in record.cards if card.class_number == number]
    assert told.fits == ((number, 60, points(record, number, cards), points(clean, number, cards)),)
    assert told.sure


def test_so_are_neighbours_exchanged_where_much_lies_between_them(clean):
    cut = max(cut for judged in clean.classes for cut in judged.cuts)
    record, (number,), _group = spoilt(clean, simulate.neighbours, cut)
    (told,) = mixups(record)
    assert (told.kind, told.classes, told.better) == ("neighbours", (number,), clean.classes[number - 1].official)


def test_two_classes_swapped_are_one_thing(clean):
    record, classes, _group = spoilt(clean, simulate.classes_swapped)
    (told,) = mixups(record)
    assert (told.kind, told.classes, told.group) == ("classes", classes, "")
    assert [fit.cards for fit in told.fits] == [60, 60]


def test_stacks_of_two_classes_swapped_are_told_with_what_each_would_score(clean):
    record, (one, other), group = spoilt(clean, simulate.stacks_swapped, seed=4)
    (told,) = mixups(record)
    assert (told.kind, told.classes, told.group) == ("stacks", (one, other), group)
    for fit, this, that in zip(told.fits, (one, other), (other, one), strict=True):
        cards = stack(record, this, group)
        assert fit == (this, len(cards), points(record, this, cards), points(record, this, cards, that))


def test_a_stack_upside_down_is_told_with_everybody_in_it(clean):
    record, (number,), group = spoilt(clean, simulate.upside_down)
    (told,) = mixups(record)
    cards = stack(record, number, group)
    assert (told.kind, told.classes, told.group) == ("turned", (number,), group)
    assert told.numbers == tuple(card.number for card in cards)
    assert told.fits == ((number, 12, points(record, number, cards), points(record, number, cards, turned=True)),)


def test_of_a_stack_in_which_some_lay_upside_down_those_are_told_and_they_are_one_thing(clean):
    record, (number,), group = spoilt(clean, simulate.some_upside_down, 0.5)
    (told,) = mixups(record)
    turned = [card.number for card in stack(record, number, group)][:6]
    assert (told.kind, told.classes, told.group) == ("some", (number,), group)
    assert len(set(told.numbers) & set(turned)) >= 5
    assert told.fits[0].cards == len(told.numbers) < 12


def test_a_single_card_upside_down_is_nothing_to_tell_of(clean):
    record, _classes, _group = spoilt(clean, simulate.some_upside_down, 1 / 12)
    assert mixups(record) == []


def test_a_stack_read_as_a_class_of_which_the_group_has_no_cards_yet(clean):
    there = stack(clean, 8, "A")
    cards = tuple(card for card in clean.cards if card not in stack(clean, 1, "A") and card not in there)
    moved = tuple(card._replace(class_number=1) for card in there)
    (told,) = mixups(replace(clean, cards=cards + moved))
    assert (told.kind, told.classes, told.group) == ("elsewhere", (1, 8), "A")
    assert told.fits == ((1, 12, points(clean, 1, moved), points(clean, 1, moved, 8)),)


class TestAtTheDesk:
    def told(self, clean, cards, number=1, group="A"):
        others = tuple(card for card in clean.cards if card not in stack(clean, number, group))
        return mixup_of_stack(replace(clean, cards=others), number, group, cards)

    def test_a_stack_that_is_right_upside_down_and_of_another_class(self, clean):
        right = {card.number: card.placing for card in stack(clean, 1, "A")}
        assert self.told(clean, right) is None
        turned = self.told(clean, {who: placing[::-1] for who, placing in right.items()})
        assert (turned.kind, turned.numbers) == ("turned", tuple(right))
        other = {card.number: card.placing for card in stack(clean, 8, "A")}
        assert (self.told(clean, other).kind, self.told(clean, other).classes) == ("elsewhere", (1, 8))

    def test_it_goes_by_what_this_reader_read_whatever_else_was_read_of_the_stack(self, clean):
        other = {card.number: card.placing for card in stack(clean, 8, "A")}
        assert mixup_of_stack(clean, 1, "A", other).kind == "elsewhere"

    def test_without_groups_or_of_a_class_that_counts_for_nobody_nothing_can_be_told(self, clean):
        turned = {card.number: card.placing[::-1] for card in stack(clean, 1, "A")}
        assert self.told(clean, turned, group="") is None
        void = replace(clean, classes=(replace(clean.classes[0], void=True), *clean.classes[1:]))
        assert self.told(void, turned) is None

    def test_few_cards_say_nothing_and_those_that_cannot_be_read_do_not_count(self, clean):
        turned = {card.number: card.placing[::-1] for card in stack(clean, 1, "A")}
        few = {who: placing if place < 4 else NO_CARD for place, (who, placing) in enumerate(turned.items())}
        assert self.told(clean, few) is None
        unreadable = dict.fromkeys(turned, UNREADABLE)
        assert self.told(clean, unreadable) is None


def test_the_cards_of_those_who_are_absent_say_nothing(clean):
    record, _classes, group = spoilt(clean, simulate.upside_down)
    people = tuple(person._replace(present=person.group != group) for person in record.contestants)
    assert mixups(replace(record, contestants=people)) == []


def test_a_contest_of_few_classes_or_few_cards_is_let_be(clean):
    record, _classes, _group = spoilt(clean, simulate.key_reversed)
    assert mixups(replace(record, cards=record.cards[: 8 * 7])) == []
    assert mixups(replace(record, classes=record.classes[:3])) == []
    assert mixups(replace(record, cards=())) == []


def test_cuts_that_part_nothing_or_cannot_be_meant_are_borne(clean):
    for cuts in ((0, 0, 0), (10_000, 10_000, 10_000)):
        classes = tuple(replace(judged, cuts=cuts) for judged in clean.classes)
        assert isinstance(mixups(replace(clean, classes=classes)), list)


def test_what_is_sure_is_well_beyond_what_is_told():
    assert LIMITS.keys() == SURE.keys()
    assert all(SURE[kind] > limit for kind, limit in LIMITS.items())


class TestTheCrowd:
    def test_a_key_makes_a_placing_the_likelier_the_more_it_scores(self):
        chances = Seen(pulls_of_key("3124", (3, 5, 2), 0.3), [0] * 24).log_chances()
        by_loss = sorted(zip(losses("3124", (3, 5, 2)), chances, strict=True))
        assert [chance for _loss, chance in by_loss] == pytest.approx(sorted(chances, reverse=True))
        assert sum(map(np.exp, chances)) == pytest.approx(1)

    def test_many_cards_outweigh_the_key(self):
        counts = [60 * (placing == "4213") for placing in PLACINGS]
        chances = Seen(pulls_of_key("3124", (3, 5, 2), 0.3), counts).log_chances()
        assert PLACINGS[int(np.argmax(chances))] == "4213"

    def test_leaving_cards_out_is_nearly_as_though_they_had_never_been(self):
        by_key = pulls_of_key("3124", (3, 5, 2), 0.3)
        some = [8 * (placing == "3124") + 4 * (placing == "1324") + (placing == "3142") for placing in PLACINGS]
        more = [2 * (placing in ("3124", "1342")) for placing in PLACINGS]
        both = [one + other for one, other in zip(some, more, strict=True)]
        without = Seen(by_key, both).log_chances(without=more)
        assert without == pytest.approx(Seen(by_key, some).log_chances(), abs=0.15)

    def test_the_sharpness_gives_the_points_that_were_scored(self):
        key, lost = ("3124", (3, 5, 2)), losses("3124", (3, 5, 2))
        counts = [10 * (loss == 0) + 3 * (loss == 5) for loss in lost]
        sharp = sharpness_of([(key[1], counts, lost)])
        chances = Seen(pulls_of_key(*key, sharp), [0] * 24)
        expected = sum(np.exp(chance) * loss for chance, loss in zip(chances.log_chances(), lost, strict=True))
        floor = 0.15 * np.mean(lost)
        assert (expected - floor) / 0.85 == pytest.approx(np.dot(counts, lost) / sum(counts), abs=0.3)

    def test_mean_ranks_follow_the_key(self):
        one, two, three, four = ranks_by_key("3124", (3, 5, 2), 0.3)
        assert three > one > two > four
        assert one + two + three + four == pytest.approx(0)


LABELS = str.maketrans("1234", "ABXY")


def in_letters(record, *numbers):
    """The record with the animals of these classes called A, B, X and Y, on their keys and cards alike."""
    return replace(
        record,
        classes=tuple(
            replace(judged, animals="ABXY", official=judged.official.translate(LABELS))
            if judged.number in numbers
            else judged
            for judged in record.classes
        ),
        cards=tuple(
            card._replace(placing=card.placing.translate(LABELS)) if card.class_number in numbers else card
            for card in record.cards
        ),
    )


@pytest.mark.parametrize("spoil", [simulate.key_reversed, simulate.stacks_swapped])
def test_four_animals_of_any_labels_are_looked_at_alike(clean, spoil):
    record, _classes, _group = spoilt(clean, spoil, seed=4)
    (told,) = mixups(record)
    lettered = in_letters(record, *(judged.number for judged in record.classes))
    assert mixups(lettered) == [replace(told, better=told.better.translate(LABELS))]


def test_what_has_other_labels_passes_for_no_other_class(clean):
    record, (one, _other), _group = spoilt(clean, simulate.stacks_swapped, seed=4)
    look = Look(in_letters(record, one))
    assert all(one not in found.classes or len(found.classes) == 1 for found in look.found())


def test_of_other_numbers_of_animals_nothing_is_known(clean):
    first, *others = clean.classes
    six = replace(first, animals="ABCXYZ", official="ABCXYZ", cuts=(1, 2, 3, 2, 1))
    assert first.number not in Look(replace(clean, classes=(six, *others))).classes
