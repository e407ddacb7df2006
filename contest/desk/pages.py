"""What a desk is told: the numbers expected, what is odd about any other, and what became of the last readings.

Nothing here says what anybody else read: a second reading is blind.
"""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from contest.changes.snapshot import one_snapshot
from contest.desk.stacks import Stack, expected_numbers, next_stack, stacks_of
from contest.models import Contest, JudgingClass, Reading
from contest.slips.reading import Outcome, outcome_of

LAST = 10
"""As many of a reader's readings stay in sight."""

NOBODY = "00000000-0000-0000-0000-000000000000"  # holds the place of a submission in an address


@one_snapshot()
def reading_page(contest: Contest, judging_class: JudgingClass, group: str | None, who: str) -> dict[str, Any]:
    """What the reading page's script starts from; `group` None is for loose cards of the class."""
    return {
        "desk": desk_of(contest, who),
        "who": who,
        "classNumber": judging_class.number,
        "loose": group is None,
        "expected": [] if group is None else expected_numbers(judging_class, group, who),
        "odd": odd_numbers(judging_class, group),
        "known": list(contest.contestants.values_list("number", flat=True)),
        "recent": last_readings(contest, who),
        "addresses": addresses(contest, judging_class, group),
    }


def queue_page(contest: Contest, who: str) -> dict[str, Any]:
    """What a page needs that only sends what waits on this laptop."""
    return {"desk": desk_of(contest, who), "who": who, "addresses": addresses(contest)}


def desk_of(contest: Contest, who: str) -> str:
    """What a laptop keeps unsent readings under: this very contest, and the reader's name.

    A helper who was shown out comes back as a new helper under the old name, and finds the readings again. The time of
    the contest's first change tells it from another contest that has its number in another database.
    """
    began = contest.trail.values_list("at", flat=True).first()
    return f"{contest.pk}-{began.timestamp() if began else 0:.0f}-{who.casefold()}"


def addresses(contest: Contest, judging_class: JudgingClass | None = None, group: str | None = None) -> dict[str, str]:
    by_name = {
        "readings": reverse("desk-readings", args=[contest.pk]),
        "takeBack": reverse("desk-take-back", args=[contest.pk, NOBODY]),
        "hello": reverse("desk-hello", args=[contest.pk]),
        "room": reverse("desk", args=[contest.pk]),
        "join": reverse("join"),
    }
    if judging_class and group is not None:
        by_name["expected"] = reverse("desk-expected", args=[contest.pk, judging_class.number], query={"group": group})
    return by_name


def odd_numbers(judging_class: JudgingClass, group: str | None) -> dict[int, str]:
    """Contestants whose card would be a surprise in this stack, and why."""
    judging = set(judging_class.class_divisions.values_list("division_id", flat=True))
    odd = {}
    people = judging_class.contest.contestants.values_list("number", "division_id", "group", "present")
    for number, division_id, own_group, present in people:
        if division_id not in judging or not judging_class.places:
            odd[number] = f"does not judge class {judging_class.number}"
        elif not present:
            odd[number] = "is marked as absent"
        elif group is not None and own_group != group:
            odd[number] = f"is in group {own_group}" if own_group else "is in no group"
    return odd


def last_readings(contest: Contest, who: str) -> list[dict[str, Any]]:
    """The reader's last readings, newest first, with what became of each."""
    readings = Reading.objects.filter(
        judging_class__contest=contest, by=who, decides=False, withdrawn_at__isnull=True
    ).select_related("judging_class__contest", "contestant")
    return [
        {
            "submission": str(reading.submission),
            "classNumber": reading.judging_class.number,
            "number": reading.number,
            "placing": reading.placing,
            **outcome_as_json(outcome_of(reading)),
        }
        for reading in readings.order_by("-pk")[:LAST]
    ]


def outcome_as_json(outcome: Outcome) -> dict[str, Any]:
    return {"kind": outcome.kind, "text": outcome.text}


@one_snapshot()
def remaining(contest: Contest, judging_class: JudgingClass, group: str, who: str) -> dict[str, Any]:
    """What a desk is told at the end of a stack: the numbers left to its reader, and the stack to take next."""
    stacks = stacks_of(contest, who)
    here = next(
        (stack for stack in stacks if (stack.judging_class, stack.group) == (judging_class, group)),
        None,
    )
    following = next_stack(stacks, besides=here)
    return {
        "numbers": expected_numbers(judging_class, group, who),
        "next": following and next_as_json(following),
    }


def next_as_json(stack: Stack) -> dict[str, Any]:
    return {"stack": typed(stack), "label": stack.label, "again": stack.again, "shared": bool(stack.others)}


def typed(stack: Stack) -> str:
    """A stack as somebody would type it."""
    return f"{stack.judging_class.number} {stack.group}".strip()
