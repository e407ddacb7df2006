"""A contest that is being judged: helpers at their desks, keys and cards in every state, doubts of every kind."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from uuid import uuid4

from django.utils import timezone

from contest.book import read_book
from contest.changes import changes
from contest.demo import DEMO_DAY_BOOK
from contest.desk.stacks import take_stack
from contest.helpers.joining import let_in
from contest.keys import enter_key
from contest.models import Contest, Duty, Helper
from contest.records import save_record
from contest.slips.known_cards import read_card
from scoring.board.queue import lists_of, queue_lists
from scoring.core.record import PersonsDay, Record
from scoring.demo import BOSS
from scoring.demo.rooms import hear_reasons

JUDGED_FOR = timedelta(minutes=40)
"""How long reasons have been heard when the demo is loaded."""

LATEST = 22
"""The hour at which they begin at the latest, so that all of them are on one day."""

NOT_HERE_YET = {113, 115}
UNNOTICED = 108
"""Cards of theirs were read, and check-in has not seen them."""

HELPERS = {
    "Odile": Duty.TABULATOR,
    "Piers": Duty.TABULATOR,
    "Runa": Duty.KEYS,
    "Emrys": Duty.REASONS,
    "Isbel": Duty.CHECK_IN,
    "Caspar": Duty.ANNOUNCER,
}


@changes
def day() -> Contest:
    """The contest as it is at this moment of its day, which is today."""
    now = timezone.localtime()
    begins = _begins(now)
    contest = save_record(_today(read_book(DEMO_DAY_BOOK), begins), BOSS)
    helpers = {name: let_in(contest, duty, name) for name, duty in HELPERS.items()}
    _type_keys(contest)
    _read_strange_cards(contest, helpers)
    for name, group in (("Odile", "A"), ("Piers", "B")):
        take_stack(helpers[name], contest.classes.get(number=4), group)
    hear_reasons(contest, begins, min(begins + JUDGED_FOR, now), helpers["Emrys"])
    overall = [named.key for named in lists_of(contest) if named.key.code == "overall"]
    queue_lists(contest, overall, 5, "Caspar")
    return contest


def _begins(now: datetime) -> datetime:
    """When the reasons began, on a full five minutes of today."""
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    began = min(max(now - JUDGED_FOR, midnight), midnight.replace(hour=LATEST))
    return began.replace(minute=began.minute // 5 * 5, second=0, microsecond=0)


def _today(record: Record, begins: datetime) -> Record:
    """The book's contest, held today, with everybody in who came: a minute after each other."""
    open_at = begins.replace(tzinfo=None) - timedelta(minutes=100)
    said = {person.number: person.say_name for person in record.day.people}
    people = [
        PersonsDay(
            person.number,
            (open_at + timedelta(minutes=turn)).isoformat()
            if person.present and person.number not in {*NOT_HERE_YET, UNNOTICED}
            else "",
            said.get(person.number, ""),
        )
        for turn, person in enumerate(record.contestants)
    ]
    starts_at = max(begins - timedelta(minutes=60), begins.replace(hour=0, minute=0)).time()
    rules = replace(record.rules, held_on=begins.date(), starts_at=starts_at)
    return replace(record, rules=rules, day=replace(record.day, people=tuple(people)))


def _type_keys(contest: Contest) -> None:
    """Of the fourth class one person has typed the key, of the fifth two have, differently; the sixth has none."""
    fourth, fifth = contest.classes.filter(number__in=(4, 5)).order_by("number")
    enter_key(fourth, "4231", (3, 3, 4), "Runa")
    enter_key(fifth, "1423", (2, 4, 3), "Runa")
    enter_key(fifth, "1432", (2, 4, 3), BOSS)


def _read_strange_cards(contest: Contest, helpers: dict[str, Helper]) -> None:
    """One of a number that nobody has, one of a division that does not judge the class, one of somebody who was
    scratched, and one that was read once more after the superintendent had decided it."""
    for judged, number, placing, name in (
        (2, 251, "3142", "Piers"),
        (3, 105, "3214", "Odile"),
        (1, 217, "2413", "Odile"),
        (1, 107, "4213", "Piers"),
    ):
        read_card(contest, judged, number, placing, name, uuid4(), helpers[name])
