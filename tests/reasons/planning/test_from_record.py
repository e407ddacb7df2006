"""The task of a contest's record."""

from reasons.planning.from_record import officials_of, rooms_of, speakers_of
from scoring.core.record import Contestant, Division, JudgingClass, ReasonsScore, Record, Rules

PEOPLE = (
    Contestant(101, "JR", team="Barley HILL"),
    Contestant(201, "SR", team="barley hill"),
    Contestant(202, "SR", present=False),
    Contestant(301, "IN"),
)
RECORD = Record(
    Rules(name="Reasons"),
    divisions=(Division("JR", "Junior", 3), Division("SR", "Senior", 3), Division("IN", "Intermediate", 3)),
    classes=(
        JudgingClass(1, "Ewes", ("JR", "SR", "IN"), reasons=("JR", "SR")),
        JudgingClass(2, "Rams", ("JR", "SR", "IN"), reasons=("SR",)),
        JudgingClass(3, "Lambs", ("JR", "SR", "IN"), reasons=("SR", "IN"), void=True),
    ),
    contestants=PEOPLE,
    reasons=tuple(ReasonsScore(1, 201, official, 4000) for official in ("Ash", "Birch", "Ash", "Cedar")),
)


def test_whoever_is_here_speaks_on_what_their_division_gives_reasons_on():
    speakers = speakers_of(RECORD)
    assert [(one.number, one.classes) for one in speakers] == [(101, (1,)), (201, (1, 2))]
    assert speakers[0].team == speakers[1].team  # one club, however it was typed


def test_each_room_hears_every_class_unless_they_keep_to_their_own():
    speakers = speakers_of(RECORD)
    assert [(room.name, room.classes) for room in rooms_of(speakers, 2)] == [("1", None), ("2", None)]
    # Two sets on class 1 and one on class 2: a third room hears the fuller class too.
    assert [sorted(room.classes) for room in rooms_of(speakers, 3, keep=True)] == [[1], [1], [2]]


def test_officials_are_dealt_out_in_the_order_of_the_record():
    assert officials_of(RECORD, 2) == ("Ash; Cedar", "Birch")
