"""A small cast of contests, as records: what a test does not name is the plainest thing that works."""

from datetime import date

import factory

from contest.records import save_record
from scoring.core.record import (
    Card,
    Category,
    Contestant,
    Division,
    JudgingClass,
    Part,
    Record,
    Rules,
)


class RulesFactory(factory.Factory):
    class Meta:
        model = Rules

    name = "Harrow Creek Fall Judging Contest"
    held_on = date(2026, 10, 17)
    place = "Harrow Creek Fairground"
    show_people_as = "name"


class DivisionFactory(factory.Factory):
    class Meta:
        model = Division

    code = "SR"
    name = "Senior"
    team_counting = 3


class ClassFactory(factory.Factory):
    class Meta:
        model = JudgingClass

    number = 1
    name = "Aged geldings"
    divisions = ("SR",)
    official = "3124"
    cuts = (3, 5, 2)


class PartFactory(factory.Factory):
    class Meta:
        model = Part

    code = "QUEST"
    name = "Questions"
    divisions = ("SR",)
    most = 50
    scope = "individual"


class ContestantFactory(factory.Factory):
    class Meta:
        model = Contestant

    number = factory.Sequence(lambda count: 101 + count)
    division = "SR"
    team = "Barley Hill"
    first_name = factory.Sequence(lambda count: f"Given{101 + count}x")
    last_name = factory.Sequence(lambda count: f"Family{101 + count}x")
    role = factory.LazyAttribute(lambda made: "member" if made.team else "individual")


class RecordFactory(factory.Factory):
    """One division, one class with its key, and three contestants of one team who all placed it right."""

    class Meta:
        model = Record

    rules = factory.SubFactory(RulesFactory)
    divisions = factory.LazyFunction(lambda: (DivisionFactory(),))
    categories = (Category("HAL", "Halter"),)
    classes = factory.LazyFunction(lambda: (ClassFactory(),))
    contestants = factory.LazyFunction(lambda: people(3))
    cards = factory.LazyAttribute(
        lambda made: tuple(
            Card(made.classes[0].number, person.number, "3124") for person in made.contestants if made.classes
        )
    )


def people(count, **common):
    """That many contestants, numbered from 101."""
    ContestantFactory.reset_sequence(force=True)
    return tuple(ContestantFactory.build_batch(count, **common))


def a_contest(**parts):
    """A contest in the database, made of a record; `parts` are the record's."""
    return save_record(RecordFactory(**parts), by="test")
