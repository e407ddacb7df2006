"""Reading a card by its numbers, in as few statements as can be: many helpers type at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.db import connection
from django.utils.translation import gettext as _

from contest.changes import ask_for_turn
from contest.changes.at_once import at_once, send
from contest.changes.exceptions import NotPossible
from contest.changes.together import together
from contest.models import Contest, Contestant, Helper, JudgingClass, Reading
from contest.slips.cards import CardSlip
from contest.slips.reading import Outcome, add
from contest.slips.slip import Known, given

# Of the class in any case; of the contestant where somebody has the number; and of each reading of the card that was
# not withdrawn, or that came with this very submission, whatever became of it. Queries of Django's would be five, and
# take many times as long to be put together as to be answered.
KNOWN = """
    SELECT class.id, person.id, person.present, class.places AND judging.id IS NOT NULL,
           contest.readings_per_card, contest.same_reader_twice, class.animals,
           reading.id, reading.placing, reading."by", reading.decides, reading.source,
           reading.submission = %(submission)s
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


def read_card(
    contest: Contest,
    class_number: int,
    number: int,
    placing: str,
    by: str,
    submission: UUID,
    helper: Helper | None = None,
) -> Outcome:
    """The same as `contest.slips.reading.read` for a card of which only numbers are known. Raises NotPossible for a
    class that the contest has not."""

    def change() -> Outcome:
        with at_once():
            its_turn = ask_for_turn(contest.pk)
            its_card = ask_for_card(contest, class_number, number, submission)
            turn, (card, known) = its_turn(), its_card()
            card.check(placing)
            return add(card, known, turn, placing, by, submission=submission, helper=helper)

    return together(contest.pk, change)


def known_card(contest: Contest, class_number: int, number: int, submission: UUID) -> tuple[CardSlip, Known]:
    """A card, of whose class and contestant no more is there than was asked for, and what is known of it."""
    return ask_for_card(contest, class_number, number, submission)()


def ask_for_card(
    contest: Contest, class_number: int, number: int, submission: UUID
) -> Callable[[], tuple[CardSlip, Known]]:
    """Ask for what `known_card` gives, and return what waits for it. Both raise NotPossible for a class that the
    contest has not."""

    def known_of(rows: list[Any]) -> tuple[CardSlip, Known]:
        if not rows:
            raise NotPossible(_("this contest has no class {number}").format(number=class_number))
        judged, person, present, due, needed, twice, animals = rows[0][:7]
        readings = [row[7:] for row in rows if row[7] is not None]
        judging_class = JudgingClass(pk=judged, number=class_number, animals=animals, contest=contest)
        contestant = person and Contestant(pk=person, number=number, present=bool(present), contest=contest)
        said = [given(placing, by, decides, source) for _, placing, by, decides, source, _same in readings]
        known = Known(bool(due), said, any(same for *_, same in readings), needed, bool(twice))
        return CardSlip(judging_class, number, contestant), known

    asked: dict[str, Any] = {"contest": contest.pk, "class_number": class_number, "number": number}
    asked["submission"] = Reading._meta.get_field("submission").get_db_prep_value(submission, connection)
    return send(KNOWN, asked, known_of)
