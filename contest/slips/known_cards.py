"""What is known of a card just before one more reading of it is added, in one statement: many helpers type at once."""

from __future__ import annotations

from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection

from contest.models import Reading
from scoring.core.settling import Given

# Of the class in any case; of the contestant where somebody has the number; and of each reading of the card that was
# not withdrawn, or that came with this very submission, whatever became of it. Queries of Django's would be five, and
# take many times as long to be put together as to be answered.
KNOWN = """
    SELECT class.id, person.id, person.present, class.places AND judging.id IS NOT NULL,
           contest.readings_per_card, contest.same_reader_twice,
           reading.id, reading.placing, reading."by", reading.decides, reading.submission = %(submission)s
    FROM contest_judgingclass class
    JOIN contest_contest contest ON contest.id = class.contest_id
    LEFT JOIN contest_contestant person ON person.contest_id = class.contest_id AND person.number = %(number)s
    LEFT JOIN contest_classdivision judging
           ON judging.judging_class_id = class.id AND judging.division_id = person.division_id
    LEFT JOIN contest_reading reading
           ON (reading.judging_class_id = class.id AND reading.contestant_id = person.id
               AND reading.withdrawn_at IS NULL)
           OR reading.submission = %(submission)s
    WHERE class.contest_id = %(contest)s AND class.number = %(class_number)s
    ORDER BY reading.id
"""


class KnownCard(NamedTuple):
    """The card of a number for a class. `contestant` is None where nobody has the number; `due` says whether such a
    card is expected; `given` holds its readings, oldest first. `came_before` says whether the submission did.
    """

    judging_class: int
    contestant: int | None
    present: bool
    due: bool
    readings_per_card: int
    same_reader_twice: bool
    given: list[Given[str]]
    came_before: bool


def known_card(contest: int, class_number: int, number: int, submission: UUID) -> KnownCard | None:
    """What is known of a card; None where the contest has no such class."""
    asked: dict[str, Any] = {"contest": contest, "class_number": class_number, "number": number}
    asked["submission"] = Reading._meta.get_field("submission").get_db_prep_value(submission, connection)
    with connection.cursor() as cursor:
        cursor.execute(KNOWN, asked)
        rows = cursor.fetchall()
    if not rows:
        return None
    judging_class, contestant, present, due, needed, twice = rows[0][:6]
    readings = [row[6:] for row in rows if row[6] is not None]
    return KnownCard(
        judging_class,
        contestant,
        bool(present),
        bool(due),
        needed,
        bool(twice),
        [Given(placing, by.casefold(), bool(decides)) for _, placing, by, decides, _same in readings],
        any(same for *_, same in readings),
    )
