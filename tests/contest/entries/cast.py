"""A small contest for the tests about entries."""

from uuid import uuid4

from contest.models import Contest, Contestant
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, a_contest
from tests.slips import read_card
from tests.trails import trail_of


def two_divisions(**parts) -> Contest:
    """Seniors 101 to 103 of Barley Hill, junior 104 of Cobblewick and junior 105 alone; nothing read.

    Class 1 is judged by all, class 2 by seniors only, class 3 by juniors only.
    """
    ContestantFactory.reset_sequence(force=True)
    seniors = ContestantFactory.build_batch(3)
    junior = ContestantFactory.build(division="JR", team="Cobblewick")
    alone = ContestantFactory.build(division="JR", team="")
    parts = {
        "divisions": (DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        "classes": (
            ClassFactory(divisions=("SR", "JR")),
            ClassFactory(number=2, name="Fillies"),
            ClassFactory(number=3, name="Ponies", divisions=("JR",)),
        ),
        "contestants": (*seniors, junior, alone),
        "cards": (),
    } | parts
    return a_contest(**parts)


def contestant(contest, number) -> Contestant:
    return contest.contestants.select_related("contest", "division", "team").get(number=number)


def read(contest, class_number, number, placing="3124", by="Ann"):
    return read_card(contest.classes.get(number=class_number), number, placing, by, uuid4())


def trail(contest) -> list[str]:
    return [entry.what for entry in reversed(trail_of(contest))]


def submission(**fields):
    return {"submission": str(uuid4()), **fields}
