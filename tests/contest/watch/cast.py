"""A small contest with nothing read yet, and the hands that read in it."""

from uuid import uuid4

from contest.models import JudgingClass
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, PartFactory, a_contest
from tests.slips import read_card


def small_contest(**parts):
    """Two classes with cards and one of reasons only; seniors 101 to 104 in groups A and B, junior 201 in group B.

    Juniors judge class 2 alone. Contestant 104 is absent.
    """
    groups = {101: "A", 102: "A", 103: "B", 104: "B"}
    seniors = [ContestantFactory(number=number, group=group, present=number != 104) for number, group in groups.items()]
    junior = ContestantFactory(number=201, division="JR", group="B", team="Little Oaks")
    cast = {
        "divisions": (DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        "classes": (
            ClassFactory(),
            ClassFactory(
                number=2, name="Yearling ewes", divisions=("SR", "JR"), official=None, cuts=None, reasons=("SR",)
            ),
            ClassFactory(number=3, name="Showmanship", places=False),
        ),
        "parts": (PartFactory(),),
        "contestants": (*seniors, junior),
        "cards": (),
    }
    return a_contest(**(cast | parts))


def the_class(contest, number=1):
    return JudgingClass.objects.select_related("contest").get(contest=contest, number=number)


def the_contestant(contest, number):
    return contest.contestants.get(number=number)


def read(contest, class_number, number, placing, by="Ann"):
    return read_card(the_class(contest, class_number), number, placing, by, uuid4())


def differing(contest, class_number=1, number=101, first="3124", second="3142"):
    """Two readings of one card that differ."""
    read(contest, class_number, number, first, "Ann")
    read(contest, class_number, number, second, "Ben")


def sent(**fields):
    """What a form of ours sends."""
    return {"submission": str(uuid4()), **fields}
