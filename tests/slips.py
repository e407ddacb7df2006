"""Reading and deciding each kind of slip, by what it is of."""

from contest.slips import known_cards
from contest.slips.cards import CardSlip
from contest.slips.choices import ChoiceSlip
from contest.slips.marks import MarkSlip
from contest.slips.reading import decide, move, read, settle_slip
from contest.slips.reasons import ReasonsSlip
from contest.slips.tablets import give


def read_card(judging_class, number, placing, by, submission, helper=None):
    """As a desk does."""
    return known_cards.read_card(judging_class.contest, judging_class.number, number, placing, by, submission, helper)


def decide_card(judging_class, contestant, placing, by, reason, on_card=""):
    decide(CardSlip(judging_class, contestant.number, contestant), placing, by, reason, on_card)
    return CardSlip(judging_class, contestant.number, contestant).result()


def move_card(reading, number, by, reason, judging_class=None):
    move(reading, CardSlip.of_number(judging_class or reading.judging_class, number), by, reason)


def settle_card(judging_class, contestant):
    settle_slip(CardSlip(judging_class, contestant.number, contestant))


def read_reasons(judging_class, official, contestant, hundredths, by, submission=None, helper=None):
    return read(ReasonsSlip(judging_class, official, contestant), hundredths, by, submission, helper)


def give_reasons(judging_class, official, contestant, hundredths, by, submission, helper=None):
    return give(ReasonsSlip(judging_class, official, contestant), hundredths, by, submission, helper)


def decide_reasons(judging_class, official, contestant, hundredths, by, reason):
    return decide(ReasonsSlip(judging_class, official, contestant), hundredths, by, reason)


def read_mark(part, owner, hundredths, by, submission=None, helper=None):
    return read(MarkSlip.of_owner(part, owner), hundredths, by, submission, helper)


def decide_mark(part, owner, hundredths, by, reason):
    return decide(MarkSlip.of_owner(part, owner), hundredths, by, reason)


def read_choice(part, contestant, typed, by, submission=None):
    """As somebody types it."""
    slip = ChoiceSlip(part, contestant)
    return read(slip, slip.typed(typed), by, submission)


def decide_choice(part, contestant, chosen, by, reason):
    return decide(ChoiceSlip(part, contestant), chosen, by, reason)
