"""Hypothesis strategies for contests: whole valid records with every setting and every oddity that the book allows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

from hypothesis import strategies as st

from scoring.core.placing import PLACINGS
from scoring.core.record import (
    NO_CARD,
    UNREADABLE,
    Card,
    Category,
    Choice,
    Contestant,
    Division,
    JudgingClass,
    Mark,
    PanelKey,
    Part,
    ReasonsScore,
    Record,
    Rules,
)

placings = st.sampled_from(PLACINGS)
cuts = st.tuples(*[st.integers(0, 12)] * 3)
alike_cuts = st.sampled_from(((2, 2, 2), (2, 5, 3), (2, 5, 3)))
"""Cuts that several classes share, so that cards exchanged between classes make equal totals of unequal scores."""
positive_cuts = st.tuples(*[st.integers(1, 12)] * 3)

ODD_NAMES = (
    'O\'Brien "Bo"',
    "Núñez-Ågård",
    "a, b; c",
    "=1+1",
    "@home",
    "-",
    "#1",
    "王小明",
    "عمر",
    "👩‍🌾 Ann",
    "unreadable",
    "yes",
    "0",
    "1e3",
    '"',
    "[class]",
    "\\",
    "'''",
    'x"""y',
    "e\u0301",
    "\ufeffBo",
)
CODES = ("JR", "SR", "IN", "HAL", "PERF", "BEEF", "Ä1", "a.b-c", "_x", "class", "left-out", "total", "1", "contest")
TEAMS = ("Red", "Blue", "red", 'O\'Neil, "A"', "Ötztal 1", "10", "9")
OFFICIALS = ("A", "B", "Dr. Vale", "é")

free_text = st.one_of(
    st.sampled_from(("", "Ann", "Bo", "Reed")),
    st.sampled_from(ODD_NAMES),
    st.text(st.characters(exclude_categories=("Cc", "Zl", "Zp", "Cs")), max_size=8).map(str.strip),
)
names = free_text.map(lambda text: text or "Name")


def codes(most: int, least: int = 0) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(CODES), min_size=least, max_size=most, unique=True)


@cache  # a strategy that is made anew for every draw is checked anew as well, which takes longer than the draw
def subsets(items: tuple[str, ...]) -> st.SearchStrategy[tuple[str, ...]]:
    """Any of the items in any order; usually all of them."""
    everything = st.permutations(items).map(tuple)
    some = st.lists(st.sampled_from(items), unique=True).map(tuple) if items else st.just(())
    return st.one_of(everything, everything, some)


settings = {
    "negative_scores": st.sampled_from(("keep", "zero")),
    "unreadable_card": st.sampled_from(("zero", "lowest")),
    "reasons_in_category": st.booleans(),
}
scoring_rules = st.builds(Rules, name=st.just("Name"), **settings)
rules = st.builds(
    Rules,
    name=names,
    held_on=st.none() | st.dates(date(1900, 1, 1), date(2199, 12, 31)),
    place=free_text,
    readings_per_card=st.sampled_from((1, 2)),
    show_people_as=st.sampled_from(("number", "initials", "name")),
    reasons_standardised=st.booleans(),
    same_reader_twice=st.booleans(),
    starts_at=st.none() | st.times().map(lambda at: at.replace(microsecond=0)),
    minutes_per_class=st.sampled_from((12, 1, 240)),
    **settings,
)


@cache
def divisions(code: str, named: bool) -> st.SearchStrategy[Division]:
    return st.builds(
        Division,
        code=st.just(code),
        name=names if named else st.just("Name"),
        team_counting=st.sampled_from((3, 2, 1, 0, 4)),
        short_team=st.sampled_from(("zero", "unranked")),
        counting_members=st.sampled_from(("fixed", "each")),
    )


@st.composite
def judging_classes(
    draw, number: int, division_codes: tuple[str, ...], category_codes: tuple[str, ...], named: bool = True
):
    judging = draw(subsets(division_codes))
    giving = draw(subsets(judging))
    void_for = draw(st.one_of(st.just(()), st.just(()), subsets(judging)))
    official = draw(st.one_of(placings, placings, placings, st.none()))
    return JudgingClass(
        number=number,
        name=draw(names) if named else "Name",
        divisions=judging,
        category=draw(st.sampled_from(("", *category_codes, *category_codes))),
        places=draw(st.sampled_from((True, True, True, False))),
        reasons=tuple(code for code in judging if code in giving),
        perfect=draw(st.sampled_from((50, 50, 100, 1))),
        official=official,
        cuts=None if official is None else draw(st.one_of(alike_cuts, cuts)),
        void=draw(st.sampled_from((False, False, False, True))),
        void_divisions=tuple(code for code in judging if code in void_for),
    )


@st.composite
def parts(draw, code: str, division_codes: tuple[str, ...], category_codes: tuple[str, ...], named: bool = True):
    return Part(
        code=code,
        name=draw(names) if named else "Name",
        divisions=draw(subsets(division_codes)),
        most=draw(st.sampled_from((50, 10, 1))),
        scope=draw(st.sampled_from(("individual", "team"))),
        category=draw(st.sampled_from(("", *category_codes))),
    )


def tie_orders(steps: list[str]) -> st.SearchStrategy[list[str]]:
    """Usually several steps; sometimes none, or the same step again."""
    several = st.lists(st.sampled_from(steps), min_size=2, max_size=5)
    return st.one_of(several, several, several, st.lists(st.sampled_from(steps), max_size=2))


@st.composite
def outlines(draw, named: bool = True) -> Record:
    """A contest without people: rules, divisions, categories, classes, parts and tie orders."""
    division_codes = tuple(draw(st.one_of(codes(1, least=1), codes(3, least=1))))
    category_codes = tuple(draw(codes(3)))
    numbers = draw(st.lists(st.integers(1, 12), min_size=draw(st.sampled_from((3, 2, 0))), max_size=4, unique=True))
    part_codes = draw(codes(2, least=draw(st.sampled_from((0, 1)))))
    steps = ["total", "reasons", "placing", "best-class"]
    steps += [f"class:{number}" for number in numbers] + [f"category:{code}" for code in category_codes]
    steps += [f"part:{code}" for code in part_codes]
    return Record(
        rules=draw(rules if named else scoring_rules),
        divisions=tuple(draw(divisions(code, named)) for code in division_codes),
        categories=tuple(Category(code, draw(names) if named else code) for code in category_codes),
        classes=tuple(draw(judging_classes(number, division_codes, category_codes, named)) for number in numbers),
        parts=tuple(draw(parts(code, division_codes, category_codes, named)) for code in part_codes),
        individual_ties=tuple(draw(tie_orders(steps))),
        team_ties=tuple(draw(tie_orders([*steps, "left-out", "left-out"]))),
    )


teams = st.sampled_from(("", *TEAMS[:2] * 5, *TEAMS))
mostly = st.sampled_from((True,) * 5 + (False,))


@st.composite
def contestants(draw, number: int, division_codes: tuple[str, ...], named: bool = True) -> Contestant:
    division, team = draw(st.sampled_from(division_codes)), draw(teams)
    person = Contestant(
        number, division, team, role="member" if team else "individual", present=draw(mostly), ranked=draw(mostly)
    )
    if not named:
        return person
    return person._replace(
        first_name=draw(free_text),
        last_name=draw(free_text),
        group=draw(st.sampled_from(("", "A", "B"))),
        show_name=draw(st.booleans()),
    )


# Few different values, so that many totals are equal and the tie orders have work to do.
few_points = st.sampled_from((4000, 4300, 4500))
any_points = st.one_of(few_points, few_points, few_points, st.integers(0, 5000))
officials = st.lists(st.sampled_from(OFFICIALS), max_size=3, unique=True)


@cache
def second_readings(placing: str) -> st.SearchStrategy[str | None]:
    return st.sampled_from((None, None, placing or None, "1234", UNREADABLE))


@st.composite
def handed_in(draw, record: Record, person: Contestant, readings: list[str]) -> Record:
    """The record with what one of its contestants handed in and was given."""
    cards, reasons, marks = [], [], []
    reading = st.sampled_from(readings)
    for judged in record.classes:
        if judged.places and person.division in judged.divisions and (placing := draw(reading)) != "-":
            second = draw(second_readings(placing))
            cards.append(Card(judged.number, person.number, placing, second))
        if person.division in judged.reasons:
            for official in draw(officials):
                reasons.append(ReasonsScore(judged.number, person.number, official, draw(any_points)))
    for part in record.parts:
        if part.scope == "individual" and person.division in part.divisions and draw(st.booleans()):
            marks.append(Mark(part.code, draw(any_points) * part.most // 50, number=person.number))
    return replace(
        record,
        cards=record.cards + tuple(cards),
        reasons=record.reasons + tuple(reasons),
        marks=record.marks + tuple(marks),
    )


@st.composite
def records(draw, named: bool = True) -> Record:
    """A whole valid contest; without names and dates for what they mean nothing to, which is drawn twice as fast."""
    record = draw(outlines(named))
    codes_ = tuple(division.code for division in record.divisions)
    # A few placings only, and "-" for no row at all.
    readings = draw(st.lists(placings, min_size=2, max_size=3)) * 2 + [NO_CARD, UNREADABLE, "-"]
    size = draw(st.sampled_from((9, 7, 5, 3, 1, 0)))
    numbers = draw(st.lists(st.integers(1, 60), min_size=size, max_size=size + 1, unique=True))
    for number in numbers:
        person = draw(contestants(number, codes_, named))
        record = replace(record, contestants=(*record.contestants, person))
        record = draw(handed_in(record, person, readings))
    return draw(with_team_marks(record))


@st.composite
def with_team_marks(draw, record: Record) -> Record:
    teams = sorted({(c.division, c.team) for c in record.contestants if c.team})
    marks = []
    for part in record.parts:
        for division, team in teams:
            if part.scope == "team" and division in part.divisions and draw(st.booleans()):
                marks.append(Mark(part.code, draw(any_points) * part.most // 50, division=division, team=team))
    return replace(record, marks=record.marks + tuple(marks))


OTHER_ANIMALS = ("ABXY", "123", "12345", "ABCXYZ", "87654321")


@st.composite
def of_other_animals(draw, record: Record, judged: JudgingClass) -> tuple[JudgingClass, tuple[Card, ...]]:
    """The class with other animals, and its cards with as many placings of these as they had different ones."""
    animals = draw(st.sampled_from(OTHER_ANIMALS))
    order = st.permutations(animals).map("".join)
    placed: dict[str | None, str | None] = {None: None, NO_CARD: NO_CARD, UNREADABLE: UNREADABLE}
    cards = []
    for card in record.cards:
        if card.class_number == judged.number:
            for placing in (card.placing, card.second):
                if placing not in placed:
                    placed[placing] = draw(order)
            card = card._replace(placing=placed[card.placing], second=placed[card.second])
        cards.append(card)
    cuts_of = st.tuples(*[st.integers(0, 6)] * (len(animals) - 1))
    key = {} if judged.official is None else {"official": draw(order), "cuts": draw(cuts_of)}
    return replace(judged, animals=animals, **key), tuple(cards)


@st.composite
def wide_records(draw, named: bool = True) -> Record:
    """A whole valid contest with all a book can say: other animals, full points, least reasons, keep/cull, panels."""
    record = draw(records(named))
    classes = []
    for judged in record.classes:
        if draw(st.booleans()):
            judged, cards = draw(of_other_animals(record, judged))
            record = replace(record, cards=cards)
        classes.append(replace(judged, full_points=draw(st.sampled_from((False, False, False, True)))))
    record = replace(
        record,
        classes=tuple(classes),
        divisions=tuple(
            replace(division, reasons_least=draw(st.sampled_from((0, 0, 30, 44)))) for division in record.divisions
        ),
    )
    panel = [
        PanelKey(judged.number, official, judged.animals[::-1], (2,) * (len(judged.animals) - 1))
        for judged in classes
        for official in draw(officials)
    ]
    return draw(with_keep_or_cull(replace(record, panel=tuple(panel))))


@st.composite
def with_keep_or_cull(draw, record: Record) -> Record:
    doing = draw(subsets(tuple(division.code for division in record.divisions)))
    values = draw(st.one_of(st.none(), st.lists(st.integers(0, 14), min_size=5, max_size=5).map(tuple)))
    most = sum(sorted(values or (), reverse=True)[:2])
    category = draw(st.sampled_from(("", *(category.code for category in record.categories))))
    part = Part("KEEP", "Keep two", doing, most, "individual", category, "13579", 2, values)
    kept = st.sampled_from(("13", "31", "97", "1", "135", NO_CARD, UNREADABLE))
    choices = [
        Choice("KEEP", person.number, draw(kept), draw(st.sampled_from((None, None, "13", UNREADABLE))))
        for person in record.contestants
        if person.division in doing and draw(st.booleans())
    ]
    return replace(
        record,
        parts=(*record.parts, part),
        choices=tuple(choices),
        individual_ties=(*record.individual_ties, *draw(st.sampled_from(((), ("part:KEEP",))))),
    )


@st.composite
def shuffled(draw, record: Record) -> Record:
    """The same record with its rows in another order."""
    return replace(
        record,
        contestants=tuple(draw(st.permutations(record.contestants))),
        cards=tuple(draw(st.permutations(record.cards))),
        reasons=tuple(draw(st.permutations(record.reasons))),
        marks=tuple(draw(st.permutations(record.marks))),
    )


@st.composite
def with_one_more(draw, record: Record) -> tuple[Record, Contestant]:
    """The record with one more contestant, and who that is."""
    person = draw(contestants(61, tuple(division.code for division in record.divisions)))
    larger = replace(record, contestants=(*record.contestants, person))
    return draw(handed_in(larger, person, ["1234", "4321", NO_CARD, UNREADABLE])), person
