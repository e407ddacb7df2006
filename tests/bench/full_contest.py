"""A contest late on its day, with everything in it that a page could grow with: for the benchmarks and the bounds.

Rows go straight into the tables, as many as a day would leave there; the same for the same numbers.
"""

import random
from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

from scoring.core.placing import PLACINGS
from tests.bench.large_contest import large_record

GROUPS = 12
SMALL = 12  # contestants of the second division, which judges half of the classes


def full_record(contestants, differing, gone, unread=0):
    """Nearly all in one division, so that its lists are as long as they get.

    `gone` of them handed nothing in, and nobody has read a card of the last `unread` classes.
    """
    record = large_record(contestants)
    first, second, _ = record.divisions
    both, only = (first.code, second.code), (first.code,)
    rng = random.Random(2)
    people = tuple(
        person._replace(
            division=second.code if place < SMALL else first.code,
            first_name=f"Given{place}",
            last_name=f"Family{place}",
            group=f"{place % GROUPS + 1}",
        )
        for place, person in enumerate(record.contestants)
    )
    away = {person.number for person in people[-gone:]} if gone else set()
    small = {person.number for person in people[:SMALL]}
    judges_all = {one.number for one in record.classes[: len(record.classes) // 2]}
    kept = [
        card
        for card in record.cards
        if card.number not in away
        and card.class_number <= len(record.classes) - unread
        and (card.number not in small or card.class_number in judges_all)
    ]
    doubtful = set(rng.sample(range(len(kept)), differing))
    cards = tuple(
        card._replace(second=rng.choice([one for one in PLACINGS if one != card.placing]))
        if place in doubtful
        else card
        for place, card in enumerate(kept)
    )
    return replace(
        record,
        rules=replace(record.rules, name="A full contest", show_people_as="name"),
        divisions=(first, second),
        classes=tuple(
            replace(one, divisions=both if one.number in judges_all else only, reasons=only if one.reasons else ())
            for one in record.classes
        ),
        parts=tuple(replace(part, divisions=both) for part in record.parts),
        contestants=people,
        cards=cards,
        reasons=tuple(score for score in record.reasons if score.number not in away | small),
        marks=tuple(mark for mark in record.marks if mark.number not in away),
    )


def make_full_contest(contestants=1500, doubts=500, absent=0, released=True, unread=0):
    """Makes it in the database and returns it.

    About `doubts` doubts of every kind. `absent` more people are scratched who have cards: each has a doubt for every
    class, set of reasons and part.
    """
    from contest.models import Contest
    from contest.records import save_record

    tenth = doubts // 10
    contest = save_record(
        full_record(contestants, differing=4 * tenth, gone=contestants // 15, unread=unread), by="bench"
    )
    _doubts(contest, tenth, absent + doubts // 70)
    _hall(contest, contestants)
    _timetable(contest)
    if released:
        _results(contest)
    return Contest.objects.get(pk=contest.pk)


def _doubts(contest, tenth, absent):
    from contest.models import Contestant, Mark, MarkReading, Reading, ReasonsReading, ReasonsScore

    classes, people = list(contest.classes.all()), list(contest.contestants.order_by("pk"))
    gone = [one.pk for one in people[-(contest.contestants.count() // 15) :]]
    here = people[SMALL : len(people) - len(gone)]
    Contestant.objects.filter(pk__in=[*gone, *(one.pk for one in here[:absent])]).update(present=False)
    ineligible = [one.pk for one in here[absent : absent + 20]]
    Contestant.objects.filter(pk__in=ineligible).update(ineligible=True, ineligible_reason="entered twice")

    free = max(one.number for one in people) + 1
    strays = [
        {"judging_class": classes[place % len(classes)], "number": free + place // 2} for place in range(2 * tenth)
    ]
    wrong = [
        {
            "judging_class": classes[-1 - place % 3],
            "number": people[place % SMALL].number,
            "contestant": people[place % SMALL],
        }
        for place in range(tenth)
    ]
    Reading.objects.bulk_create(
        Reading(**row, placing=PLACINGS[place % 24], by="Ann", submission=uuid4())
        for place, row in enumerate([*strays, *wrong])
    )
    for model, score_of, count in ((ReasonsReading, ReasonsScore, tenth), (MarkReading, Mark, tenth)):
        fields = ("judging_class", "contestant", "official") if score_of is ReasonsScore else ("part", "contestant")
        of = {f"{fields[0]}__contest": contest, "contestant__present": True, "contestant__ineligible": False}
        scores = list(score_of.objects.filter(**of).order_by("pk")[:count])
        for score in scores:
            about = {f"{name}_id": getattr(score, f"{name}_id") for name in fields}
            model.objects.filter(**about).update(decides=False, reason="")
            model.objects.create(**about, hundredths=max(score.hundredths - 100, 0), by="Ben", submission=uuid4())
        score_of.objects.filter(pk__in=[score.pk for score in scores]).update(state="doubt")


def _hall(contest, size):
    """Helpers who are in and many who were, stacks taken, keys typed once, prints of the whole day."""
    from django.utils import timezone

    from contest.helpers.codes import codes_of
    from contest.models import Duty, Helper, JudgingClass, Key, StackClaim
    from scoring.models import KeyRelease, PrintJob, Protest

    codes_of(contest)
    now = timezone.now()
    helpers = [
        Helper(
            contest=contest,
            duty=Duty.values[place % len(Duty)],
            name=f"Helper {place}",
            left_at=None if place < size // 10 else now,
        )
        for place in range(size // 2)
    ]
    Helper.objects.bulk_create(helpers)
    classes = list(JudgingClass.objects.filter(contest=contest))
    StackClaim.objects.bulk_create(
        StackClaim(
            helper=helper,
            judging_class=classes[place % len(classes)],
            group=str(place % GROUPS + 1),
            given_back_at=helper.left_at,
        )
        for place, helper in enumerate(helpers)
        if helper.duty == Duty.TABULATOR
    )
    for version in range(2, size // 50 + 2):
        Key.objects.create(
            judging_class=classes[0],
            version=version,
            official="1234",
            cuts=(1, version % 5, 3),
            by="Ann",
            reason="the official corrected it",
            confirmed_by="Ben",
            confirmed_at=now,
        )
    KeyRelease.objects.bulk_create(KeyRelease(judging_class=one, by="Sue") for one in classes[:2])
    PrintJob.objects.bulk_create(
        PrintJob(contest=contest, document="results", revision=1, by="Sue", state="failed", problem="no paper")
        for _ in range(size // 5)
    )
    Protest.objects.bulk_create(
        Protest(
            contest=contest,
            by=f"Coach {place}",
            text="The card of 12 says 3 1 2 4. " * 4,
            outcome="kept",
            closed_at=now,
        )
        if place % 2
        else Protest(contest=contest, by=f"Coach {place}", text="The card of 12 says 3 1 2 4. " * 4)
        for place in range(size // 10)
    )


def _timetable(contest):
    """Every set of reasons in a room, half of them heard."""
    from datetime import time

    from django.utils import timezone

    from contest.models import ReasonsOfficial
    from reasons.models import PairNote, ReasonsDay, Room, Slot

    ReasonsDay.objects.create(contest=contest, starts_at=time(9))
    people = list(contest.contestants.filter(present=True).order_by("pk"))[SMALL:]
    officials = list(ReasonsOfficial.objects.filter(contest=contest))
    rooms = [Room.objects.create(contest=contest, name=f"{place + 1}") for place in range(max(2, len(people) // 60))]
    for room, official in zip(rooms, officials, strict=False):
        room.officials.add(official)
    began = timezone.now().replace(hour=9, minute=0, second=0, microsecond=0)
    sets = [(judged, person) for judged in contest.classes.order_by("number")[:4] for person in people]
    Slot.objects.bulk_create(
        Slot(
            room=rooms[place % len(rooms)],
            judging_class=judged,
            contestant=person,
            starts_at=began + timedelta(minutes=2 * (place // len(rooms))),
            ends_at=began + timedelta(minutes=2 * (place // len(rooms)) + 2),
            state="heard" if place < len(sets) // 2 else "planned",
        )
        for place, (judged, person) in enumerate(sets)
    )
    PairNote.objects.bulk_create(
        PairNote(judging_class=judged, pair=pair, decided_by="balance", by="Official")
        for judged in contest.classes.all()
        for pair in (1, 2, 3)
    )


def _results(contest):
    """Released in spite of all doubts, with links to take home."""
    from contest.models import Contest
    from contest.records.tallying import tallied
    from scoring.results.links import make_links
    from scoring.results.release import release_results, still_to_accept

    contest = Contest.objects.get(pk=contest.pk)
    release_results(contest, "bench", {item.key: "bench" for item in still_to_accept(contest, tallied(contest))})
    make_links(Contest.objects.get(pk=contest.pk), "bench")
